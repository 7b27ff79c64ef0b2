package cache_test

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"osier/api/cache"
	"osier/api/cache/cachetest"
)

const (
	faultReaders = 50
	// The keys are far more than the front holds, so that most reads want
	// Redis.
	faultKeys       = 2000
	faultFrontBytes = 64 << 10
)

// readers read random keys through one loader until they are stopped, and
// note how long each read took by the phase in which it began.
type readers struct {
	loader *cache.Loader
	loads  atomic.Int64
	failed atomic.Int64

	mu    sync.Mutex
	phase string
	took  map[string][]time.Duration
}

func valueOf(key string) []byte { return bytes.Repeat([]byte(key), 1000/len(key)) }

func (r *readers) read(t *testing.T) {
	key := fmt.Sprintf("plan/%04d", rand.IntN(faultKeys))
	r.mu.Lock()
	phase := r.phase
	r.mu.Unlock()
	start := time.Now()
	e, err := r.loader.Load(t.Context(), key, func(context.Context) (cache.Entry, error) {
		r.loads.Add(1)
		return cache.NewEntry(valueOf(key), time.Now(), time.Hour, time.Hour), nil
	})
	took := time.Since(start)
	if err != nil || !bytes.Equal(e.Value, valueOf(key)) {
		r.failed.Add(1)
		t.Errorf("%s: read %s: %.20q, %v", phase, key, e.Value, err)
	}
	r.mu.Lock()
	r.took[phase] = append(r.took[phase], took)
	r.mu.Unlock()
}

// enter begins a phase and lets the readers be in it for a while.
func (r *readers) enter(phase string, while time.Duration) {
	r.mu.Lock()
	r.phase = phase
	r.mu.Unlock()
	time.Sleep(while)
}

func (r *readers) report(t *testing.T, phase string) {
	t.Helper()
	r.mu.Lock()
	took := slices.Clone(r.took[phase])
	r.mu.Unlock()
	if len(took) == 0 {
		t.Errorf("%s: no reads at all", phase)
		return
	}
	slices.Sort(took)
	at := func(share float64) time.Duration {
		return took[int(share*float64(len(took)-1))].Round(time.Microsecond)
	}
	t.Logf("%-34s %6d reads, p50 %9s, p99 %9s, longest %9s", phase, len(took), at(0.5), at(0.99), at(1))
	if longest := at(1); longest > 3*time.Second {
		t.Errorf("%s: a read took %s", phase, longest)
	}
}

func TestFiftyReadersWhileRedisFails(t *testing.T) {
	s := cachetest.StartRedis(t)
	back := newRedis(t, s.URL())
	r := &readers{loader: newLoader(t, tieredOver(t, back, faultFrontBytes)), took: map[string][]time.Duration{}, phase: "before"}

	stop := make(chan struct{})
	var reading sync.WaitGroup
	for range faultReaders {
		reading.Go(func() {
			for {
				select {
				case <-stop:
					return
				case <-time.After(5 * time.Millisecond):
					r.read(t)
				}
			}
		})
	}
	defer reading.Wait()
	defer close(stop)

	r.enter("before", 2*time.Second)
	if s.Commands("get") == 0 {
		t.Error("Redis was never asked, so its faults would show nothing")
	}
	r.report(t, "before")

	for _, fault := range []struct {
		name        string
		begin, mend func()
	}{
		{"killed", s.Kill, s.Start},
		{"hung", s.Hang, s.Resume},
		{"accepting and never answering", func() { s.Kill(); s.Mute() }, func() { s.Unmute(); s.Start() }},
	} {
		waitFor(t, "redis is asked", back.Answering) // a busy machine may stall for 100 ms at any time
		waits := back.Faults()
		fault.begin()
		r.enter(fault.name, 2*time.Second)
		if back.Answering() {
			t.Errorf("%s: Redis is taken for answering", fault.name)
		}
		fault.mend()
		r.enter("mending", 0)
		waitFor(t, "redis is asked again", back.Answering)
		waits = back.Faults() - waits
		asked := s.Commands("get")
		r.enter("after it was "+fault.name, 2*time.Second)
		if s.Commands("get") == asked {
			t.Errorf("%s: Redis is not asked any more", fault.name)
		}
		r.report(t, fault.name)
		r.report(t, "after it was "+fault.name)
		t.Logf("%s: %d readers went to Redis in vain %d times", fault.name, faultReaders, waits)
		if waits > faultReaders {
			t.Errorf("%s: went to Redis in vain %d times, want at most once for each of %d readers", fault.name, waits, faultReaders)
		}
	}
	t.Logf("%d failed reads, %d loads", r.failed.Load(), r.loads.Load())
}

// A replica is restarted while the feed is down: what the others kept behind is
// given, and its age said.
func TestStaleValueSurvivesInRedis(t *testing.T) {
	s := cachetest.StartRedis(t)
	old := newLoader(t, newTiered(t, s))
	w := &work{fresh: 50 * time.Millisecond, stale: time.Hour}
	first, err := old.Load(t.Context(), "plan", w.load)
	if err != nil {
		t.Fatal(err)
	}
	old.Close()
	time.Sleep(60 * time.Millisecond)
	w.fails.Store(true)

	restarted := newLoader(t, newTiered(t, s))
	for range 3 {
		e, err := restarted.Load(t.Context(), "plan", w.load)
		if err != nil || string(e.Value) != "1" || !e.Stale(time.Now()) || e.StoredAt.UnixMilli() != first.StoredAt.UnixMilli() {
			t.Errorf("got %q made at %s, stale %v, %v; want the stale value of %s", e.Value, e.StoredAt, e.Stale(time.Now()), err, first.StoredAt)
		}
	}
}

// No word of a fault reaches standard error by itself; the library's lines are
// in our log, at debug level.
func TestLibraryLinesGoToOurLog(t *testing.T) {
	var said syncBuffer
	r := newLoggedRedis(t, "redis://"+cachetest.FreeAddr(t), debugLog(&said))
	r.Get(t.Context(), "plan")
	waitFor(t, "the library's line is in the log", func() bool { return strings.Contains(said.String(), "failed to dial") })
	if got := strings.Count(said.String(), "level=WARN"); got != 1 {
		t.Errorf("%d warnings, want one:\n%s", got, said.String())
	}
}
