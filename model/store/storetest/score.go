package storetest

import (
	"testing"

	"osier/model"
)

func scoreOf(s model.Session, plan string) model.Score {
	score := model.CountScore{LogScore: model.Known(2.5), CRPS: 1.5, DSS: 3, PITLow: 0.25, PITHigh: 0.5, Cover50: true, Cover90: true, Mean: 4}
	return model.Score{
		Session: s.ID, Plan: plan, Fit: "fit-0", Water: s.Water, Group: s.Group, IssuedAt: noon, Start: s.Start, RodHours: 4,
		Bites: s.Bites.Value, Fish: model.Known(0), Forecast: score, References: map[string]model.CountScore{"one rate": score},
		BlankProbability: 0.125, Matched: "by its plan_id", InputsDigest: "d-1", ScoredAt: noon,
	}
}

func scores(t *testing.T, s Store) {
	ctx := t.Context()
	first, second, deleted, elsewhere := session(1), session(2), session(3), session(4)
	elsewhere.Water, elsewhere.Group = "carr", model.Carp
	for _, one := range []model.Session{first, second, elsewhere} {
		done(t, s.AddSession(ctx, one))
	}
	none, err := s.Scores(ctx, "", "")
	if len(got(t, none, err)) != 0 {
		t.Errorf("%d scores in a new store", len(none))
	}
	impossible := scoreOf(second, "p-2")
	impossible.Forecast.LogScore = model.Maybe[float64]{}
	before := revision(t, s)
	done(t, s.PutScores(ctx, []model.Score{impossible, scoreOf(deleted, "p-3"), scoreOf(elsewhere, "p-4"), scoreOf(first, "p-1")}))
	if after := revision(t, s); after != before+1 {
		t.Errorf("scores changed the revision from %d to %d", before, after)
	}
	for _, c := range []struct {
		name, water string
		group       model.Group
		want        []model.Score
	}{
		{"all, by start, without the deleted one", "", "", []model.Score{scoreOf(first, "p-1"), impossible, scoreOf(elsewhere, "p-4")}},
		{"of a water", "reedmere", "", []model.Score{scoreOf(first, "p-1"), impossible}},
		{"of a group", "", model.Carp, []model.Score{scoreOf(elsewhere, "p-4")}},
		{"of both", "carr", model.Bream, nil},
	} {
		list, err := s.Scores(ctx, c.water, c.group)
		wantSame(t, c.name, c.want, got(t, list, err))
	}

	// The same again is no change; another takes its place.
	before = revision(t, s)
	done(t, s.PutScores(ctx, []model.Score{impossible}))
	done(t, s.DeleteScores(ctx, []string{"s-none"}))
	if after := revision(t, s); after != before {
		t.Errorf("the same scores changed the revision from %d to %d", before, after)
	}
	anew := scoreOf(first, "p-9")
	anew.InputsDigest = "d-2"
	done(t, s.PutScores(ctx, []model.Score{anew}))
	done(t, s.DeleteScores(ctx, []string{second.ID}))
	list, err := s.Scores(ctx, "reedmere", "")
	wantSame(t, "one scored anew, one taken away", []model.Score{anew}, got(t, list, err))
	if after := revision(t, s); after != before+2 {
		t.Errorf("two changes took the revision from %d to %d", before, after)
	}

	done(t, s.DeleteSession(ctx, first.ID))
	list, err = s.Scores(ctx, "reedmere", "")
	if len(got(t, list, err)) != 0 {
		t.Errorf("%d scores of a deleted session", len(list))
	}
}
