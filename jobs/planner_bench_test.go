//go:build unix

package jobs_test

import (
	"fmt"
	"math/rand/v2"
	"syscall"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
	"osier/model/store"
	"osier/model/store/storetest"
)

// BenchmarkPlan issues plans that nobody asked for before, by a clock that goes on,
// with a club's 5,000 sessions on record and fitted, and tells the processor time of
// each: as a server makes them, and the first after each change of the store.
func BenchmarkPlan(b *testing.B) {
	b.Run("sqlite", func(b *testing.B) {
		db, err := store.OpenSQLite(b.Context(), b.TempDir())
		done(b, err)
		benchmarkPlans(b, db)
	})
	b.Run("postgres", func(b *testing.B) {
		if !storetest.PostgresHere() {
			b.Skip("PostgreSQL is not installed")
		}
		db, err := store.OpenPostgres(b.Context(), storetest.StartPostgres(b).Database(b))
		done(b, err)
		benchmarkPlans(b, db)
	})
}

func benchmarkPlans(b *testing.B, db *store.DB) {
	b.Helper()
	b.Cleanup(func() { done(b, db.Close()) })
	bench := &bench{db: db, now: noon}
	bench.fill(b)
	planner := &jobs.Planner{Store: jobs.KeepReads(db), Now: bench.clock}
	random := rand.New(rand.NewPCG(1, 1))
	ask := func() {
		bench.now = bench.now.Add(100 * time.Millisecond)
		_, err := planner.Plan(b.Context(), model.Question{
			Water: "reedmere", Start: bench.now.Add(time.Duration(random.Int64N(int64(40 * time.Hour)))).Truncate(time.Second), Hours: float64(2 + random.IntN(5)),
			Group: model.Bream, Angler: fmt.Sprintf("A%d", random.IntN(40)), Mode: "pleasure",
		})
		done(b, err)
	}
	b.Run("uncached", func(b *testing.B) {
		for range 100 { // what is held is read by the first few
			ask()
		}
		used := processorTime(b)
		for b.Loop() {
			ask()
		}
		b.ReportMetric((processorTime(b)-used).Seconds()*1000/float64(b.N), "cpu-ms/op")
	})
	b.Run("first after a change", func(b *testing.B) {
		var used time.Duration
		for b.Loop() {
			b.StopTimer()
			done(b, db.PutReport(b.Context(), model.Report{ID: "r-1", Water: "reedmere", Kind: model.HeardThunder, At: bench.now.Truncate(time.Second)}))
			bench.now = bench.now.Add(time.Second)
			from := processorTime(b)
			b.StartTimer()
			ask()
			used += processorTime(b) - from
		}
		b.ReportMetric(used.Seconds()*1000/float64(b.N), "cpu-ms/op")
	})
}

// fill is a club's records of some years, fitted, and the weather of ten weeks.
func (b *bench) fill(t testing.TB) {
	t.Helper()
	ctx := t.Context()
	done(t, b.db.PutWater(ctx, reedmere))
	b.putWeather(t)
	var before []model.Observation
	for at := noon.Truncate(time.Hour).AddDate(0, 0, -70); at.Before(noon); at = at.Add(time.Hour) {
		before = append(before, report(at))
	}
	_, err := b.db.PutObservations(ctx, before)
	done(t, err)
	var all []model.Session
	for i := range 5000 {
		s := entry(1+i/8, fmt.Sprintf("A%d", i%40), i%11)
		s.Start, s.End = s.Start.Add(time.Duration(i%8)*time.Hour/2), s.End.Add(time.Duration(i%8)*time.Hour/2)
		s.ID = s.DerivedID()
		all = append(all, s)
	}
	done(t, b.db.AddImport(ctx, all, model.Import{ID: "i-all", At: noon}))
	_, err = (&jobs.Joiner{Store: b.db, Now: b.clock}).Run(ctx)
	done(t, err)
	_, err = (&jobs.Fitter{Store: b.db, Now: b.clock}).Run(ctx)
	done(t, err)
	b.keepStates(t)
}

// processorTime is what this process has used.
func processorTime(b *testing.B) time.Duration {
	b.Helper()
	var used syscall.Rusage
	done(b, syscall.Getrusage(syscall.RUSAGE_SELF, &used))
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
