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
)

// NearStation is a station within reach of a water, with its weight.
type NearStation struct {
	Station
	DistanceKm float64
	HeightM    Metres // of the station above the water; 0 when not known
	Weight     float64
}

// Near weighs the stations within reach of a water, the best first. A station
// whose elevation nobody gave is weighed as if it stood one height scale off,
// and its temperature is not moved.
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
		})
	}
	slices.SortFunc(near, func(a, b NearStation) int {
		return cmp.Or(cmp.Compare(b.Weight, a.Weight), cmp.Compare(a.Source, b.Source), cmp.Compare(a.ID, b.ID))
	})
	return near
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
