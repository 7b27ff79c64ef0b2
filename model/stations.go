package model

import (
	"cmp"
	"math"
	"slices"
)

// How stations are weighed: exp(-(d/30 km)^2 - (dz/150 m)^2), none beyond 80 km
// or 300 m. The scales are our choice.
const (
	stationScaleKm = 30
	stationReachKm = 80
	heightScaleM   = 150
	heightReachM   = 300
	// samePlaceKm is how far apart two feeds may put one station: the coarsest
	// of them give two decimals, about a kilometre. Our choice.
	samePlaceKm = 2
)

// NearStation is a station within reach of a water, with its weight.
type NearStation struct {
	Station
	DistanceKm float64 `json:"distance_km"`
	HeightM    Metres  `json:"height_m"` // of the station above the water; 0 when not known
	Weight     float64 `json:"weight"`
	// Place is the same for all stations that are one place, heard through
	// several feeds. Empty stands for a place of its own.
	Place   string `json:"-"`
	Wished  int    `json:"-"` // which of the stations that the water's sources name it is, from 1; 0 for none
	Avoided bool   `json:"-"` // the water's sources leave it out
}

// Near weighs the stations within reach of a water, the best first. A station
// whose elevation nobody gave is weighed as if it stood one height scale off,
// and its temperature is not moved. Stations of different feeds under one name
// or within 2 km of each other are one place. What the water's own sources name
// is marked, and not moved in the order.
func Near(w Water, stations []Station) []NearStation {
	var near []NearStation
	for _, s := range stations {
		d := DistanceKm(w.LatDeg, w.LonDeg, s.LatDeg, s.LonDeg)
		apart := float64(heightScaleM)
		var height Metres
		if s.ElevationM.Known {
			height = s.ElevationM.Value - w.ElevationM
			apart = math.Abs(float64(height))
		}
		if d > stationReachKm || apart > heightReachM {
			continue
		}
		near = append(near, NearStation{
			Station: s, DistanceKm: d, HeightM: height,
			Weight: math.Exp(-math.Pow(d/stationScaleKm, 2) - math.Pow(apart/heightScaleM, 2)),
			Wished: 1 + s.among(w.Sources.Use), Avoided: s.among(w.Sources.Avoid) >= 0,
		})
	}
	slices.SortFunc(near, func(a, b NearStation) int {
		return cmp.Or(cmp.Compare(b.Weight, a.Weight), cmp.Compare(a.Source, b.Source), cmp.Compare(a.ID, b.ID))
	})
	for i := range near {
		near[i].Place = placeOf(near[i].Station, near[:i])
	}
	return near
}

// placeOf gives the place of the first station that is the same place as s, or
// one of its own.
func placeOf(s Station, before []NearStation) string {
	for _, n := range before {
		if n.Source != s.Source && (n.ID == s.ID || DistanceKm(n.LatDeg, n.LonDeg, s.LatDeg, s.LonDeg) < samePlaceKm) {
			return n.Place
		}
	}
	return StationKey(s.Source, s.ID)
}

// among finds the station in a list of names, with or without the feed's before
// them; -1 where it is not named.
func (s Station) among(names []string) int {
	return slices.IndexFunc(names, func(name string) bool { return name == s.ID || name == StationKey(s.Source, s.ID) })
}

// ReachDegrees is a box that surely holds every station within reach of a
// water: half its height and half its width in degrees. Near the poles the box
// takes in every longitude.
func (w Water) ReachDegrees() (latDeg, lonDeg float64) {
	const kmPerDegree = earthRadiusKm * math.Pi / 180
	latDeg = stationReachKm / kmPerDegree
	shrink := math.Cos((math.Abs(w.LatDeg) + latDeg) * math.Pi / 180)
	if shrink < 0.01 {
		return latDeg, 360
	}
	return latDeg, latDeg / shrink
}
