package water_test

import (
	"math"
	"testing"

	"osier/model/water"

	"pgregory.net/rapid"
)

// Worked by hand from the printed saturations at one atmosphere and the
// respiration of the reference pack (water and fish, 3.3): 6.3 (1.5 to 10.6)
// mg/L a day in warm water, 3.5 (0.861 to 6.082) in cool.
func TestDawnOxygen(t *testing.T) {
	for _, c := range []struct {
		waterC, nightH        float64
		dawn, low, high, each float64
	}{
		{22, 8, 8.744 - 2.1, 8.744 - 10.6/3, 8.744 - 0.5, 6.3},
		{25, 8, 8.263 - 2.1, 8.263 - 10.6/3, 8.263 - 0.5, 6.3},
		{20, 12, 9.092 - 1.75, 9.092 - 3.041, 9.092 - 0.430, 3.5},
		{30, 24, 7.559 - 6.3, 0, 7.559 - 1.5, 6.3},
		{20, 0, 9.092, 9.092, 9.092, 3.5},
	} {
		got, ok := water.EstimateDawnOxygen(water.DawnInput{DuskWaterC: c.waterC, StationHPa: 1013.25, NightH: c.nightH})
		if !ok {
			t.Fatalf("%v C, %v h: no value", c.waterC, c.nightH)
		}
		for _, v := range []struct {
			name      string
			got, want float64
		}{{"dawn", got.DawnMgL, c.dawn}, {"low", got.LowMgL, c.low}, {"high", got.HighMgL, c.high}, {"respiration", got.RespirationMgLD, c.each}} {
			if math.Abs(v.got-v.want) > 1.1e-3 {
				t.Errorf("%v C, %v h: %s %.4f, want %.4f", c.waterC, c.nightH, v.name, v.got, v.want)
			}
		}
	}
}

func TestDawnOxygenNeedsItsInputs(t *testing.T) {
	for _, in := range []water.DawnInput{
		{DuskWaterC: math.NaN(), StationHPa: 1013, NightH: 8},
		{DuskWaterC: 20, NightH: 8},
		{DuskWaterC: 20, StationHPa: 1013, NightH: -1},
		{DuskWaterC: 20, StationHPa: 1013, NightH: 24.1},
		{DuskWaterC: 20, StationHPa: 1013, NightH: math.NaN()},
	} {
		if got, ok := water.EstimateDawnOxygen(in); ok || got != (water.DawnOxygen{}) {
			t.Errorf("%+v: %+v, %v; want no value", in, got, ok)
		}
	}
}

func TestDawnOxygenIsOrderedAndFallsWithTheNight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := water.DawnInput{
			DuskWaterC: rapid.Float64Range(0, 40).Draw(t, "water"),
			StationHPa: rapid.Float64Range(400, 1100).Draw(t, "pressure"),
			NightH:     rapid.Float64Range(0, 23).Draw(t, "night"),
		}
		short, ok := water.EstimateDawnOxygen(in)
		if !ok {
			t.Fatalf("%+v: no value", in)
		}
		if !(0 <= short.LowMgL && short.LowMgL <= short.DawnMgL && short.DawnMgL <= short.HighMgL && short.HighMgL <= short.DuskMgL) {
			t.Fatalf("%+v: out of order: %+v", in, short)
		}
		in.NightH += rapid.Float64Range(0.1, 1).Draw(t, "longer by")
		long, _ := water.EstimateDawnOxygen(in)
		if long.DawnMgL > short.DawnMgL || (short.DawnMgL > 0 && long.DawnMgL == short.DawnMgL) {
			t.Fatalf("a longer night leaves %v, a shorter one %v", long.DawnMgL, short.DawnMgL)
		}
	})
}
