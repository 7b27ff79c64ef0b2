package air_test

import (
	"math"
	"testing"

	"osier/model/air"

	"pgregory.net/rapid"
)

func TestSeaLevelPressure(t *testing.T) {
	for _, c := range []struct{ stationHPa, heightM, airC, rhPct, wantHPa float64 }{
		{1000, 100, 10, 80, 1012.074},
		{1000, 100, -10, 80, 1013.037},
		{950, 500, 15, 50, 1007.476},
		{1013.25, 0, 15, 50, 1013.250},
		{980, 300, 0, 100, 1017.233},
	} {
		saturatedHPa, _ := air.SaturationVapourPressure(c.airC)
		got, ok := air.SeaLevelPressure(c.stationHPa, c.heightM, c.airC, c.rhPct/100*saturatedHPa)
		near(t, "DWD VuB 2 by hand", got, ok, c.wantHPa, 1e-3)
	}
	for _, c := range [][4]float64{
		{200, 0, 10, 5},
		{1000, 6000, 10, 5},
		{1000, 100, 70, 5},
		{1000, 100, 10, -1},
		{math.NaN(), 100, 10, 5},
		{1000, math.NaN(), 10, 5},
		{1000, 100, math.NaN(), 5},
		{1000, 100, 10, math.NaN()},
	} {
		if got, ok := air.SeaLevelPressure(c[0], c[1], c[2], c[3]); ok || got != 0 {
			t.Errorf("%v: got %v, %v; want no value", c, got, ok)
		}
	}
}

func TestStationPressure(t *testing.T) {
	for _, c := range []struct{ qnhHPa, heightM, wantHPa float64 }{
		{1013.25, 0, 1013.250}, {1013.25, 100, 1001.294}, {1020, 250, 990.165}, {990, 500, 932.456},
	} {
		got, ok := air.StationPressureFromQNH(c.qnhHPa, c.heightM)
		near(t, "ICAO standard atmosphere", got, ok, c.wantHPa, 1e-3)
		// At standard pressure the two forms are one formula; away from it they
		// part by some tenths, which is why the second is for oxygen only.
		rough, ok := air.StationPressureFromSeaLevel(c.qnhHPa, c.heightM)
		near(t, "common form of the standard atmosphere", rough, ok, c.wantHPa, 0.5)
	}
	for _, c := range [][2]float64{{100, 0}, {1013, 6000}, {math.NaN(), 0}, {1013, math.Inf(1)}} {
		if got, ok := air.StationPressureFromQNH(c[0], c[1]); ok || got != 0 {
			t.Errorf("QNH %v: got %v, %v; want no value", c, got, ok)
		}
		if got, ok := air.StationPressureFromSeaLevel(c[0], c[1]); ok || got != 0 {
			t.Errorf("sea level %v: got %v, %v; want no value", c, got, ok)
		}
	}
}

func TestPressureFallsWithHeightAndReductionUndoesIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seaHPa := rapid.Float64Range(900, 1080).Draw(t, "seaHPa")
		heightM := rapid.Float64Range(0, 1500).Draw(t, "heightM")
		station, ok := air.StationPressureFromQNH(seaHPa, heightM)
		higher, okHigher := air.StationPressureFromQNH(seaHPa, heightM+10)
		if !ok || !okHigher || higher >= station || station > seaHPa+1e-9 {
			t.Fatalf("sea level %v, %v m: %v, ten metres higher %v", seaHPa, heightM, station, higher)
		}
		// With the standard atmosphere's own air at that height the reduction
		// comes back to where it started, near enough: only at 1013.25 hPa is
		// that air the one that QNH assumes.
		back, ok := air.SeaLevelPressure(station, heightM, 15-0.0065*heightM, 0)
		if !ok || math.Abs(back-seaHPa) > 5 {
			t.Fatalf("sea level %v, %v m: reduced back to %v", seaHPa, heightM, back)
		}
	})
}
