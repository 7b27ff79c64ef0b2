package model_test

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model"
)

// The rule is design, section 8.9: exp(-(d/30 km)^2 - (dz/150 m)^2), none beyond
// 80 km or 300 m.
func TestStationWeights(t *testing.T) {
	unknown := stationAt("AAAA", 0, 0)
	unknown.ElevationM = model.Maybe[model.Metres]{}
	unknownFar := stationAt("AAAA", 30, 0)
	unknownFar.ElevationM = model.Maybe[model.Metres]{}
	for _, c := range []struct {
		name    string
		station model.Station
		weight  float64 // 0 for none
		heightM model.Metres
	}{
		{"at the water", stationAt("AAAA", 0, 0), 1, 0},
		{"30 km off", stationAt("AAAA", 30, 0), math.Exp(-1), 0},
		{"60 km off", stationAt("AAAA", 60, 0), math.Exp(-4), 0},
		{"just within 80 km", stationAt("AAAA", 79.99, 0), math.Exp(-math.Pow(79.99/30, 2)), 0},
		{"just beyond 80 km", stationAt("AAAA", 80.01, 0), 0, 0},
		{"150 m above", stationAt("AAAA", 0, 150), math.Exp(-1), 150},
		{"150 m below", stationAt("AAAA", 0, -150), math.Exp(-1), -150},
		{"300 m above", stationAt("AAAA", 0, 300), math.Exp(-4), 300},
		{"over 300 m above", stationAt("AAAA", 0, 300.1), 0, 0},
		{"over 300 m below", stationAt("AAAA", 0, -300.1), 0, 0},
		{"30 km off and 150 m above", stationAt("AAAA", 30, 150), math.Exp(-2), 150},
		{"height not known: as if one scale off, and not moved", unknown, math.Exp(-1), 0},
		{"30 km off, height not known", unknownFar, math.Exp(-2), 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			near := model.Near(mere, []model.Station{c.station})
			if c.weight == 0 {
				if len(near) != 0 {
					t.Errorf("in reach with weight %v, want it out of reach", near[0].Weight)
				}
				return
			}
			if len(near) != 1 || math.Abs(near[0].Weight-c.weight) > 1e-9 || near[0].HeightM != c.heightM {
				t.Errorf("got %+v, want weight %.6f and height %v m", near, c.weight, c.heightM)
			}
		})
	}
}

func TestTheBestStationComesFirst(t *testing.T) {
	near := model.Near(mere, []model.Station{
		stationAt("FARR", 50, 0), stationAt("HIGH", 10, 200), stationAt("TWIN", 20, 0), stationAt("ALSO", 20, 0), stationAt("NEAR", 15, 10),
	})
	var got []string
	for _, n := range near {
		got = append(got, n.ID)
	}
	// HIGH weighs exp(-0.11 - 1.78), FARR exp(-2.78); equal weights go by name.
	if diff := cmp.Diff([]string{"NEAR", "ALSO", "TWIN", "HIGH", "FARR"}, got); diff != "" {
		t.Errorf("order (-want +got):\n%s", diff)
	}
}

func TestTheBoxHoldsEveryStationInReach(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := model.Water{LatDeg: rapid.Float64Range(-89, 89).Draw(t, "lat"), LonDeg: rapid.Float64Range(-170, 170).Draw(t, "lon")}
		latDeg, lonDeg := w.ReachDegrees()
		s := model.Station{
			LatDeg: w.LatDeg + rapid.Float64Range(-0.8, 0.8).Draw(t, "north"),
			LonDeg: w.LonDeg + rapid.Float64Range(-9, 9).Draw(t, "east"), ElevationM: model.Known[model.Metres](0),
		}
		if math.Abs(s.LatDeg) > 90 {
			t.Skip("off the pole")
		}
		if len(model.Near(w, []model.Station{s})) == 1 && (math.Abs(s.LatDeg-w.LatDeg) > latDeg || math.Abs(s.LonDeg-w.LonDeg) > lonDeg) {
			t.Fatalf("the station at %v, %v is in reach of %v, %v, outside the box of %v by %v", s.LatDeg, s.LonDeg, w.LatDeg, w.LonDeg, latDeg, lonDeg)
		}
	})
}

func TestTheBoxIsNoWiderThanItNeedBe(t *testing.T) {
	latDeg, lonDeg := mere.ReachDegrees()
	// 80 km are 0.72 degrees of latitude; at 52 to 53 degrees north a degree of
	// longitude is 0.60 to 0.62 of one of latitude.
	if math.Abs(latDeg-0.7195) > 1e-3 || lonDeg < 1.169 || lonDeg > 1.2 {
		t.Errorf("box %v by %v degrees, want about 0.72 by 1.19", latDeg, lonDeg)
	}
	if _, lonDeg := (model.Water{LatDeg: 89.9}).ReachDegrees(); lonDeg != 360 {
		t.Errorf("%v degrees of longitude at the pole, want all of them", lonDeg)
	}
}
