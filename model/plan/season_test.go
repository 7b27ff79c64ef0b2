package plan_test

import (
	"testing"
	"time"

	"osier/model"
	"osier/model/activity"
	"osier/model/plan"
)

func seasonOf(t *testing.T, w model.Water, past ...plan.PastHour) model.SeasonPlan {
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

// hoursOf is days of July at a water, each hour as the weather makes it.
func hoursOf(days int, hour func(day, h int) plan.PastHour) []plan.PastHour {
	var past []plan.PastHour
	for d := range days {
		for h := range 24 {
			p := hour(d, h)
			p.At = time.Date(2025, time.July, 1+d, h, 0, 0, 0, time.UTC)
			past = append(past, p)
		}
	}
	return past
}

func levelOf(m model.SeasonMonth, id string) model.CautionLevel {
	for _, c := range m.Cautions {
		if c.ID == id {
			return c.Level
		}
	}
	return ""
}

// Nineteen days are too few for a month of its own; twenty are enough.
func TestTheYearByTheWatersOwnHistory(t *testing.T) {
	for _, c := range []struct {
		days  int
		basis model.SeasonBasis
	}{{19, model.ByClimate}, {20, model.ByHistory}} {
		past := hoursOf(c.days, func(_, h int) plan.PastHour {
			best := 20 + float64(h)/4
			return plan.PastHour{WaterC: best, LowC: best - 2, HighC: best + 2}
		})
		m := seasonOf(t, reedmere, past...).Months[time.July-1]
		if m.WaterC.Basis != c.basis || m.WaterC.Days != c.days {
			t.Errorf("%d days: %+v", c.days, m.WaterC)
		}
		if c.basis == model.ByHistory && (m.WaterC.Low != 20.5 || m.WaterC.High != 25.3 || m.WaterC.MayFallTo != 18.5 || m.WaterC.MayReach != 27.3 ||
			levelOf(m, "fish_heat") != model.Care || levelOf(m, "low_oxygen") != model.Care || levelOf(m, "keepnet") != model.Care) {
			t.Errorf("%+v, cautions %+v", m.WaterC, m.Cautions)
		}
	}
}

// The cautions of a month go by what the water may come to with the error of the
// model, on both sides of each threshold (cautions pack, sections 2 and 3).
func TestASeasonsCautionsGoByTheEndsOfTheInterval(t *testing.T) {
	for _, c := range []struct {
		id    string
		best  float64 // give or take 2 C
		level model.CautionLevel
	}{
		{"cold_water", 16.9, model.Note},
		{"cold_water", 17.1, ""},
		{"cold_water", 9.9, model.Care},
		{"cold_water", 10.1, model.Note},
		{"ice", 4.9, model.Care},
		{"ice", 5.1, ""},
		{"fish_heat", 18.9, ""},
		{"fish_heat", 19.1, model.Note},
		{"fish_heat", 22.1, model.Care},
		{"low_oxygen", 17.9, ""},
		{"low_oxygen", 18.1, model.Note},
		{"low_oxygen", 20.1, model.Care},
		{"keepnet", 17.9, ""},
		{"keepnet", 18.1, model.Note},
		{"keepnet", 20.1, model.Care},
		{"algae", 15.9, ""},
		{"algae", 16.1, model.Note},
	} {
		past := hoursOf(31, func(int, int) plan.PastHour {
			return plan.PastHour{WaterC: c.best, LowC: c.best - 2, HighC: c.best + 2}
		})
		m := seasonOf(t, reedmere, past...).Months[time.July-1]
		if got := levelOf(m, c.id); got != c.level {
			t.Errorf("%s at %v C give or take 2: %q, want %q", c.id, c.best, got, c.level)
		}
	}
}

// Weather makes a caution common when a day in ten had it in the hours that are
// fished, and is not checked where too few days are on record.
func TestASeasonsCautionsOfWeather(t *testing.T) {
	c := func(v float64) model.Maybe[model.Celsius] { return model.Known(model.Celsius(v)) }
	quiet := plan.PastHour{WaterC: 16, LowC: 15, HighC: 17, AirC: c(15), FeelsC: c(15), GustMps: model.Known(model.MetresPerSecond(5))}
	// on gives the first days of 30 a reading at an hour.
	on := func(days, hour int, spoil func(*plan.PastHour)) []plan.PastHour {
		return hoursOf(30, func(d, h int) plan.PastHour {
			p := quiet
			if d < days && h == hour {
				spoil(&p)
			}
			return p
		})
	}
	feels := func(v float64) func(*plan.PastHour) { return func(p *plan.PastHour) { p.FeelsC = c(v) } }
	warm := func(v float64) func(*plan.PastHour) { return func(p *plan.PastHour) { p.AirC = c(v) } }
	gust := func(v float64) func(*plan.PastHour) {
		return func(p *plan.PastHour) { p.GustMps = model.Known(model.MetresPerSecond(v)) }
	}
	for _, tc := range []struct {
		name, id string
		past     []plan.PastHour
		level    model.CautionLevel
	}{
		{"a day in ten felt 0 C", "cold_exposure", on(3, 9, feels(0)), model.Note},
		{"fewer than a day in ten", "cold_exposure", on(2, 9, feels(0)), ""},
		{"just above 0 C", "cold_exposure", on(3, 9, feels(0.1)), ""},
		{"-3 C", "cold_exposure", on(3, 9, feels(-3)), model.Care},
		{"by night only", "cold_exposure", on(30, 3, feels(-9)), ""},
		{"28 C", "heat", on(3, 15, warm(28)), model.Care},
		{"25 C", "heat", on(3, 15, warm(25)), model.Note},
		{"under 25 C", "heat", on(3, 15, warm(24.9)), ""},
		{"14 m/s", "wind", on(3, 15, gust(14)), model.Care},
		{"under 14 m/s", "wind", on(3, 15, gust(13.9)), ""},
		{"no gusts given", "wind", on(30, 15, func(*plan.PastHour) {})[:0], model.NotChecked},
	} {
		m := seasonOf(t, reedmere, tc.past...).Months[time.July-1]
		if got := levelOf(m, tc.id); got != tc.level {
			t.Errorf("%s: %s is %q, want %q", tc.name, tc.id, got, tc.level)
		}
	}
	deaf := on(30, 12, func(*plan.PastHour) {})
	for i := range deaf {
		deaf[i].GustMps = model.Maybe[model.MetresPerSecond]{}
	}
	m := seasonOf(t, reedmere, deaf...).Months[time.July-1]
	if levelOf(m, "wind") != model.NotChecked || levelOf(m, "heat") != "" {
		t.Errorf("without gusts: %+v", m.Cautions)
	}
}

// Up to the caps warmer water never asks for less feed, and a month whose range
// lies across the 24 C cap shows the rate just under it too.
func TestFeedRisesWithTheWaterUpToTheCaps(t *testing.T) {
	at := func(c float64) model.SeasonGroup {
		past := hoursOf(31, func(int, int) plan.PastHour { return plan.PastHour{WaterC: c, LowC: c, HighC: c} })
		return seasonOf(t, reedmere, past...).Months[time.July-1].Groups[0]
	}
	last := at(3).RateGH.High
	for c := 4.0; c < 24; c++ {
		rate := at(c).RateGH.High
		if rate < last {
			t.Errorf("%v g/h at %v C, less than %v a degree colder", rate, c, last)
		}
		last = rate
	}
	across := hoursOf(31, func(d, _ int) plan.PastHour {
		c := 20 + float64(d)*8/30
		return plan.PastHour{WaterC: c, LowC: c, HighC: c}
	})
	if got := seasonOf(t, reedmere, across...).Months[time.July-1].Groups[0].RateGH.High; got < at(23.5).RateGH.High {
		t.Errorf("the month across the cap feeds up to %v g/h, and %v at 23.5 C", got, at(23.5).RateGH.High)
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
