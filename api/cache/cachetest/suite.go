package cachetest

import (
	"context"
	"fmt"
	"sync"
	"testing"
	"time"

	"osier/api/cache"
)

// Setup makes a fresh cache bounded to about maxBytes, and a way to let time
// pass for it.
type Setup func(t *testing.T, maxBytes uint64) (c cache.Cache, pass func(time.Duration))

// Scenario is one thing a cache must do.
type Scenario struct {
	Name string
	Run  func(t *testing.T, setup Setup)
}

// Scenarios lists what every cache must do. The caller runs each as it likes,
// in virtual time where the cache can live in it.
func Scenarios() []Scenario {
	return []Scenario{
		{"what was put is got", putAndGet},
		{"what was never put is a miss", miss},
		{"the last put wins", overwrite},
		{"an entry ends with its time", expiry},
		{"no time means no entry", noTime},
		{"the bound holds", bounded},
		{"many goroutines at once", concurrent},
	}
}

func putAndGet(t *testing.T, setup Setup) {
	c, _ := setup(t, 1<<20)
	c.Put(t.Context(), "plan/1", []byte("ten grams"), time.Hour)
	wantHit(t, c, "plan/1", "ten grams")
}

func miss(t *testing.T, setup Setup) {
	c, _ := setup(t, 1<<20)
	wantMiss(t, c, "plan/none")
}

func overwrite(t *testing.T, setup Setup) {
	c, _ := setup(t, 1<<20)
	c.Put(t.Context(), "current", []byte("first"), time.Hour)
	c.Put(t.Context(), "current", []byte("second"), time.Hour)
	wantHit(t, c, "current", "second")
}

func expiry(t *testing.T, setup Setup) {
	c, pass := setup(t, 1<<20)
	c.Put(t.Context(), "short", []byte("a"), 2*time.Second)
	c.Put(t.Context(), "long", []byte("b"), time.Hour)
	pass(time.Second)
	wantHit(t, c, "short", "a")
	pass(1500 * time.Millisecond)
	wantMiss(t, c, "short")
	wantHit(t, c, "long", "b")
}

func noTime(t *testing.T, setup Setup) {
	c, _ := setup(t, 1<<20)
	c.Put(t.Context(), "none", []byte("a"), 0)
	c.Put(t.Context(), "past", []byte("a"), -time.Second)
	wantMiss(t, c, "none")
	wantMiss(t, c, "past")
}

func bounded(t *testing.T, setup Setup) {
	const entries, size, bound = 600, 1000, 200_000
	c, pass := setup(t, bound)
	for i := range entries {
		c.Put(t.Context(), fmt.Sprint("key/", i), make([]byte, size), time.Hour)
	}
	pass(time.Second) // eviction may run behind
	held := 0
	for i := range entries {
		if v, ok := c.Get(t.Context(), fmt.Sprint("key/", i)); ok {
			held += len(v)
		}
	}
	if held > bound*11/10 {
		t.Errorf("holds %d bytes of %d allowed", held, bound)
	}
	if held == 0 {
		t.Error("holds nothing at all")
	}
}

func concurrent(t *testing.T, setup Setup) {
	c, _ := setup(t, 1<<20)
	var wg sync.WaitGroup
	for g := range 8 {
		wg.Go(func() {
			for i := range 200 {
				key := fmt.Sprint("key/", i%20)
				c.Put(t.Context(), key, []byte(key), time.Hour)
				if v, ok := c.Get(t.Context(), key); ok && string(v) != key {
					t.Errorf("goroutine %d: %s holds %s", g, key, v)
				}
			}
		})
	}
	wg.Wait()
}

func wantHit(t *testing.T, c cache.Cache, key, want string) {
	t.Helper()
	got, ok := c.Get(context.Background(), key)
	if !ok || string(got) != want {
		t.Errorf("%s: got %q, %v; want %q", key, got, ok, want)
	}
}

func wantMiss(t *testing.T, c cache.Cache, key string) {
	t.Helper()
	if got, ok := c.Get(context.Background(), key); ok {
		t.Errorf("%s: got %q, want a miss", key, got)
	}
}
