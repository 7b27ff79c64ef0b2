package storetest

import (
	"testing"
	"time"

	"osier/model"
)

func waters(t *testing.T, s Store) {
	ctx := t.Context()
	for _, id := range []string{"bream-lake", "ash-pool", "dell", "carr"} {
		done(t, s.PutWater(ctx, water(id)))
	}
	changed := water("dell")
	changed.Name, changed.Pegs = "The Dell", nil
	done(t, s.PutWater(ctx, changed))

	w, err := s.Water(ctx, "dell")
	wantSame(t, "the water put twice", changed, got(t, w, err))

	for _, c := range []struct {
		after string
		limit int
		want  []string
	}{
		{"", 3, []string{"ash-pool", "bream-lake", "carr"}},
		{"carr", 3, []string{"dell"}},
		{"dell", 3, nil},
		{"b", 1, []string{"bream-lake"}},
		{"", 100, []string{"ash-pool", "bream-lake", "carr", "dell"}},
	} {
		page, err := s.Waters(ctx, c.after, c.limit)
		var ids []string
		for _, w := range got(t, page, err) {
			ids = append(ids, w.ID)
		}
		wantSame(t, "the page after "+c.after, c.want, ids)
	}
}

func kits(t *testing.T, s Store) {
	ctx := t.Context()
	done(t, s.PutKit(ctx, kit("VP")))
	other := kit("MK")
	other.RodMaxG = model.Known[model.Grams](90)
	done(t, s.PutKit(ctx, other))
	newer := kit("VP")
	newer.Feeders = append(newer.Feeders, model.OwnFeeder{Type: "window", CapacityMl: 50, WeightG: 40})
	done(t, s.PutKit(ctx, newer))
	for _, want := range []model.Kit{newer, other} {
		k, err := s.Kit(ctx, want.Angler)
		wantSame(t, "kit of "+want.Angler, want, got(t, k, err))
	}
}

func reports(t *testing.T, s Store) {
	ctx := t.Context()
	first, second, third := report("r-1", noon), report("r-2", noon.Add(time.Hour)), report("r-3", noon.Add(2*time.Hour))
	elsewhere := report("r-4", noon)
	elsewhere.Water = "carr"
	for _, r := range []model.Report{third, first, elsewhere, second} {
		done(t, s.PutReport(ctx, r))
	}
	for _, c := range []struct {
		name     string
		from, to time.Time
		want     []model.Report
	}{
		{"both ends included", noon, noon.Add(2 * time.Hour), []model.Report{first, second, third}},
		{"the middle", noon.Add(time.Second), noon.Add(119 * time.Minute), []model.Report{second}},
		{"none that day", noon.AddDate(0, 0, 1), noon.AddDate(0, 0, 2), nil},
	} {
		list, err := s.Reports(ctx, "reedmere", c.from, c.to)
		wantSame(t, c.name, c.want, got(t, list, err))
	}
}

func notFound(t *testing.T, s Store) {
	ctx := t.Context()
	for _, c := range []struct {
		name string
		err  func() error
		says []string
	}{
		{"water", func() error { _, err := s.Water(ctx, "nowhere"); return err }, []string{"there is no water", "nowhere"}},
		{"kit", func() error { _, err := s.Kit(ctx, "nobody"); return err }, []string{"there is no kit", "nobody"}},
		{"session", func() error { _, _, err := s.Session(ctx, "s-none"); return err }, []string{"there is no session", "s-none"}},
		{"session by identity", func() error { _, err := s.SessionByIdentity(ctx, "a|b"); return err }, []string{"there is no session", "a|b"}},
		{"deleted session", func() error { return s.DeleteSession(ctx, "s-none") }, []string{"there is no session", "s-none"}},
		{"import", func() error { _, err := s.Import(ctx, "i-none"); return err }, []string{"there is no import", "i-none"}},
		{"fit", func() error { _, err := s.LatestFit(ctx, "", farAhead); return err }, []string{"there is no fit"}},
		{"plan", func() error { _, err := s.Plan(ctx, "p-none"); return err }, []string{"there is no plan", "p-none"}},
		{"success", func() error { _, err := s.LastSuccess(ctx, "pull"); return err }, []string{"job pull has not succeeded yet"}},
	} {
		t.Run(c.name, func(t *testing.T) { wantError(t, c.err(), model.NotFound, c.says...) })
	}
	t.Run("lists are empty, not errors", func(t *testing.T) {
		list, err := s.Waters(ctx, "", 10)
		if len(got(t, list, err)) != 0 {
			t.Errorf("waters %v, want none", list)
		}
		joined, err := s.Joined(ctx)
		if len(got(t, joined, err)) != 0 {
			t.Errorf("joined %v, want none", joined)
		}
		state, err := s.FeedState(ctx, "https://feed.example/never")
		if got(t, state, err) != nil {
			t.Errorf("feed state %s, want none", state)
		}
	})
}
