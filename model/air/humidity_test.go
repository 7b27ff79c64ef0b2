package air_test

import (
	"math"
	"testing"

	"osier/model/air"

	"pgregory.net/rapid"
)

func TestSaturationVapourPressure(t *testing.T) {
	for _, c := range []struct{ airC, wantHPa float64 }{
		{-20, 1.2597}, {0, 6.1120}, {10, 12.2603}, {30, 42.3372},
	} {
		got, ok := air.SaturationVapourPressure(c.airC)
		near(t, "WMO-No. 8", got, ok, c.wantHPa, 1e-4)
	}
	for _, airC := range []float64{-45.1, 60.1, math.NaN()} {
		if got, ok := air.SaturationVapourPressure(airC); ok || got != 0 {
			t.Errorf("%v C: got %v, %v; want no value", airC, got, ok)
		}
	}
}

func TestRelativeHumidity(t *testing.T) {
	for _, c := range []struct{ airC, dewC, wantPct float64 }{
		{10, 5, 71.103}, {-3, -4, 92.811}, {25, 25, 100}, {7, 7.4, 100},
	} {
		got, ok := air.RelativeHumidity(c.airC, c.dewC)
		near(t, "WMO-No. 8", got, ok, c.wantPct, 1e-3)
	}
	for _, c := range [][2]float64{{7, 7.6}, {10, -46}, {61, 10}, {math.NaN(), 5}, {10, math.NaN()}} {
		if got, ok := air.RelativeHumidity(c[0], c[1]); ok || got != 0 {
			t.Errorf("air %v C, dew %v C: got %v, %v; want no value", c[0], c[1], got, ok)
		}
	}
	got, ok := air.RelativeHumidityNWS(14.83, 7.69)
	near(t, "NWS service, to twelve digits", got, ok, 62.310507382854, 1e-11)
}

func TestDewPoint(t *testing.T) {
	for _, c := range []struct{ airC, rhPct, wantC float64 }{
		{20, 50, 9.255}, {-5, 70, -9.629}, {15, 100, 15},
	} {
		got, ok := air.DewPoint(c.airC, c.rhPct)
		near(t, "WMO-No. 8", got, ok, c.wantC, 1e-3)
	}
	for _, c := range [][2]float64{{20, 0}, {20, -3}, {20, 100.1}, {-46, 50}, {20, math.NaN()}} {
		if got, ok := air.DewPoint(c[0], c[1]); ok || got != 0 {
			t.Errorf("%v C, %v %%: got %v, %v; want no value", c[0], c[1], got, ok)
		}
	}
	if got, ok := air.DewPoint(20, math.SmallestNonzeroFloat64); !ok || got < -243.12 || got > 20 {
		t.Errorf("driest air there is: got %v, %v; want a finite dew point", got, ok)
	}
}

func TestDewPointAndHumidityUndoEachOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		airC := rapid.Float64Range(-20, 40).Draw(t, "airC")
		rhPct := rapid.Float64Range(20, 100).Draw(t, "rhPct")
		dewC, ok := air.DewPoint(airC, rhPct)
		back, okBack := air.RelativeHumidity(airC, dewC)
		if !ok || !okBack || math.Abs(back-rhPct) > 1e-9 || dewC > airC+1e-9 {
			t.Fatalf("%v C, %v %%: dew point %v, back to %v", airC, rhPct, dewC, back)
		}
	})
}
