//go:build unix

package jobs_test

import (
	"fmt"
	"log/slog"
	"syscall"
	"testing"
	"time"

	"osier/jobs"
	"osier/jobs/feed"
	"osier/model"
	"osier/model/store"
)

// BenchmarkPlan issues plans that nobody asked for before, with a club's 5,000
// sessions on record and fitted, and tells the processor time of each.
func BenchmarkPlan(b *testing.B) {
	ctx := b.Context()
	db, err := store.OpenSQLite(ctx, b.TempDir())
	done(b, err)
	b.Cleanup(func() { done(b, db.Close()) })
	done(b, db.PutWater(ctx, reedmere))
	bench := &bench{db: db, now: noon}
	bench.putWeather(b)
	var before []model.Observation
	for at := noon.Truncate(time.Hour).AddDate(0, 0, -70); at.Before(noon); at = at.Add(time.Hour) {
		before = append(before, report(at))
	}
	_, err = db.PutObservations(ctx, before)
	done(b, err)
	var all []model.Session
	for i := range 5000 {
		s := entry(1+i/8, fmt.Sprintf("A%d", i%40), i%11)
		s.Start, s.End = s.Start.Add(time.Duration(i%8)*time.Hour/2), s.End.Add(time.Duration(i%8)*time.Hour/2)
		s.ID = s.DerivedID()
		all = append(all, s)
	}
	done(b, db.AddImport(ctx, all, model.Import{ID: "i-all", At: noon}))
	_, err = (&jobs.Joiner{Store: db, Now: bench.clock}).Run(ctx)
	done(b, err)
	_, err = (&jobs.Fitter{Store: db, Now: bench.clock}).Run(ctx)
	done(b, err)
	keepStates(b, bench)
	planner := &jobs.Planner{Store: jobs.KeepReads(db), Now: bench.clock}
	n := 0
	ask := func() {
		n++
		_, err := planner.Plan(ctx, model.Question{Water: "reedmere", Start: noon.Add(time.Hour + time.Duration(n)*time.Second), Hours: 4, Group: model.Bream, Angler: "A3", Mode: "pleasure"})
		done(b, err)
	}
	ask() // what is held of a revision is read by its first plan
	used := processorTime(b)
	for b.Loop() {
		ask()
	}
	b.ReportMetric((processorTime(b)-used).Seconds()*1000/float64(b.N), "cpu-ms/op")
}

// keepStates has the store hold where the water stood, as each pull leaves it.
// No feed answers here, which keeps no pull from that.
func keepStates(b *testing.B, bench *bench) {
	b.Helper()
	client, err := feed.New(feed.Options{Application: "osier/test", Base: "http://127.0.0.1:1", Spacing: 1})
	done(b, err)
	puller := jobs.Puller{Store: bench.db, Client: client, Now: bench.clock, Log: slog.New(slog.DiscardHandler)}
	if counts, _ := puller.Run(b.Context(), []model.Water{reedmere}); counts["water states"] == 0 {
		b.Fatalf("no state of the water is kept: %v", counts)
	}
}

// processorTime is what this process has used.
func processorTime(b *testing.B) time.Duration {
	b.Helper()
	var used syscall.Rusage
	done(b, syscall.Getrusage(syscall.RUSAGE_SELF, &used))
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
