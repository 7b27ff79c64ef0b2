package cache_test

import (
	"context"
	"testing"
	"time"

	"osier/api/cache"
	"osier/api/cache/cachetest"
)

// A hit in this process against a round trip to Redis on the same machine, in
// one run, so that their ratio means something.
func BenchmarkHit(b *testing.B) {
	s := cachetest.StartRedis(b)
	back := newPatientRedis(b, s.URL())
	tiered := tieredOver(b, back, 1<<20)
	loader := newLoader(b, tiered)
	value := make([]byte, 4<<10) // about a rendered plan
	load := func(context.Context) (cache.Entry, error) {
		return cache.NewEntry(value, time.Now(), time.Hour, time.Hour), nil
	}
	if _, err := loader.Load(b.Context(), "plan", load); err != nil {
		b.Fatal(err)
	}

	var inProcess, roundTrip time.Duration
	b.Run("in process", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := loader.Load(b.Context(), "plan", load); err != nil {
				b.Fatal(err)
			}
		}
		inProcess = b.Elapsed() / time.Duration(b.N)
	})
	b.Run("redis", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, ok := back.Get(b.Context(), "plan"); !ok {
				b.Fatal("a miss")
			}
		}
		roundTrip = b.Elapsed() / time.Duration(b.N)
		b.ReportMetric(float64(roundTrip)/float64(max(inProcess, 1)), "x-in-process")
	})
}
