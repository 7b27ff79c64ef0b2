package model_test

import (
	"testing"
	"time"

	"osier/model"
)

// What no instrument in fresh water shows is refused, by the field; both ends of
// each range are let in.
func TestMeterReadingsAreHeldToTheirRanges(t *testing.T) {
	now := time.Date(2026, 7, 1, 12, 0, 0, 0, time.UTC)
	c := func(v float64) model.Maybe[model.Celsius] { return model.Known(model.Celsius(v)) }
	for _, tc := range []struct {
		name  string
		given model.MeterReading
		field string // of the refusal; empty for none
	}{
		{"nothing read", model.MeterReading{At: now}, "water_temp_c"},
		{"coldest", model.MeterReading{At: now, WaterC: c(-0.5)}, ""},
		{"too cold", model.MeterReading{At: now, WaterC: c(-0.51)}, "water_temp_c"},
		{"warmest", model.MeterReading{At: now, WaterC: c(40)}, ""},
		{"too warm", model.MeterReading{At: now, WaterC: c(40.1)}, "water_temp_c"},
		{"most oxygen", model.MeterReading{At: now, OxygenMgL: model.Known(30.0)}, ""},
		{"too much oxygen", model.MeterReading{At: now, OxygenMgL: model.Known(30.1)}, "oxygen_mg_l"},
		{"no oxygen", model.MeterReading{At: now, OxygenPct: model.Known(0.0)}, ""},
		{"less than none", model.MeterReading{At: now, OxygenPct: model.Known(-1.0)}, "oxygen_saturation_pct"},
		{"most saturated", model.MeterReading{At: now, OxygenPct: model.Known(300.0)}, ""},
		{"too saturated", model.MeterReading{At: now, OxygenPct: model.Known(301.0)}, "oxygen_saturation_pct"},
		{"deepest", model.MeterReading{At: now, WaterC: c(9), DepthM: model.Known(model.Metres(60))}, ""},
		{"too deep", model.MeterReading{At: now, WaterC: c(9), DepthM: model.Known(model.Metres(61))}, "depth_m"},
		{"a clock that runs ahead", model.MeterReading{At: now.Add(15 * time.Minute), WaterC: c(9)}, ""},
		{"not taken yet", model.MeterReading{At: now.Add(16 * time.Minute), WaterC: c(9)}, "at"},
		{"no time", model.MeterReading{WaterC: c(9)}, "at"},
		{"no handle", model.MeterReading{At: now, WaterC: c(9), By: "two\nlines"}, "by"},
	} {
		err := tc.given.ValidateAt(now)
		if got := fieldOf(err); got != tc.field || (err == nil) != (tc.field == "") {
			t.Errorf("%s: %v, want a refusal of %q", tc.name, err, tc.field)
		}
	}
}
