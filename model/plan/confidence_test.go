package plan_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"osier/model"
	"osier/model/plan"
)

func TestConfidenceSaysWhatLowersIt(t *testing.T) {
	old := series(ordinary)
	for h := range 4 {
		from := &hourOf(old, start.Add(time.Duration(h)*time.Hour)).AirC.From
		from.AgeMin, from.ConfirmedMin = model.Known(720.0), model.Known(720.0)
	}
	for _, c := range []struct {
		name  string
		hours []model.WeatherHour
		basis string
		level string
		says  []string
	}{
		{"all is known", series(ordinary), "both", "usual", nil},
		{"no records", series(ordinary), "prior", "lowered", []string{"no records yet, typical for season"}},
		{"old weather", old, "both", "lowered", []string{"the oldest weather in use is 12 h old"}},
		{"old weather and no records", old, "prior", "low", []string{"12 h old", "no records yet"}},
		{"no wind", without(theWind), "both", "lowered", []string{"weather is missing for 4 of 4 hours"}},
		{"neither wind nor air", without(theWind, theAir), "both", "low", []string{"weather is missing for 4 of 4 hours", "neither a report nor a forecast reaches these hours"}},
		{"nothing at all", nothing(), "both", "low", []string{"missing for 4 of 4", "from the climate alone, give or take 4 C", "neither a report nor a forecast"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := input(t, c.hours)
			in.Evidence.Basis = c.basis
			got := build(t, in).Confidence
			if got.Level != c.level {
				t.Errorf("confidence %+v, want %s", got, c.level)
			}
			because := strings.Join(got.Because, "; ")
			for _, part := range c.says {
				if !contains(because, part) {
					t.Errorf("because %q, want it to say %q", because, part)
				}
			}
			if len(c.says) == 0 && len(got.Because) != 0 {
				t.Errorf("because %q, want nothing", because)
			}
		})
	}
}

// Design, section 5.6: missing weather lowers confidence and clears nothing.
func TestMoreMissingWeatherNeverRaisesConfidence(t *testing.T) {
	levels := []string{"low", "lowered", "usual"}
	base := series(ordinary)
	rapid.Check(t, func(t *rapid.T) {
		hours := slices.Clone(base)
		basis := rapid.SampledFrom([]string{"both", "prior"}).Draw(t, "basis")
		if rapid.Bool().Draw(t, "old forecast") {
			for i := range hours {
				hours[i].AirC.From.ConfirmedMin, hours[i].AirC.From.AgeMin = model.Known(700.0), model.Known(700.0)
			}
		}
		last := 2
		for range 3 { // each time a stretch more is missing
			readings := rapid.SampledFrom([][]func(*model.WeatherHour) *model.Reading{{theAir}, {theWind}, {theAir, theWind}}).Draw(t, "readings")
			from := rapid.SampledFrom([]int{0, pastHours - 100, pastHours - 20, pastHours + 20, pastHours + 22, len(hours) - 20}).Draw(t, "from")
			for i := from; i < min(len(hours), from+rapid.SampledFrom([]int{1, 3, 30, 700}).Draw(t, "hours")); i++ {
				for _, r := range readings {
					*r(&hours[i]) = gone
				}
			}
			level := slices.Index(levels, confidenceOf(t, slices.Clone(hours), basis))
			if level > last {
				t.Fatalf("confidence rose from %s to %s when more went missing", levels[last], levels[level])
			}
			last = level
		}
	})
}

func confidenceOf(t *rapid.T, hours []model.WeatherHour, basis string) string {
	h, err := plan.NewHistory(reedmere, hours, nil, now)
	if err != nil {
		t.Fatal(err)
	}
	fit, err := priorOf(model.Bream)
	if err != nil {
		t.Fatal(err)
	}
	usual := plan.OrdinaryDay(reedmere, start)
	usual.DayOfYear = float64(start.YearDay())
	p, err := plan.Build(plan.Input{
		Question: model.Question{Water: "reedmere", Start: start, Hours: 4, Group: model.Bream},
		History:  h, Fit: fit, FitID: "fit-0", Evidence: model.Evidence{Basis: basis}, Usual: usual,
	})
	if err != nil {
		t.Fatal(err)
	}
	return p.Confidence.Level
}

func TestMissingWeatherClearsNoCaution(t *testing.T) {
	whole, poor := build(t, input(t, series(ordinary))), build(t, input(t, nothing()))
	unchecked := 0
	for _, c := range poor.Cautions {
		if c.Level == model.NotChecked {
			unchecked++
		}
	}
	if unchecked == 0 {
		t.Errorf("without any weather the cautions are %+v, want some not checked", poor.Cautions)
	}
	if poor.Weather.MissingHours != 4 || whole.Weather.MissingHours != 0 {
		t.Errorf("%d hours missing without weather and %d with it, want 4 and 0", poor.Weather.MissingHours, whole.Weather.MissingHours)
	}
}
