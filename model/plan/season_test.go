package plan_test

import (
	"testing"
	"time"

	"osier/model"
	"osier/model/activity"
	"osier/model/plan"
)

func seasonOf(t *testing.T, w model.Water, past ...plan.WaterAt) model.SeasonPlan {
	t.Helper()
	fits := map[model.Group]activity.Fit{}
	for _, g := range w.Groups {
		fit, err := activity.PriorFit(string(g))
		if err != nil {
			t.Fatal(err)
		}
		fits[g] = fit
	}
	s, err := plan.Season(plan.SeasonInput{Water: w, Now: now, Groups: w.Groups, Hours: 5, Fits: fits, FitID: "fit-0", Past: past})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func raised(m model.SeasonMonth, id string) bool {
	for _, c := range m.Cautions {
		if c.ID == id {
			return true
		}
	}
	return false
}

// The trade's table (trade pack 3.2 and 5.1) read at the climate's water: the
// pack's mean of 10.5 C and range of 7 C, warmest in late July.
func TestTheYearByTheClimate(t *testing.T) {
	s := seasonOf(t, reedmere)
	if len(s.Months) != 12 || s.Deferral != model.Deferral {
		t.Fatalf("%d months, deferral %q", len(s.Months), s.Deferral)
	}
	for _, c := range []struct {
		month       time.Month
		low, high   float64 // of the middle figure
		band        string
		spawning    bool
		coldWater   bool
		dayH, dayH2 float64
	}{
		{time.January, 3.4, 4.2, "winter", false, true, 7, 10},
		{time.May, 12.5, 13.5, "between", true, true, 14, 17},
		{time.July, 17, 17.6, "summer", true, true, 15, 18},
		{time.October, 11, 12.5, "between", false, true, 9, 12},
	} {
		m := s.Months[c.month-1]
		if m.WaterC.Middle < c.low || m.WaterC.Middle > c.high || m.WaterC.Basis != "climate" || m.Band != c.band {
			t.Errorf("%s: water %+v, %s", c.month, m.WaterC, m.Band)
		}
		if raised(m, "spawning") != c.spawning || raised(m, "cold_water") != c.coldWater {
			t.Errorf("%s: cautions %+v", c.month, m.Cautions)
		}
		if m.Light.DayLengthH < c.dayH || m.Light.DayLengthH > c.dayH2 {
			t.Errorf("%s: %v h of day", c.month, m.Light.DayLengthH)
		}
	}
	january, july := s.Months[0].Groups[0], s.Months[6].Groups[0]
	if january.Level != "Lean" || july.Level != "Ample" || january.HookLengthCm.Low <= july.HookLengthCm.Low || january.BitesPerH.Median >= july.BitesPerH.Median {
		t.Errorf("January %+v, July %+v", january, july)
	}
}

// South of the equator the year is turned round.
func TestTheYearInTheSouth(t *testing.T) {
	w := reedmere
	w.LatDeg = -w.LatDeg
	s := seasonOf(t, w)
	if s.Months[0].WaterC.Middle <= s.Months[6].WaterC.Middle || s.Months[0].Light.DayLengthH <= s.Months[6].Light.DayLengthH {
		t.Errorf("January %+v %+v, July %+v %+v", s.Months[0].WaterC, s.Months[0].Light, s.Months[6].WaterC, s.Months[6].Light)
	}
}

// Nineteen days are too few for a month of its own; twenty are enough.
func TestTheYearByTheWatersOwnHistory(t *testing.T) {
	for _, c := range []struct {
		days  int
		basis string
	}{{19, "climate"}, {20, "history"}} {
		var past []plan.WaterAt
		for d := range c.days {
			for h := range 24 {
				past = append(past, plan.WaterAt{At: time.Date(2025, time.July, 1+d, h, 0, 0, 0, time.UTC), C: 20 + float64(h)/4})
			}
		}
		m := seasonOf(t, reedmere, past...).Months[time.July-1]
		if m.WaterC.Basis != c.basis || m.WaterC.Days != c.days {
			t.Errorf("%d days: %+v", c.days, m.WaterC)
		}
		if c.basis == "history" && (m.WaterC.Low < 20.4 || m.WaterC.Low > 20.8 || m.WaterC.High < 25 || m.WaterC.High > 25.5 || !raised(m, "fish_heat") || !raised(m, "low_oxygen")) {
			t.Errorf("%+v, cautions %+v", m.WaterC, m.Cautions)
		}
	}
}

// Whatever the climate: ranges are in order, chances are chances, and every
// month says what its water rests on.
func TestEveryYearIsInOrder(t *testing.T) {
	for _, climate := range []struct{ meanC, rangeC, lat float64 }{{2, 3, 60}, {10.5, 7, 52}, {15, 14, 30}, {28, 0, -5}, {28, 14, -40}} {
		w := reedmere
		w.ClimateMeanC, w.ClimateRangeC = model.Known(model.Celsius(climate.meanC)), model.Known(model.Celsius(climate.rangeC))
		w.LatDeg = climate.lat
		for _, m := range seasonOf(t, w).Months {
			if !(m.WaterC.Low <= m.WaterC.Middle && m.WaterC.Middle <= m.WaterC.High) || m.WaterC.Basis == "" || m.Light.WorthFishing == "" {
				t.Fatalf("%+v: %+v", climate, m)
			}
			for _, g := range m.Groups {
				b := g.BitesPerH
				if !(b.Low90 <= b.Low50 && b.Low50 <= b.Median && b.Median <= b.High50 && b.High50 <= b.High90) || g.Blank < 0 || g.Blank > 1 || g.RateGH.Low > g.RateGH.High || g.Level == "" {
					t.Fatalf("%+v, %s: %+v", climate, m.Name, g)
				}
			}
		}
	}
}
