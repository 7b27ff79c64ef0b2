package storetest

import (
	"context"
	"testing"
	"time"

	"osier/model"
)

// officialWarning is an invented warning with everything set that may be.
func officialWarning(id string, from time.Time) model.OfficialWarning {
	return model.OfficialWarning{
		ID: id, Source: "alerts", Sender: "The service", Hazard: model.HazardWind, Event: "Gale Warning", Severity: model.Severe,
		Headline: "Gales until evening", From: from, Until: model.Known(from.Add(6 * time.Hour)),
	}
}

func warningsAnswer(at time.Time, list ...model.OfficialWarning) model.WarningsAnswer {
	return model.WarningsAnswer{Source: "alerts", LatDeg: 52.5, LonDeg: -0.75, AskedAt: at, Warnings: list}
}

func warnings(t *testing.T, s Store) {
	ctx := t.Context()
	want := func(name string, answers ...model.WarningsAnswer) {
		t.Helper()
		list, err := s.Warnings(ctx, 52.5, -0.75)
		wantSame(t, name, answers, got(t, list, err))
	}
	want("before any feed answered")
	done(t, s.ConfirmWarnings(ctx, "alerts", 52.5, -0.75, noon))
	want("confirmed, but never answered")

	early, late, open := officialWarning("w-b", noon), officialWarning("w-a", noon.Add(time.Hour)), officialWarning("w-c", noon.Add(time.Hour))
	open.Until = model.Maybe[time.Time]{}
	elsewhere, second := warningsAnswer(noon, late), warningsAnswer(noon, late)
	elsewhere.LatDeg, second.Source = 52.51, "second"
	for _, a := range []model.WarningsAnswer{second, elsewhere, warningsAnswer(noon, open, late, early)} {
		done(t, s.PutWarnings(ctx, a))
	}
	want("in the order in which they begin", warningsAnswer(noon, early, late, open), second)

	done(t, s.PutWarnings(ctx, warningsAnswer(noon.Add(time.Hour), late)))
	want("two taken back", warningsAnswer(noon.Add(time.Hour), late), second)
	done(t, s.ConfirmWarnings(ctx, "alerts", 52.5, -0.75, noon.Add(2*time.Hour)))
	want("the one stood by", warningsAnswer(noon.Add(2*time.Hour), late), second)
	done(t, s.PutWarnings(ctx, warningsAnswer(noon.Add(3*time.Hour))))
	want("none left, which is an answer too", model.WarningsAnswer{Source: "alerts", LatDeg: 52.5, LonDeg: -0.75, AskedAt: noon.Add(3 * time.Hour), Warnings: []model.OfficialWarning{}}, second)
}

// What is known changes with the warnings, and with whether a feed has answered
// lately; being asked again and again is no change.
func warningsRevision(t *testing.T, s Store) {
	early, late := officialWarning("w-b", noon), officialWarning("w-a", noon.Add(time.Hour))
	put := func(h float64, list ...model.OfficialWarning) func(context.Context, Store) error {
		at := noon.Add(time.Duration(h * float64(time.Hour)))
		return func(ctx context.Context, s Store) error { return s.PutWarnings(ctx, warningsAnswer(at, list...)) }
	}
	confirm := func(h float64) func(context.Context, Store) error {
		at := noon.Add(time.Duration(h * float64(time.Hour)))
		return func(ctx context.Context, s Store) error { return s.ConfirmWarnings(ctx, "alerts", 52.5, -0.75, at) }
	}
	for _, c := range []struct {
		write
		counts int64
	}{
		{write{"confirmed, but never answered", confirm(0)}, 0},
		{write{"none, for the first time", put(0)}, 1},
		{write{"none again", put(0.5)}, 0},
		{write{"two", put(1, early, late)}, 1},
		{write{"the same two in another order", put(1.5, late, early)}, 0},
		{write{"confirmed", confirm(2)}, 0},
		{write{"the same after a silence of three hours", put(5, early, late)}, 1},
		{write{"confirmed after another", confirm(8)}, 1},
		{write{"one taken back", put(8.5, late)}, 1},
	} {
		before := revision(t, s)
		done(t, c.do(t.Context(), s))
		if counted := revision(t, s) - before; counted != c.counts {
			t.Errorf("%s: %d changes counted, want %d", c.name, counted, c.counts)
		}
	}
}
