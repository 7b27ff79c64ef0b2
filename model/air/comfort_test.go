package air_test

import (
	"math"
	"testing"

	"osier/model/air"

	"pgregory.net/rapid"
)

const chart = 0.5 // a printed whole degree stands for half a degree either way

func TestWindChill(t *testing.T) {
	for _, c := range []struct {
		source                          string
		airC, windKmh, wantC, tolerance float64
	}{
		{"Environment Canada chart", 5, 5, 4, chart},
		{"Environment Canada chart", 0, 20, -5, chart},
		{"Environment Canada chart", -10, 40, -21, chart},
		{"Environment Canada chart", -25, 60, -43, chart},
		{"Environment Canada chart", -50, 80, -81, chart},
		{"metric formula by hand", 0, 20, -5.2422, 1e-4},
		{"metric formula by hand", -40, 25, -57.3141, 1e-4},
		{"metric formula at both limits", 10, 4.8, 9.8175, 1e-4},
	} {
		got, ok := air.WindChill(c.airC, c.windKmh)
		near(t, c.source, got, ok, c.wantC, c.tolerance)
	}
}

func TestWindChillF(t *testing.T) {
	for _, c := range []struct {
		source                          string
		airF, windMph, wantF, tolerance float64
	}{
		{"NWS chart of November 2001", 40, 5, 36, chart},
		{"NWS chart of November 2001", 0, 15, -19, chart},
		{"NWS chart of November 2001", -45, 60, -98, chart},
		{"US formula by hand", 20, 10, 8.8540, 1e-4},
		{"US formula by hand", -10, 20, -35.1142, 1e-4},
	} {
		got, ok := air.WindChillF(c.airF, c.windMph)
		near(t, c.source, got, ok, c.wantF, c.tolerance)
	}
}

func TestWindChillHasNoValueOutsideItsRange(t *testing.T) {
	for _, c := range []struct {
		name          string
		airC, windKmh float64
	}{
		{"mild air", 10.01, 20},
		{"near calm", 0, 4.79},
		{"calm, as the NWS service answers null", -1, 0},
		{"negative wind", 0, -20},
		{"below absolute zero", -300, 20},
		{"air not a number", math.NaN(), 20},
		{"wind not a number", 0, math.NaN()},
		{"wind infinite", 0, math.Inf(1)},
	} {
		if got, ok := air.WindChill(c.airC, c.windKmh); ok || got != 0 {
			t.Errorf("%s: got %v, %v; want no value", c.name, got, ok)
		}
		if got, ok := air.WindChillF(air.FahrenheitFromCelsius(c.airC), c.windKmh/1.609344); ok || got != 0 {
			t.Errorf("%s, US form: got %v, %v; want no value", c.name, got, ok)
		}
	}
}

func TestWindChillIsColderInMoreWindAndWarmerInWarmerAir(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		airC := rapid.Float64Range(-50, 9).Draw(t, "airC")
		windKmh := rapid.Float64Range(4.8, 100).Draw(t, "windKmh")
		chill, _ := air.WindChill(airC, windKmh)
		windier, _ := air.WindChill(airC, windKmh+1)
		warmer, _ := air.WindChill(airC+1, windKmh)
		if !(windier < chill && chill < warmer && chill <= airC) {
			t.Fatalf("at %v C, %v km/h: %v, windier %v, warmer %v", airC, windKmh, chill, windier, warmer)
		}
		// The two published fits differ by no more than 0.058 C in the charts' range.
		us, ok := air.WindChillF(air.FahrenheitFromCelsius(airC), windKmh/air.KmhPerMps/air.MpsPerMph)
		if ok && math.Abs(air.CelsiusFromFahrenheit(us)-chill) > 0.06 {
			t.Fatalf("at %v C, %v km/h: metric %v, US %v F", airC, windKmh, chill, us)
		}
	})
}

func TestHeatIndexF(t *testing.T) {
	for _, c := range []struct {
		source                        string
		airF, rhPct, wantF, tolerance float64
	}{
		{"simple form", 70, 40, 68.58, 1e-4},
		{"simple form, still under 80", 80, 40, 79.58, 1e-4},
		{"regression", 90, 70, 105.9220, 1e-4},
		{"regression", 110, 40, 135.6570, 1e-4},
		{"dry adjustment", 95, 10, 89.4496, 1e-4},
		{"damp adjustment", 82, 95, 93.9722, 1e-4},
		{"damp adjustment", 85, 90, 101.7808, 1e-4},
	} {
		got, ok := air.HeatIndexF(c.airF, c.rhPct)
		near(t, c.source, got, ok, c.wantF, c.tolerance)
	}
}

