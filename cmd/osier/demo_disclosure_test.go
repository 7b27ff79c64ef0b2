package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
	"osier/model/store"
)

// openClub is the invented club in a store of its own, its records joined with
// their weather, each as if it had been entered a day after its session.
func openClub(t *testing.T, now time.Time) (*store.DB, demoWorld) {
	t.Helper()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	ctx := t.Context()
	a := app{ctx: ctx, stdout: io.Discard, stderr: io.Discard, data: t.TempDir(), now: func() time.Time { return now }, log: slog.New(slog.DiscardHandler)}
	db, err := a.open()
	must(err)
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	world, _, err := a.loadDemo(ctx, db)
	must(err)
	sessions, err := db.Sessions(ctx, "", "", time.Unix(0, 0), now)
	must(err)
	for _, s := range sessions {
		_, version, err := db.Session(ctx, s.ID)
		must(err)
		s.EnteredAt = s.End.AddDate(0, 0, 1)
		must(db.ReplaceSession(ctx, s, version))
	}
	_, err = (&jobs.Joiner{Store: db, Now: a.now}).Run(ctx)
	must(err)
	return db, world
}

var errNoOwnFits = errors.New("own fits are not made here")

// publicFits forgets the fits there are, and stops a run after the public one.
type publicFits struct {
	*store.DB
	latest *model.FitRecord
}

func (s *publicFits) LatestFit(_ context.Context, angler string, _ time.Time) (model.FitRecord, error) {
	switch {
	case angler != "":
		return model.FitRecord{}, errNoOwnFits
	case s.latest == nil:
		return model.FitRecord{}, model.NotFoundf("fit", "", "there is no fit")
	}
	return *s.latest, nil
}

func (s *publicFits) AddPublicFit(_ context.Context, f model.FitRecord, _ []model.JoinedSession, _ []string) error {
	s.latest = &f
	return nil
}

