package water_test

import (
	"math"
	"testing"

	"osier/model/water"

	"pgregory.net/rapid"
)

// Benson and Krause 1980, 1984, as printed in the reference pack (water and
// fish, 3.1), to half the last digit.
func TestOxygenSaturation(t *testing.T) {
	const mmHg = 1013.25 / 760
	for _, c := range []struct{ waterC, stationHPa, want float64 }{
		{0, 1013.25, 14.621},
		{10, 1013.25, 11.288},
		{20, 1013.25, 9.092},
		{25, 1013.25, 8.263},
		{35, 1013.25, 6.949},
		{20, 740 * mmHg, 8.848},
		{20, 780 * mmHg, 9.337},
		{20, 980, 8.787},
		{20, 1000, 8.971},
		{20, 1030, 9.246},
	} {
		got, ok := water.OxygenSaturation(c.waterC, c.stationHPa, 0)
		if !ok || math.Abs(got-c.want) > 5e-4 {
			t.Errorf("%v C, %.1f hPa: %.4f, %v; want %.3f", c.waterC, c.stationHPa, got, ok, c.want)
		}
	}
}

// The salt factor worked by hand at 20 C: exp(-35 (0.017674 - 10.754/293.15 +
// 2140.7/293.15^2)) = 0.8134.
func TestOxygenSaturationOfSeaWater(t *testing.T) {
	fresh, _ := water.OxygenSaturation(20, 1013.25, 0)
	salt, ok := water.OxygenSaturation(20, 1013.25, 35)
	if !ok || math.Abs(salt/fresh-0.8134) > 5e-5 {
		t.Errorf("share of fresh water's oxygen at 35 PSU is %.5f, %v; want 0.8134", salt/fresh, ok)
	}
}

func TestOxygenSaturationRefusesWhatIsOutOfRange(t *testing.T) {
	for _, c := range []struct{ waterC, stationHPa, salinityPSU float64 }{
		{-0.01, 1013, 0},
		{40.01, 1013, 0},
		{20, 399, 0},
		{20, 1101, 0},
		{20, 1013, -1},
		{20, 1013, 41},
		{math.NaN(), 1013, 0},
		{20, math.NaN(), 0},
		{20, 1013, math.NaN()},
		{20, math.Inf(1), 0},
	} {
		if got, ok := water.OxygenSaturation(c.waterC, c.stationHPa, c.salinityPSU); ok || got != 0 {
			t.Errorf("%+v: %v, %v; want no value", c, got, ok)
		}
	}
}

func TestOxygenSaturationFallsWithHeatAndSaltAndRisesWithPressure(t *testing.T) {
	waters := rapid.Float64Range(0, 39)
	pressures := rapid.Float64Range(400, 1090)
	salts := rapid.Float64Range(0, 39)
	more := rapid.Float64Range(0.01, 1)
	rapid.Check(t, func(t *rapid.T) {
		waterC, hPa, salt, by := waters.Draw(t, "water"), pressures.Draw(t, "pressure"), salts.Draw(t, "salt"), more.Draw(t, "by")
		at := func(waterC, hPa, salt float64) float64 {
			got, ok := water.OxygenSaturation(waterC, hPa, salt)
			if !ok || !(got > 0) || math.IsInf(got, 0) {
				t.Fatalf("%v C, %v hPa, %v PSU: %v, %v", waterC, hPa, salt, got, ok)
			}
			return got
		}
		here := at(waterC, hPa, salt)
		if warmer := at(waterC+by, hPa, salt); warmer >= here {
			t.Fatalf("warmer by %v: %v, not below %v", by, warmer, here)
		}
		if saltier := at(waterC, hPa, salt+by); saltier >= here {
			t.Fatalf("saltier by %v: %v, not below %v", by, saltier, here)
		}
		if pressed := at(waterC, hPa+10*by, salt); pressed <= here {
			t.Fatalf("pressure higher by %v: %v, not above %v", 10*by, pressed, here)
		}
	})
}
