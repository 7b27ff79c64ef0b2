package model_test

import (
	"errors"
	"testing"
	"time"

	"osier/model"
)

func london(t testing.TB) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Skip("no time zone data on this machine")
	}
	return zone
}

func at(text string) time.Time {
	t, err := model.ParseTime("test", text, nil)
	if err != nil {
		panic(err)
	}
	return t
}

var (
	testNow  = at("2026-01-31T12:00:00Z")
	pit      = model.Water{ID: "quillmarsh-pit", Name: "Quillmarsh Pit", Groups: []model.Group{model.Bream, model.Silver}, Pegs: []model.Peg{{Number: "7"}, {Number: "9"}}}
	morning  = at("2025-06-14T07:00:00+01:00")
	mornings = []time.Duration{0, time.Hour, 2 * time.Hour, 3 * time.Hour}
)

// summaryDay is a valid end-of-day summary with nothing to query.
func summaryDay() model.Session {
	return model.Session{
		ID: "s-1", Water: "quillmarsh-pit", Angler: "VP", Group: model.Bream, Style: model.Summary,
		Start: morning, End: morning.Add(5 * time.Hour), BreaksMin: 30, Rods: 1,
		WrittenAt: model.Known(morning.Add(6 * time.Hour)), Peg: "7",
		Bites: model.Known(14), LineBites: model.Known(6), Fish: map[model.Group]int{model.Bream: 5},
		Weight:  model.Known(model.Weight{G: 6000, How: model.Weighed}),
		Planned: model.PlannedFeed{Level: "Even"},
	}
}

// hourlyDay is a valid tally of three hours.
func hourlyDay() model.Session {
	s := summaryDay()
	s.Style, s.End, s.BreaksMin = model.Hourly, morning.Add(3*time.Hour), 0
	s.Bites, s.LineBites, s.Fish = model.Known(6), model.Known(3), map[model.Group]int{model.Bream: 3}
	for i := range 3 {
		s.Intervals = append(s.Intervals, model.Interval{
			Start: morning.Add(mornings[i]), End: morning.Add(mornings[i+1]),
			Casts: model.Known(6), Bites: model.Known(i + 1), LineBites: model.Known(1), Fish: model.Known(i), Level: "Even",
		})
	}
	return s
}

// fullDay is a valid log of three casts.
func fullDay() model.Session {
	s := summaryDay()
	s.Style, s.End, s.BreaksMin = model.FullLog, morning.Add(time.Hour), 0
	s.WrittenAt = model.Known(s.End)
	s.Bites, s.LineBites, s.CastCount, s.Fish = model.Known(1), model.Known(1), model.Known(3), map[model.Group]int{model.Bream: 1}
	s.Weight = model.Known(model.Weight{G: 1450, How: model.Weighed})
	for i, outcome := range []model.Outcome{model.NoBite, model.FishLanded, model.LineBite} {
		in := morning.Add(time.Duration(i) * 15 * time.Minute)
		s.Casts = append(s.Casts, model.Cast{In: in, Out: in.Add(12 * time.Minute), FillG: model.Known(model.Grams(38)), Outcome: outcome})
	}
	s.Casts[1].BiteMin = model.Known(9.5)
	return s
}

func fieldOf(err error) string {
	var e *model.Error
	if errors.As(err, &e) {
		return e.Field
	}
	return ""
}