// Statistics pack 6, over the demo's year month by month: any two public fits in
// a row differ by what five anglers at least did, none of them over half of it.
func TestPublicFitsOfTheDemoTellOfNobody(t *testing.T) {
	db, _ := openClub(t, demoNow)
	joined, err := db.Joined(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	angler := map[string]string{}
	for _, j := range joined {
		angler[j.Session] = j.Angler
	}
	kept := &publicFits{DB: db}
	var before []string
	changes := 0
	for month := range 13 {
		now := time.Date(demoNow.Year()-1, demoNow.Month()+time.Month(month), 1, 0, 40, 0, 0, time.UTC)
		known := joinedBy{publicFits: kept, now: now}
		_, err := (&jobs.Fitter{Store: known, Now: func() time.Time { return now }}).Run(t.Context())
		if err != nil && !errors.Is(err, errNoOwnFits) {
			t.Fatal(err)
		}
		after := kept.latest.Admitted
		byAngler := map[string]int{}
		n := 0
		for _, id := range slices.Concat(before, after) {
			if slices.Contains(before, id) != slices.Contains(after, id) {
				byAngler[angler[id]]++
				n++
			}
		}
		if n > 0 {
			changes++
			counts := slices.Collect(maps.Values(byAngler))
			t.Logf("%s: %d sessions of %d anglers, at most %d of one", now.Format("2006-01"), n, len(byAngler), slices.Max(counts))
			if why := model.Withheld(counts); len(why) > 0 {
				t.Errorf("%s: two public fits differ by %d sessions of %v: %v", now.Format("2006-01"), n, byAngler, why)
			}
		}
		before = after
	}
	if changes < 2 {
		t.Errorf("%d public fits let sessions in; the test wants several", changes)
	}
}

// joinedBy is what had been entered by an instant.
type joinedBy struct {
	*publicFits
	now time.Time
}

func (s *publicFits) PublicRows(context.Context) ([]model.JoinedSession, error) { return nil, nil }

func (s joinedBy) Joined(ctx context.Context) ([]model.JoinedSession, error) {
	joined, err := s.publicFits.Joined(ctx)
	return slices.DeleteFunc(joined, func(j model.JoinedSession) bool { return !j.EnteredAt.Before(s.now) }), err
}

var (
	bands  = []string{"under 5", "5-9", "10-19", "20-49", "50 or more"}
	number = regexp.MustCompile(`\d+`)
)

// A plan tells the asker's own sessions exactly and other people's as bands: in
// every part of the document that counts any.
func TestPlansTellOthersSessionsInBandsAlone(t *testing.T) {
	db, world := openClub(t, demoNow)
	planner := jobs.Planner{Store: db, Now: func() time.Time { return demoNow }}
	for _, angler := range []string{"", "RJ", "marlo"} {
		q := world.question(demoNow)
		q.Angler = angler
		p, err := planner.Plan(t.Context(), q)
		if err != nil {
			t.Fatal(err)
		}
		body, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		var doc any
		if err := json.Unmarshal(body, &doc); err != nil {
			t.Fatal(err)
		}
		counted := 0
		walkDocument("", doc, func(path string, v any) {
			name := path[strings.LastIndex(path, ".")+1:]
			if name != "sessions" && name != "similar_sessions" && name != "anglers" && name != "others" {
				return
			}
			switch v := v.(type) {
			case string:
				counted++
				if !slices.Contains(bands, v) {
					t.Errorf("%q: %s is %q, want a band", angler, path, v)
				}
			case float64:
				t.Errorf("%q: %s tells %g sessions", angler, path, v)
			}
		})
		if counted < 3 {
			t.Errorf("%q: %d counts in the plan, want those of its evidence", angler, counted)
		}
		text := p.Evidence.Text
		for _, band := range bands {
			text = strings.ReplaceAll(text, band, "")
		}
		for _, n := range number.FindAllString(text, -1) {
			if n != strconv.Itoa(p.Evidence.Sessions.Own) && n != strconv.Itoa(p.Evidence.Similar.Own) && n != "3" {
				t.Errorf("%q: %q tells %s of somebody", angler, p.Evidence.Text, n)
			}
		}
	}
}

func walkDocument(path string, v any, see func(path string, v any)) {
	see(path, v)
	switch v := v.(type) {
	case map[string]any:
		for name, inner := range v {
			walkDocument(path+"."+name, inner, see)
		}
	case []any:
		for i, inner := range v {
			walkDocument(fmt.Sprintf("%s[%d]", path, i), inner, see)
		}
	}
}

// One session more of another angler, which no public fit has read, changes
// nothing of anybody else's plan but its name.
func TestAnotherAnglersSessionChangesNobodysPlan(t *testing.T) {
	db, world := openClub(t, demoNow)
	planner := jobs.Planner{Store: db, Now: func() time.Time { return demoNow }}
	q := world.question(demoNow)
	q.Angler = ""
	before, err := planner.Plan(t.Context(), q)
	if err != nil {
		t.Fatal(err)
	}
	sessions, err := db.Sessions(t.Context(), q.Water, "marlo", time.Unix(0, 0), demoNow)
	if err != nil || len(sessions) == 0 {
		t.Fatalf("%d sessions of marlo's here: %v", len(sessions), err)
	}
	more := sessions[len(sessions)-1]
	more.Start, more.End = more.Start.Add(30*time.Hour), more.End.Add(30*time.Hour)
	more.Bites, more.WaterTemp, more.Casts, more.Intervals = model.Known(60), model.Maybe[model.WaterReading]{}, nil, nil
	more.ID = more.DerivedID()
	if err := db.AddSession(t.Context(), more); err != nil {
		t.Fatal(err)
	}
	now := func() time.Time { return demoNow }
	if _, err := (&jobs.Joiner{Store: db, Now: now}).Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	if _, err := (&jobs.Fitter{Store: db, Now: now}).Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	after, err := planner.Plan(t.Context(), q)
	if err != nil {
		t.Fatal(err)
	}
	was, err := json.Marshal(before)
	if err != nil {
		t.Fatal(err)
	}
	is, err := json.Marshal(after)
	if err != nil {
		t.Fatal(err)
	}
	if string(was) != string(is) {
		t.Errorf("the plan tells of it:\n%s\n%s", was, is)
	}
}
