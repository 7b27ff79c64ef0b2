package storetest

import (
	"context"
	"testing"
	"time"

	"osier/model"
)

// restriction is an invented closure of six hours with everything set that may
// be but its lifting.
func restriction(id string, from time.Time) model.Restriction {
	return model.Restriction{
		ID: id, Club: "quill-club", Water: "reedmere", Kind: model.FeedLimit, From: from, Until: model.Known(from.Add(6 * time.Hour)),
		Reason: "warm water", DecidedBy: "water-officer", FeedLimitDryG: model.Known[model.Grams](500), MadeAt: noon,
	}
}

func liftedAt(r model.Restriction, at time.Time) model.Restriction {
	r.LiftedAt, r.LiftedBy, r.LiftedWhy = model.Known(at), "VP", "rain came"
	return r
}

func restrictions(t *testing.T, s Store) {
	ctx := t.Context()
	hour := func(h int) time.Time { return noon.Add(time.Duration(h) * time.Hour) }
	first, open, later, elsewhere := restriction("r-b", noon), restriction("r-a", hour(2)), restriction("r-c", hour(20)), restriction("r-0", noon)
	open.Until = model.Maybe[time.Time]{}
	elsewhere.Water, elsewhere.Club = "carr", "other-club"
	for _, r := range []model.Restriction{later, open, elsewhere, first} {
		done(t, s.PutRestriction(ctx, r))
	}
	changed := first
	changed.Reason = "cold water"
	done(t, s.PutRestriction(ctx, changed)) // what is stored stays

	for _, c := range []struct {
		name     string
		from, to time.Time
		want     []model.Restriction
	}{
		{"until the first begins", hour(-5), noon, nil},
		{"its first second", hour(-5), noon.Add(time.Second), []model.Restriction{first}},
		{"its last second", hour(6).Add(-time.Second), hour(6), []model.Restriction{first, open}},
		{"once it has ended", hour(6), hour(7), []model.Restriction{open}},
		{"far ahead", hour(24 * 300), hour(24 * 301), []model.Restriction{open}},
		{"all", hour(-5), hour(50), []model.Restriction{first, open, later}},
	} {
		list, err := s.Restrictions(ctx, "reedmere", c.from, c.to)
		wantSame(t, c.name, c.want, got(t, list, err))
	}

	wasLifted := liftedAt(open, hour(4))
	done(t, s.LiftRestriction(ctx, wasLifted))
	done(t, s.LiftRestriction(ctx, liftedAt(open, hour(9)))) // the first lifting stays
	neverHeld := liftedAt(later, hour(10))
	done(t, s.LiftRestriction(ctx, neverHeld))
	r, err := s.Restriction(ctx, "r-a")
	wantSame(t, "the lifted one", wasLifted, got(t, r, err))
	_, err = s.Restriction(ctx, "r-none")
	wantError(t, err, model.NotFound, "there is no restriction", "r-none")
	list, err := s.Restrictions(ctx, "reedmere", hour(8), hour(50))
	wantSame(t, "those made for hours, lifted or not", []model.Restriction{wasLifted, neverHeld}, got(t, list, err))

	for _, c := range []struct {
		name       string
		from, to   time.Time
		afterStart time.Time
		after      string
		limit      int
		want       []model.Restriction
	}{
		{"a club's in force", hour(3), hour(3).Add(time.Second), time.Time{}, "", 9, []model.Restriction{first, wasLifted}},
		{"one a page", hour(3), hour(3).Add(time.Second), time.Time{}, "", 1, []model.Restriction{first}},
		{"the page after it", hour(3), hour(3).Add(time.Second), first.From, first.ID, 1, []model.Restriction{wasLifted}},
		{"the end", hour(3), hour(3).Add(time.Second), wasLifted.From, wasLifted.ID, 1, nil},
		{"no longer once it is lifted", hour(4), hour(5), time.Time{}, "", 9, []model.Restriction{first}},
		{"not at all if it was before it began", hour(9), hour(30), time.Time{}, "", 9, nil},
	} {
		list, err := s.ClubRestrictions(ctx, "quill-club", c.from, c.to, c.afterStart, c.after, c.limit)
		wantSame(t, c.name, c.want, got(t, list, err))
	}
}

// Making one and lifting it change what every plan rests on; doing so again does
// not.
func restrictionsRevision(t *testing.T, s Store) {
	put := func(ctx context.Context, s Store) error { return s.PutRestriction(ctx, restriction("r-1", noon)) }
	lift := func(ctx context.Context, s Store) error {
		return s.LiftRestriction(ctx, liftedAt(restriction("r-1", noon), noon.Add(time.Hour)))
	}
	for _, c := range []struct {
		write
		counts int64
	}{
		{write{"lifted, but never made", lift}, 0},
		{write{"made", put}, 1},
		{write{"made again", put}, 0},
		{write{"lifted", lift}, 1},
		{write{"lifted again", lift}, 0},
		{write{"made again once it was lifted", put}, 0},
	} {
		before := revision(t, s)
		done(t, c.do(t.Context(), s))
		if counted := revision(t, s) - before; counted != c.counts {
			t.Errorf("%s: %d changes counted, want %d", c.name, counted, c.counts)
		}
	}
}
