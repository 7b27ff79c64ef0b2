package model

import "math"

// earthRadiusKm is the mean radius of the earth (IUGG 1980: 6371.0088 km).
const earthRadiusKm = 6371.0088

// DistanceKm is the great-circle distance by the haversine formula (Sinnott
// 1984, Virtues of the haversine, Sky and Telescope 68: 159), in kilometres.
// The sphere is wrong by up to 0.5 %, far less than stations are apart.
func DistanceKm(lat1Deg, lon1Deg, lat2Deg, lon2Deg float64) float64 {
	const rad = math.Pi / 180
	dLat, dLon := (lat2Deg-lat1Deg)*rad, (lon2Deg-lon1Deg)*rad
	h := math.Pow(math.Sin(dLat/2), 2) + math.Cos(lat1Deg*rad)*math.Cos(lat2Deg*rad)*math.Pow(math.Sin(dLon/2), 2)
	return 2 * earthRadiusKm * math.Asin(math.Min(1, math.Sqrt(h)))
}
