package model_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"osier/model"
)

func TestDistance(t *testing.T) {
	const meanRadiusKm = 6371.0088
	for _, c := range []struct {
		source                 string
		lat1, lon1, lat2, lon2 float64
		wantKm, toleranceKm    float64
	}{
		// The published figure is for a radius of 6371.0 km.
		{"Rosetta Code, Haversine formula: Nashville to Los Angeles", 36.12, -86.67, 33.94, -118.40, 2886.444443 * meanRadiusKm / 6371.0, 1e-3},
		{"Karney, GeographicLib, geodesic JFK to LHR on WGS84 (figure from memory)", 40.6, -73.8, 51.6, -0.5, 5551.759, 0.005 * 5551.759},
		{"one degree of a meridian of the mean sphere", 52, 1, 53, 1, math.Pi / 180 * meanRadiusKm, 1e-9},
		{"a quarter of the equator", 0, 0, 0, 90, math.Pi / 2 * meanRadiusKm, 1e-9},
		{"across the date line", 0, 179.5, 0, -179.5, math.Pi / 180 * meanRadiusKm, 1e-8},
		{"the other side of the earth", 30, 20, -30, -160, math.Pi * meanRadiusKm, 1e-6},
		{"nowhere at all", 52.5, -0.7, 52.5, -0.7, 0, 0},
	} {
		t.Run(c.source, func(t *testing.T) {
			if got := model.DistanceKm(c.lat1, c.lon1, c.lat2, c.lon2); math.Abs(got-c.wantKm) > c.toleranceKm {
				t.Errorf("%.6f km, want %.6f within %g", got, c.wantKm, c.toleranceKm)
			}
		})
	}
}

func TestDistanceIsADistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat, lon := rapid.Float64Range(-90, 90), rapid.Float64Range(-180, 180)
		aLat, aLon := lat.Draw(t, "a"), lon.Draw(t, "a")
		bLat, bLon := lat.Draw(t, "b"), lon.Draw(t, "b")
		cLat, cLon := lat.Draw(t, "c"), lon.Draw(t, "c")
		ab, ba := model.DistanceKm(aLat, aLon, bLat, bLon), model.DistanceKm(bLat, bLon, aLat, aLon)
		ac, bc := model.DistanceKm(aLat, aLon, cLat, cLon), model.DistanceKm(bLat, bLon, cLat, cLon)
		if math.Abs(ab-ba) > 1e-6 {
			t.Fatalf("%v km there and %v km back", ab, ba)
		}
		if ab > ac+bc+1e-6 {
			t.Fatalf("%v km direct and %v km by way of c", ab, ac+bc)
		}
		if !(ab >= 0 && ab <= math.Pi*6371.0088+1e-6) {
			t.Fatalf("%v km", ab)
		}
	})
}
