package cache_test

import (
	"context"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"osier/api/cache"
	"osier/api/cache/cachetest"
)

// replica is a shared cache in virtual time: a front of its own, and a back and
// claims that all replicas have in common.
type replica struct {
	*cache.InProcess
	back   *cache.InProcess
	claims *sync.Map
}

func (r replica) Get(ctx context.Context, key string) ([]byte, bool) {
	if v, ok := r.InProcess.Get(ctx, key); ok {
		return v, true
	}
	return r.Renew(ctx, key)
}

func (r replica) Renew(ctx context.Context, key string) ([]byte, bool) {
	v, ok := r.back.Get(ctx, key)
	if ok {
		r.InProcess.Put(ctx, key, v, time.Hour)
	}
	return v, ok
}

func (r replica) Put(ctx context.Context, key string, value []byte, keep time.Duration) {
	r.InProcess.Put(ctx, key, value, keep)
	r.back.Put(ctx, key, value, keep)
}

func (r replica) Claim(_ context.Context, key string, _ time.Duration) (func(), bool) {
	if _, taken := r.claims.LoadOrStore(key, true); taken {
		return func() {}, true
	}
	return func() { r.claims.Delete(key) }, false
}

// twoReplicas runs a test of two loaders in virtual time.
func twoReplicas(t *testing.T, run func(t *testing.T, one, two *cache.Loader, claims *sync.Map)) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		back, claims := newInProcess(t, 1<<20), new(sync.Map)
		one := newLoader(t, replica{newInProcess(t, 1<<20), back, claims})
		two := newLoader(t, replica{newInProcess(t, 1<<20), back, claims})
		run(t, one, two, claims)
	})
}

func TestLoadOnceForTwoReplicas(t *testing.T) {
	twoReplicas(t, func(t *testing.T, one, two *cache.Loader, _ *sync.Map) {
		w := &work{takes: 600 * time.Millisecond, fresh: time.Minute, stale: time.Hour}
		var wg sync.WaitGroup
		for _, l := range []*cache.Loader{one, two, one, two} {
			wg.Go(func() { wantEntry(t, l, w, "1", 0, false) })
		}
		wg.Wait()
		if got := w.runs.Load(); got != 1 {
			t.Errorf("%d loads, want 1", got)
		}

		time.Sleep(2 * time.Minute)
		wantEntry(t, one, w, "1", 120*time.Second, true)
		wantEntry(t, two, w, "1", 120*time.Second, true)
		time.Sleep(2 * time.Second)
		wantEntry(t, one, w, "2", time.Second, false)
		wantEntry(t, two, w, "2", time.Second, false)
		if got := w.runs.Load(); got != 2 {
			t.Errorf("%d loads, want one more for the refresh of both", got)
		}
	})
}

// The front of the second replica still has the stale value when the first has
// long refreshed it.
func TestRefreshTakesWhatAnotherReplicaMade(t *testing.T) {
	twoReplicas(t, func(t *testing.T, one, two *cache.Loader, _ *sync.Map) {
		w := &work{fresh: time.Minute, stale: time.Hour}
		wantEntry(t, one, w, "1", 0, false)
		wantEntry(t, two, w, "1", 0, false)
		time.Sleep(2 * time.Minute)
		wantEntry(t, one, w, "1", 120*time.Second, true)
		time.Sleep(10 * time.Second)
		wantEntry(t, two, w, "1", 130*time.Second, true)
		synctest.Wait()
		wantEntry(t, two, w, "2", 10*time.Second, false)
		if got := w.runs.Load(); got != 2 {
			t.Errorf("%d loads, want 2", got)
		}
	})
}

func TestLoadDoesNotWaitLongForAnotherReplica(t *testing.T) {
	for _, c := range []struct {
		name     string
		what     func(claims *sync.Map)
		min, max time.Duration
	}{
		{"it died with the claim", func(*sync.Map) {}, time.Second, 1100 * time.Millisecond},
		{"it gave up without a value", func(claims *sync.Map) {
			time.Sleep(300 * time.Millisecond)
			claims.Delete("plan")
		}, 300 * time.Millisecond, 350 * time.Millisecond},
	} {
		t.Run(c.name, func(t *testing.T) {
			twoReplicas(t, func(t *testing.T, one, _ *cache.Loader, claims *sync.Map) {
				claims.Store("plan", true)
				go c.what(claims)
				start := time.Now()
				wantEntry(t, one, &work{fresh: time.Minute}, "1", 0, false)
				if took := time.Since(start); took < c.min || took > c.max {
					t.Errorf("took %s, want %s to %s", took, c.min, c.max)
				}
			})
		})
	}
}

// One replica cannot reach the feed, the other can.
func TestLoadFailsHereAndWentWellThere(t *testing.T) {
	twoReplicas(t, func(t *testing.T, one, two *cache.Loader, claims *sync.Map) {
		bad, good := &work{takes: 3500 * time.Millisecond}, &work{takes: time.Second, fresh: time.Minute}
		bad.fails.Store(true)
		var wg sync.WaitGroup
		wg.Go(func() { wantEntry(t, one, bad, "1", time.Second, false) })
		time.Sleep(10 * time.Millisecond)
		wantEntry(t, two, good, "1", 0, false) // waits a second for the first, then loads
		wg.Wait()
	})
}

func TestLoadOnceOverRedis(t *testing.T) {
	const replicas, readers, keys = 3, 20, 10
	s := cachetest.StartRedis(t)
	var loads atomic.Int64
	var wg sync.WaitGroup
	for range replicas {
		l := newLoader(t, newTiered(t, s))
		for range readers {
			wg.Go(func() {
				for k := range keys {
					key := fmt.Sprint("plan/", k)
					e, err := l.Load(t.Context(), key, func(context.Context) (cache.Entry, error) {
						loads.Add(1)
						time.Sleep(20 * time.Millisecond)
						return cache.NewEntry([]byte(key), time.Now(), time.Minute, 0), nil
					})
					if err != nil || string(e.Value) != key {
						t.Errorf("%s: got %q, %v", key, e.Value, err)
					}
				}
			})
		}
	}
	wg.Wait()
	if got := loads.Load(); got != keys {
		t.Errorf("%d loads of %d keys by %d replicas, want one each", got, keys, replicas)
	}
}

func TestLoadWithoutRedis(t *testing.T) {
	noLeak(t, func(t *testing.T) {
		back := newRedis(t, "redis://"+cachetest.FreeAddr(t))
		l := newLoader(t, tieredOver(t, back, 1<<20))
		w := &work{fresh: time.Hour}
		for range 1000 {
			wantEntry(t, l, w, "1", 0, false)
		}
		if got := w.runs.Load(); got != 1 {
			t.Errorf("%d loads, want 1", got)
		}
		if got := back.Faults(); got != 1 {
			t.Errorf("went to a dead server %d times, want once", got)
		}
	})
}
