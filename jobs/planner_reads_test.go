package jobs_test

import (
	"context"
	"log/slog"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/jobs/feed"
	"osier/model"
	"osier/model/store"
)

func asOfNow(t *testing.T, kept jobs.PlanStore) jobs.PlanStore {
	t.Helper()
	held, err := jobs.AsOfNow(t.Context(), kept)
	done(t, err)
	return held
}

// countedReads counts how often the joined sessions are read.
type countedReads struct {
	*store.DB
	joined int
}

func (s *countedReads) Joined(ctx context.Context) ([]model.JoinedSession, error) {
	s.joined++
	return s.DB.Joined(ctx)
}

func TestJoinedSessionsAreReadOncePerRevision(t *testing.T) {
	b := newBench(t)
	b.addRecords(t, 3, 5, 0)
	b.join(t)
	counted := &countedReads{DB: b.db}
	kept := jobs.KeepReads(counted)
	read := func() []model.JoinedSession {
		t.Helper()
		joined, err := asOfNow(t, kept).Joined(t.Context())
		done(t, err)
		return joined
	}
	want := slices.Clone(read())
	if diff := cmp.Diff(want, read()); diff != "" || counted.joined != 1 || len(want) != 3 {
		t.Errorf("%d readings for two readers of %d rows:\n%s", counted.joined, len(want), diff)
	}
	done(t, b.db.DeleteSession(t.Context(), want[0].Session))
	if got := read(); len(got) != 2 || counted.joined != 2 {
		t.Errorf("%d rows after a deletion, %d readings; want 2 and 2", len(got), counted.joined)
	}
}

func TestSessionsWithAReadingAreThoseOfTheSpan(t *testing.T) {
	b := newBench(t)
	for day := range 4 {
		s := record(1+day, "VP", 2)
		s.WaterTemp = model.Known(model.WaterReading{C: 6, Instrument: day != 2})
		done(t, b.db.AddSession(t.Context(), s))
	}
	kept := jobs.KeepReads(b.db)
	for _, span := range [][2]int{{0, 9}, {1, 2}, {2, 4}, {3, 3}, {8, 9}} {
		from, to := record(span[1], "VP", 0).Start, record(span[0], "VP", 0).Start
		for _, water := range []string{"reedmere", "nowhere"} {
			want, err := b.db.SessionsWithReading(t.Context(), water, from, to)
			done(t, err)
			got, err := asOfNow(t, kept).SessionsWithReading(t.Context(), water, from, to)
			done(t, err)
			if len(want) != len(got) || len(got) > 0 && !cmp.Equal(want, got) {
				t.Errorf("%s, days %v: %d sessions, want %d", water, span, len(got), len(want))
			}
		}
	}
}

// What is held makes no other plan.
func TestAPlanFromHeldReadsIsThatOfTheStore(t *testing.T) {
	q := model.Question{Water: "reedmere", Start: noon.Add(20 * 3600e9), Hours: 4, Group: model.Bream, Angler: "A0", Mode: "pleasure"}
	plans := map[bool]model.Plan{}
	for _, held := range []bool{false, true} {
		b := newBench(t)
		b.putWeather(t)
		b.store(t, club(1, 3, 3, 2, 2, 2)...)
		b.refit(t)
		planner := jobs.Planner{Store: b.db, Now: b.clock}
		if held {
			planner.Store = jobs.KeepReads(b.db)
			other := q
			other.Group = model.Carp
			_, err := planner.Plan(t.Context(), other)
			done(t, err)
		}
		p, err := planner.Plan(t.Context(), q)
		done(t, err)
		plans[held] = p
	}
	if diff := cmp.Diff(plans[false], plans[true]); diff != "" {
		t.Errorf("the plans differ:\n%s", diff)
	}
}

// What is held of fits and of an angler's records is what the store says, at any
// instant and after a change.
func TestFitsAndOwnRecordsAreThoseOfTheStore(t *testing.T) {
	b := newBench(t)
	kept := jobs.KeepReads(b.db)
	compare := func() {
		t.Helper()
		for _, at := range []time.Time{noon.Add(-time.Hour), noon, noon.Add(time.Minute), noon.Add(time.Hour)} {
			for _, angler := range []string{"", "VP"} {
				want, wrong := b.db.LatestFit(t.Context(), angler, at)
				got, err := asOfNow(t, kept).LatestFit(t.Context(), angler, at)
				if model.CodeOf(err) != model.CodeOf(wrong) || !cmp.Equal(want, got) {
					t.Errorf("fit of %q at %v: %s, %v; want %s, %v", angler, at, got.ID, err, want.ID, wrong)
				}
				for _, water := range []string{"", "reedmere", "nowhere"} {
					want, err := b.db.Sessions(t.Context(), water, angler, noon.AddDate(0, 0, -3), at)
					done(t, err)
					got, err := asOfNow(t, kept).Sessions(t.Context(), water, angler, noon.AddDate(0, 0, -3), at)
					done(t, err)
					if len(want) != len(got) || len(got) > 0 && !cmp.Equal(want, got) {
						t.Errorf("sessions of %q at %q by %v: %d, want %d", angler, water, at, len(got), len(want))
					}
				}
			}
		}
	}
	compare()
	for i := range 5 {
		done(t, b.db.AddSession(t.Context(), record(i, "VP", 3)))
		done(t, b.db.AddFit(t.Context(), model.FitRecord{ID: "fit-" + string(rune('a'+i)), Angler: []string{"", "VP"}[i%2], MadeAt: noon.Add(time.Duration(i-1) * time.Minute), Sessions: 1, Body: []byte("{}")}))
		compare()
	}
}

// keepStates has the store hold where the waters stood, as each pull leaves it. No
// feed answers here, which keeps no pull from that.
func (b *bench) keepStates(t testing.TB) {
	t.Helper()
	client, err := feed.New(feed.Options{Application: "osier/test", Base: "http://127.0.0.1:1", Spacing: 1})
	done(t, err)
	waters, err := b.db.Waters(t.Context(), "", 10)
	done(t, err)
	puller := jobs.Puller{Store: b.db, Client: client, Now: b.clock, Log: slog.New(slog.DiscardHandler)}
	_, _ = puller.Run(t.Context(), waters) //nolint:errcheck // that of the feeds
	states, err := b.db.WaterStates(t.Context(), waters[0].ID, time.Time{}, b.now)
	if err != nil || len(states) == 0 {
		t.Fatalf("no state of %s is kept: %v", waters[0].ID, err)
	}
}
