package feeder_test

import (
	"math"
	"testing"

	"osier/model/feeder"
)

// thermometer is an input on a measured temperature for a known water and 5 h.
func thermometer(group feeder.Group, waterC float64) feeder.Input {
	return feeder.Input{
		Group: group, WaterC: waterC, WaterLowC: waterC, WaterHighC: waterC,
		Hours: 5, KnownWater: true,
	}
}

func mustPlan(t *testing.T, in feeder.Input) feeder.Plan {
	t.Helper()
	p, err := feeder.ColdStart(in)
	if err != nil {
		t.Fatalf("ColdStart(%+v): %v", in, err)
	}
	return p
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %v, want %v within %v", what, got, want, tolerance)
	}
}

// workedRow is one row of the trade's worked result (derived from the trade's
// tables; common practice), as printed: the tolerances are half of its last
// digit.
type workedRow struct {
	group    feeder.Group
	waterC   float64
	rateGH   float64
	level    feeder.Level
	step     string
	factor   float64
	soakMin  float64
	fillsH   float64
	fills    int
	openingG float64
	dampG    float64
	dryG     float64
}

var workedRows = []workedRow{
	{feeder.Silver, 4, 52, feeder.Lean, "XS", 0.82, 7.0, 7.1, 3, 22, 280, 170},
	{feeder.Silver, 8, 70, feeder.Lean, "XS", 0.97, 6.0, 8.0, 3, 26, 370, 220},
	{feeder.Silver, 12.5, 130, feeder.Even, "S", 1, 5.4, 8.7, 3, 45, 690, 410},
	{feeder.Silver, 17.5, 220, feeder.Ample, "S", 1, 2.6, 14.7, 6, 90, 1160, 690},
	{feeder.Bream, 4, 69, feeder.Lean, "S", 1, 11.6, 4.6, 3, 45, 380, 230},
	{feeder.Bream, 8, 90, feeder.Lean, "S", 1, 8.5, 6.0, 4, 60, 500, 300},
	{feeder.Bream, 12.5, 190, feeder.Even, "M", 1, 6.8, 7.2, 5, 131, 1060, 630},
	{feeder.Bream, 17.5, 380, feeder.Ample, "L", 1, 5.0, 9.2, 7, 289, 2120, 1270},
	{feeder.Carp, 4, 30, feeder.Trace, "XS", 0.63, 10.0, 5.2, 3, 17, 160, 100},
	{feeder.Carp, 8, 65, feeder.Lean, "XS", 1, 6.8, 7.2, 4, 36, 350, 210},
	{feeder.Carp, 12.5, 150, feeder.Even, "S", 1, 4.5, 10.0, 5, 75, 810, 480},
	{feeder.Carp, 17.5, 290, feeder.Ample, "M", 1, 3.9, 11.0, 6, 158, 1560, 940},
}

func TestWorkedRows(t *testing.T) {
	for _, row := range workedRows {
		t.Run(string(row.group)+" "+row.step, func(t *testing.T) {
			p := mustPlan(t, thermometer(row.group, row.waterC))
			near(t, "rate", p.Feed.RateGH, row.rateGH, 0.5)
			near(t, "fill factor", p.Feeder.FillFactor, row.factor, 0.005)
			near(t, "soak", p.Rhythm.SoakMin, row.soakMin, 0.05)
			near(t, "fills/h", p.Rhythm.FillsPerH, row.fillsH, 0.05)
			near(t, "opening g", p.Feed.OpeningG, row.openingG, 0.5)
			near(t, "damp", p.Feed.TotalDampG, row.dampG, 5)
			near(t, "dry", p.Feed.TotalDryG, row.dryG, 5)
			if p.Feed.Level != row.level || p.Feeder.Step != row.step || p.Feed.OpeningFills != row.fills {
				t.Errorf("got %s, %s, %d fills; want %s, %s, %d fills",
					p.Feed.Level, p.Feeder.Step, p.Feed.OpeningFills, row.level, row.step, row.fills)
			}
			if p.Cast.Named || p.Cast.WeightG != 0 || p.Feed.Clamped || p.Feed.Capped {
				t.Errorf("no distance, clamp or cap in the worked rows, got %+v %+v", p.Cast, p.Feed)
			}
		})
	}
}

// The worked result says that its 22 C rows equal those of 17.5 C before caps.
// Only the carp's longest soak differs, which no row reaches.
func TestTwentyTwoDegreesEqualsSeventeenAndAHalf(t *testing.T) {
	for _, group := range feeder.Groups() {
		a := mustPlan(t, thermometer(group, 17.5))
		b := mustPlan(t, thermometer(group, 22))
		if a.Feed != b.Feed || a.Feeder != b.Feeder || a.Rhythm.SoakMin != b.Rhythm.SoakMin {
			t.Errorf("%s: %+v %+v at 17.5 C, %+v %+v at 22 C", group, a.Feed, a.Feeder, b.Feed, b.Feeder)
		}
	}
}
