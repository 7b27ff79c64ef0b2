package cache_test

import (
	"testing"
	"time"

	"osier/api/cache"
	"osier/api/cache/cachetest"
)

// newTiered makes a cache of one replica over a Redis that is there.
func newTiered(t testing.TB, s *cachetest.RedisServer) *cache.Tiered {
	t.Helper()
	return tieredOver(t, newPatientRedis(t, s.URL()), 1<<20)
}

func tieredOver(t testing.TB, back *cache.Redis, frontBytes uint64) *cache.Tiered {
	t.Helper()
	front, err := cache.NewInProcess(frontBytes)
	if err != nil {
		t.Fatal(err)
	}
	c := cache.NewTiered(front, back)
	t.Cleanup(c.Close)
	return c
}

func TestTiered(t *testing.T) {
	for _, scenario := range cachetest.Scenarios() {
		t.Run(scenario.Name, func(t *testing.T) {
			t.Parallel()
			scenario.Run(t, func(t *testing.T, maxBytes uint64) (cache.Cache, func(time.Duration)) {
				s := cachetest.StartRedis(t)
				back := newPatientRedis(t, s.URL())
				evictAbove(t, s, back, maxBytes/2)
				return tieredOver(t, back, maxBytes/2), time.Sleep // half in front, half behind
			})
		})
	}
}

// Without Redis, what is in front goes on.
func TestTieredWithoutRedis(t *testing.T) {
	for _, scenario := range cachetest.Scenarios() {
		t.Run(scenario.Name, func(t *testing.T) {
			t.Parallel()
			scenario.Run(t, func(t *testing.T, maxBytes uint64) (cache.Cache, func(time.Duration)) {
				return tieredOver(t, newRedis(t, "redis://"+cachetest.FreeAddr(t)), maxBytes), time.Sleep
			})
		})
	}
}

func TestTieredReplicasShare(t *testing.T) {
	s := cachetest.StartRedis(t)
	one, two := newTiered(t, s), newTiered(t, s)
	one.Put(t.Context(), "plan", []byte("ten grams"), time.Hour)
	if v, ok := two.Get(t.Context(), "plan"); !ok || string(v) != "ten grams" {
		t.Errorf("the other replica got %q, %v", v, ok)
	}
}

func TestTieredHitDoesNotLeaveTheProcess(t *testing.T) {
	s := cachetest.StartRedis(t)
	one, two := newTiered(t, s), newTiered(t, s)
	one.Put(t.Context(), "plan", []byte("ten grams"), time.Hour)
	two.Get(t.Context(), "plan") // fills the front
	before := s.Commands("get")
	for range 1000 {
		for _, c := range []*cache.Tiered{one, two} {
			if _, ok := c.Get(t.Context(), "plan"); !ok {
				t.Fatal("a miss")
			}
		}
	}
	if asked := s.Commands("get") - before; asked != 0 {
		t.Errorf("2000 hits in front asked Redis %d times", asked)
	}
}

// What Redis has for another second is not kept in front for an hour.
func TestTieredFrontKeepsTheRemainingTimeOnly(t *testing.T) {
	s := cachetest.StartRedis(t)
	one, two := newTiered(t, s), newTiered(t, s)
	one.Put(t.Context(), "current", []byte("7"), 2*time.Second)
	time.Sleep(time.Second)
	if _, ok := two.Get(t.Context(), "current"); !ok {
		t.Fatal("a miss after half its time")
	}
	s.Kill() // now only the front can answer
	if _, ok := two.Get(t.Context(), "current"); !ok {
		t.Error("not in front")
	}
	time.Sleep(1500 * time.Millisecond)
	if v, ok := two.Get(t.Context(), "current"); ok {
		t.Errorf("got %q past its time", v)
	}
}

func TestTieredRenewLooksBehindTheFront(t *testing.T) {
	s := cachetest.StartRedis(t)
	one, two := newTiered(t, s), newTiered(t, s)
	one.Put(t.Context(), "current", []byte("7"), time.Hour)
	two.Get(t.Context(), "current")
	one.Put(t.Context(), "current", []byte("8"), time.Hour)
	if v, _ := two.Get(t.Context(), "current"); string(v) != "7" {
		t.Errorf("the front gave %q, want the 7 that it holds", v)
	}
	if v, _ := two.Renew(t.Context(), "current"); string(v) != "8" {
		t.Errorf("renewed to %q, want 8", v)
	}
	if v, _ := two.Get(t.Context(), "current"); string(v) != "8" {
		t.Errorf("the front gave %q after it was renewed, want 8", v)
	}
}

func TestTieredCloses(t *testing.T) {
	noLeak(t, func(t *testing.T) {
		c := tieredOver(t, newRedis(t, "redis://"+cachetest.FreeAddr(t)), 1<<20)
		c.Put(t.Context(), "plan", []byte("a"), time.Hour)
		c.Close()
		c.Close()
	})
}