func TestHeatIndexChartIsTheRegressionAlone(t *testing.T) {
	for _, c := range []struct{ airF, rhPct, wantF float64 }{
		{80, 40, 80}, {84, 95, 100}, {90, 60, 100}, {98, 50, 113}, {110, 40, 136}, {80, 100, 87},
	} {
		got, ok := air.HeatIndexChartF(c.airF, c.rhPct)
		near(t, "NWS chart", got, ok, c.wantF, chart)
	}
	if got, ok := air.HeatIndexChartF(79, 50); ok || got != 0 {
		t.Errorf("below the chart: got %v, %v; want no value", got, ok)
	}
	adjusted, _ := air.HeatIndexF(84, 95)
	plain, _ := air.HeatIndexChartF(84, 95)
	if adjusted-plain < 0.5 {
		t.Errorf("damp air: adjusted %v, chart %v; want the adjustment to show", adjusted, plain)
	}
}

func TestHeatIndexInCelsius(t *testing.T) {
	for _, c := range []struct {
		source             string
		airC, rhPct, wantC float64
	}{
		{"NWS service, July 2026", 28, 48.088385537135, 28.282360},
		{"NWS service, May 2026: the simple form is not averaged twice", 26, 94.232924970921, 28.197033},
		{"NWS service, July 2026: cooler than the air", 24, 57.150508542239, 23.947819},
	} {
		got, ok := air.HeatIndex(c.airC, c.rhPct)
		near(t, c.source, got, ok, c.wantC, 1e-6)
	}
	for _, c := range [][2]float64{{60, 50}, {4, 50}, {30, -1}, {30, 101}, {math.NaN(), 50}, {30, math.NaN()}} {
		if got, ok := air.HeatIndex(c[0], c[1]); ok || got != 0 {
			t.Errorf("%v C, %v %%: got %v, %v; want no value", c[0], c[1], got, ok)
		}
	}
}

func TestFeelsLike(t *testing.T) {
	for _, c := range []struct {
		name                 string
		airC, windMps, rhPct float64
		rhKnown              bool
		want                 float64
		kind                 string
	}{
		{"cold and windy", -5, 30 / 3.6, 80, true, -12.9967, air.KindWindChill},
		{"at both limits of wind chill", 10, 4.8 / 3.6, 80, true, 9.8175, air.KindWindChill},
		{"just too mild for wind chill", 10.1, 10, 80, true, 10.1, air.KindAirTemperature},
		{"cold and calm", -1, 0, 80, true, -1, air.KindAirTemperature},
		{"spring", 15, 6, 60, true, 15, air.KindAirTemperature},
		{"hot", 28, 2, 48.088385537135, true, 28.282360, air.KindHeatIndex},
		{"hot, humidity not known", 28, 2, 0, false, 28, air.KindAirTemperature},
		{"hot, humidity impossible", 28, 2, 120, true, 28, air.KindAirTemperature},
		{"first published heat index", 22.8, 2, 75.770935807607, true, 23.114019, air.KindHeatIndex},
		{"below it", 22.7, 2, 75, true, 22.7, air.KindAirTemperature},
		{"hot, wind not known", 28, math.NaN(), 48.088385537135, true, 28.282360, air.KindHeatIndex},
		{"cold, wind not known", 0, math.NaN(), 50, true, 0, air.KindUnknown},
		{"cold, wind negative", 0, -1, 50, true, 0, air.KindUnknown},
		{"air not a number", math.NaN(), 5, 50, true, 0, air.KindUnknown},
		{"air infinite", math.Inf(1), 5, 50, true, 0, air.KindUnknown},
	} {
		got, kind := air.FeelsLike(c.airC, c.windMps, c.rhPct, c.rhKnown)
		if kind != c.kind || !(math.Abs(got-c.want) <= 1e-4) {
			t.Errorf("%s: got %v, %s; want %v, %s", c.name, got, kind, c.want, c.kind)
		}
	}
}

func TestApparentTemperature(t *testing.T) {
	for _, c := range []struct{ airC, rhPct, windMps, wantC float64 }{
		{20, 50, 3, 17.7482}, {0, 90, 5, -5.6868}, {35, 20, 4, 31.8971},
	} {
		got, ok := air.ApparentTemperature(c.airC, c.rhPct, c.windMps)
		near(t, "Steadman 1994 by hand", got, ok, c.wantC, 1e-4)
	}
	for _, c := range [][3]float64{{-46, 50, 1}, {20, 101, 1}, {20, 50, -1}, {math.NaN(), 50, 1}, {20, 50, math.Inf(1)}} {
		if got, ok := air.ApparentTemperature(c[0], c[1], c[2]); ok || got != 0 {
			t.Errorf("%v: got %v, %v; want no value", c, got, ok)
		}
	}
}

// near fails unless there is a value within the tolerance of what was wanted.
func near(t *testing.T, source string, got float64, ok bool, want, tolerance float64) {
	t.Helper()
	if !ok || !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %v, %v; want %v within %v", source, got, ok, want, tolerance)
	}
}
