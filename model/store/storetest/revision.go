package storetest

import (
	"context"
	"encoding/json"
	"testing"
	"time"

	"osier/model"
)

// write is one write and its name.
type write struct {
	name string
	do   func(ctx context.Context, s Store) error
}

// changes are writes of which each changes something a plan may depend on, in
// an order that lets each do so.
var changes = []write{
	{"a water", func(ctx context.Context, s Store) error { return s.PutWater(ctx, water("reedmere")) }},
	{"a kit", func(ctx context.Context, s Store) error { return s.PutKit(ctx, kit("VP")) }},
	{"a report", func(ctx context.Context, s Store) error { return s.PutReport(ctx, report("r-1", noon)) }},
	{"a reading", func(ctx context.Context, s Store) error { return s.AddMeterReading(ctx, meterReading("m-1", noon)) }},
	{"stations", func(ctx context.Context, s Store) error {
		unknown := station("BBBB", 52.6, -0.5)
		unknown.ElevationM = model.Maybe[model.Metres]{}
		return s.PutStations(ctx, []model.Station{station("AAAA", 52.5, -0.5), unknown})
	}},
	{"observations", func(ctx context.Context, s Store) error {
		_, err := s.PutObservations(ctx, []model.Observation{observation(noon)})
		return err
	}},
	{"a forecast", func(ctx context.Context, s Store) error { return s.PutForecast(ctx, forecast(noon, noon)) }},
	{"joined sessions", func(ctx context.Context, s Store) error {
		return s.PutJoined(ctx, []model.JoinedSession{joinedOf(session(1))})
	}},
	{"a fit", func(ctx context.Context, s Store) error { return s.AddFit(ctx, fit("fit-a")) }},
}

func revisionCounts(t *testing.T, s Store) {
	ctx := t.Context()
	count := func(w write) {
		t.Helper()
		before := revision(t, s)
		done(t, w.do(ctx, s))
		if after := revision(t, s); after != before+1 {
			t.Errorf("%s: revision %d, want %d", w.name, after, before+1)
		}
	}
	count(write{"a session", func(ctx context.Context, s Store) error { return s.AddSession(ctx, session(1)) }})
	for _, w := range changes {
		count(w)
	}
	count(write{"a changed water", func(ctx context.Context, s Store) error {
		w := water("reedmere")
		w.MeanDepthM = 3
		return s.PutWater(ctx, w)
	}})
	count(write{"a station of known height now", func(ctx context.Context, s Store) error {
		return s.PutStations(ctx, []model.Station{station("BBBB", 52.6, -0.5)})
	}})
	count(write{"a changed session", func(ctx context.Context, s Store) error {
		changed := session(1)
		changed.Bites = model.Known(9)
		return s.ReplaceSession(ctx, changed, 1)
	}})
	count(write{"an import", func(ctx context.Context, s Store) error {
		return s.AddImport(ctx, []model.Session{session(2), session(3)}, model.Import{ID: "i-1", At: noon})
	}})
	count(write{"a deleted session", func(ctx context.Context, s Store) error { return s.DeleteSession(ctx, "s-02") }})
	count(write{"a forecast confirmed", func(ctx context.Context, s Store) error {
		return s.ConfirmForecast(ctx, "grid", 52.5, -0.75, noon.Add(time.Hour))
	}})
	count(write{"another fit", func(ctx context.Context, s Store) error { return s.AddFit(ctx, fit("fit-b")) }})
	count(write{"an old fit in force again", func(ctx context.Context, s Store) error { return s.AddFit(ctx, fit("fit-a")) }})
}

func revisionStays(t *testing.T, s Store) {
	ctx := t.Context()
	done(t, s.AddSession(ctx, session(1)))
	for _, w := range changes {
		done(t, w.do(ctx, s))
	}
	still := []write{
		{"no stations", func(ctx context.Context, s Store) error { return s.PutStations(ctx, nil) }},
		{"nothing joined", func(ctx context.Context, s Store) error { return s.PutJoined(ctx, nil) }},
		{"joined of a deleted session", func(ctx context.Context, s Store) error {
			return s.PutJoined(ctx, []model.JoinedSession{joinedOf(session(8))})
		}},
		{"an import that stored nothing", func(ctx context.Context, s Store) error {
			return s.AddImport(ctx, nil, model.Import{ID: "i-1", At: noon})
		}},
		{"a plan", func(ctx context.Context, s Store) error { return s.AddPlan(ctx, plan("p-1")) }},
		{"a run of a job", func(ctx context.Context, s Store) error { return s.PutJobRun(ctx, run("r-1", "pull", noon, true, "")) }},
		{"a feed's state", func(ctx context.Context, s Store) error {
			return s.PutFeedState(ctx, "https://feed.example/a", noon, json.RawMessage(`{}`))
		}},
		{"an answer", func(ctx context.Context, s Store) error {
			return s.KeepAnswer(ctx, "k", "o", "d", 200, noon, []byte("{}"))
		}},
	}
	for _, w := range changes {
		still = append(still, write{"the same again: " + w.name, w.do})
	}
	for _, w := range still {
		before := revision(t, s)
		done(t, w.do(ctx, s))
		if after := revision(t, s); after != before {
			t.Errorf("%s: revision %d, want %d as before", w.name, after, before)
		}
	}
	before := revision(t, s)
	for name, err := range map[string]error{
		"a session stored already":   s.AddSession(ctx, session(1)),
		"a change of no version":     s.ReplaceSession(ctx, session(1), 7),
		"deleting what is not there": s.DeleteSession(ctx, "s-none"),
	} {
		if err == nil {
			t.Errorf("%s was taken", name)
		}
	}
	if after := revision(t, s); after != before {
		t.Errorf("revision %d after refused writes, want %d", after, before)
	}
}

func identity(t *testing.T, open Open) {
	of := func(s Store) string {
		id, err := s.Identity(t.Context())
		if err != nil || len(id) < 16 {
			t.Fatalf("identity %q, error %v", id, err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		return id
	}
	first := of(open(t))
	if again := of(open(t)); again != first {
		t.Errorf("opened again it is %s, was %s", again, first)
	}
}
