package cache_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"osier/api/cache"
)

// work is a load that can be counted, delayed and made to fail.
type work struct {
	takes        time.Duration
	fresh, stale time.Duration
	fails        atomic.Bool
	runs         atomic.Int64
}

var errNoWeather = errors.New("the feed is down")

// load gives "1", "2", ... each time it is run.
func (w *work) load(ctx context.Context) (cache.Entry, error) {
	run := w.runs.Add(1)
	select {
	case <-time.After(w.takes):
	case <-ctx.Done():
		return cache.Entry{}, ctx.Err()
	}
	if w.fails.Load() {
		return cache.Entry{}, errNoWeather
	}
	return cache.NewEntry(fmt.Append(nil, run), time.Now(), w.fresh, w.stale), nil
}

func newLoader(t testing.TB, c cache.Cache) *cache.Loader {
	t.Helper()
	l := cache.NewLoader(cache.LoaderOptions{
		Cache: c, Deadline: 10 * time.Second, Now: time.Now, Log: quiet,
	})
	t.Cleanup(l.Close)
	return l
}

func newInProcess(t testing.TB, maxBytes uint64) *cache.InProcess {
	t.Helper()
	c, err := cache.NewInProcess(maxBytes)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(c.Close)
	return c
}

// inVirtualTime runs a test of one process whose loads take what w says.
func inVirtualTime(t *testing.T, w *work, run func(t *testing.T, l *cache.Loader, w *work)) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) { run(t, newLoader(t, newInProcess(t, 1<<20)), w) })
}

func wantEntry(t *testing.T, l *cache.Loader, w *work, value string, age time.Duration, stale bool) {
	t.Helper()
	e, err := l.Load(t.Context(), "plan", w.load)
	if err != nil {
		t.Fatalf("load: %v", err)
	}
	now := time.Now()
	// Entries keep milliseconds.
	if string(e.Value) != value || e.Stale(now) != stale || e.Age(now).Truncate(time.Second) != age {
		t.Errorf("got %q, age %s, stale %v; want %q, %s, %v", e.Value, e.Age(now), e.Stale(now), value, age, stale)
	}
}

func TestLoadFreshThenStaleThenGone(t *testing.T) {
	w := &work{takes: time.Second, fresh: time.Minute, stale: time.Hour}
	inVirtualTime(t, w, func(t *testing.T, l *cache.Loader, w *work) {
		start := time.Now()
		wantEntry(t, l, w, "1", 0, false) // waited for
		if waited := time.Since(start); waited != time.Second {
			t.Errorf("waited %s for the load, want 1s", waited)
		}
		time.Sleep(30 * time.Second)
		wantEntry(t, l, w, "1", 30*time.Second, false)
		if w.runs.Load() != 1 {
			t.Errorf("%d loads within the fresh time, want 1", w.runs.Load())
		}

		time.Sleep(45 * time.Second)
		start = time.Now()
		for range 100 {
			wantEntry(t, l, w, "1", 75*time.Second, true) // at once
		}
		if waited := time.Since(start); waited != 0 {
			t.Errorf("waited %s for a stale value, want no time", waited)
		}
		time.Sleep(2 * time.Second)
		wantEntry(t, l, w, "2", time.Second, false) // refreshed meanwhile
		if w.runs.Load() != 2 {
			t.Errorf("%d loads, want one more for 100 stale reads", w.runs.Load())
		}

		time.Sleep(2 * time.Hour)
		wantEntry(t, l, w, "3", 0, false) // too old to be given: waited for
	})
}

func TestLoadFailsWhileStale(t *testing.T) {
	w := &work{takes: time.Second, fresh: time.Minute, stale: time.Hour}
	inVirtualTime(t, w, func(t *testing.T, l *cache.Loader, w *work) {
		wantEntry(t, l, w, "1", 0, false)
		time.Sleep(2 * time.Minute)
		w.fails.Store(true)
		loads := w.runs.Load()
		for s := range 60 { // a read a second
			wantEntry(t, l, w, "1", 120*time.Second+time.Duration(s)*time.Second, true)
			time.Sleep(time.Second)
		}
		// A failed refresh takes a second and is followed by a pause of five.
		if got := w.runs.Load() - loads; got < 8 || got > 12 {
			t.Errorf("%d attempts to refresh in a minute, want about ten", got)
		}
		w.fails.Store(false)
		time.Sleep(10 * time.Second)
		l.Load(t.Context(), "plan", w.load)
		time.Sleep(2 * time.Second)
		e, err := l.Load(t.Context(), "plan", w.load)
		if err != nil || e.Stale(time.Now()) {
			t.Errorf("after the feed came back: %v, stale %v; want a fresh value", err, e.Stale(time.Now()))
		}

		w.fails.Store(true)
		time.Sleep(2 * time.Hour)
		if e, err := l.Load(t.Context(), "plan", w.load); !errors.Is(err, errNoWeather) {
			t.Errorf("past its stale time: got %q, %v; want the load's error", e.Value, err)
		}
	})
}

func TestLoadCurrentIsStaleOnlyWhenItMustBe(t *testing.T) {
	w := &work{takes: time.Second, fresh: time.Minute, stale: time.Hour}
	inVirtualTime(t, w, func(t *testing.T, l *cache.Loader, w *work) {
		for _, c := range []struct {
			name         string
			after        time.Duration
			fails        bool
			value        string
			waits        time.Duration
			stale, error bool
		}{
			{"nothing yet", 0, false, "1", time.Second, false, false},
			{"fresh", 30 * time.Second, false, "1", 0, false, false},
			{"stale: waited for", 2 * time.Minute, false, "2", time.Second, false, false},
			{"stale, and the load fails", 2 * time.Minute, true, "2", time.Second, true, false},
			{"just failed: not tried again yet", time.Second, true, "2", 0, true, false},
			{"tried again, while nobody waits for what just failed", 6 * time.Second, true, "2", 0, true, false},
			{"tried again after a while", 20 * time.Second, false, "5", time.Second, false, false},
			{"too old to be given", 2 * time.Hour, true, "", time.Second, false, true},
		} {
			time.Sleep(c.after)
			w.fails.Store(c.fails)
			start := time.Now()
			e, err := l.LoadCurrent(t.Context(), "current", w.load)
			if (err != nil) != c.error || string(e.Value) != c.value || time.Since(start) != c.waits {
				t.Errorf("%s: got %q, %v after %s; want %q after %s", c.name, e.Value, err, time.Since(start), c.value, c.waits)
			}
			if err == nil && e.Stale(time.Now()) != c.stale {
				t.Errorf("%s: stale %v, want %v", c.name, !c.stale, c.stale)
			}
		}
	})
}

// A load that fails may say what is to be given in place of what it should have
// made: it counts as stale, and is given until the load goes well.
func TestLoadGivesSomethingInstead(t *testing.T) {
	inVirtualTime(t, &work{}, func(t *testing.T, l *cache.Loader, _ *work) {
		before := cache.NewEntry([]byte("before"), time.Now(), time.Hour, time.Hour)
		loads, fails := 0, true
		load := func(context.Context) (cache.Entry, error) {
			loads++
			if fails {
				return cache.Entry{}, &cache.Instead{Entry: before, Err: errNoWeather}
			}
			return cache.NewEntry([]byte("now"), time.Now(), time.Hour, time.Hour), nil
		}
		time.Sleep(time.Minute)
		for range 3 {
			e, err := l.LoadCurrent(t.Context(), "current", load)
			if err != nil || string(e.Value) != "before" || !e.Stale(time.Now()) || e.Age(time.Now()) != time.Minute {
				t.Errorf("got %q, %v, stale %v, age %s; want what was before, a minute old and stale", e.Value, err, e.Stale(time.Now()), e.Age(time.Now()))
			}
		}
		if loads != 1 {
			t.Errorf("%d loads, want a pause after one that failed", loads)
		}
		fails = false
		time.Sleep(time.Minute)
		if e, err := l.LoadCurrent(t.Context(), "current", load); err != nil || string(e.Value) != "now" || e.Stale(time.Now()) {
			t.Errorf("when the load went well: got %q, %v", e.Value, err)
		}
		time.Sleep(3 * time.Hour)
		fails = true
		if e, err := l.LoadCurrent(t.Context(), "current", load); !errors.Is(err, errNoWeather) {
			t.Errorf("what was before is too old to be given: got %q, %v; want the load's error", e.Value, err)
		}
	})
}

func TestLoadOnceForMany(t *testing.T) {
	w := &work{takes: time.Second, fresh: time.Minute}
	inVirtualTime(t, w, func(t *testing.T, l *cache.Loader, w *work) {
		var wg sync.WaitGroup
		for range 100 {
			wg.Go(func() { wantEntry(t, l, w, "1", 0, false) })
		}
		wg.Wait()
		if got := w.runs.Load(); got != 1 {
			t.Errorf("%d loads for 100 readers, want 1", got)
		}
	})
}

// The first to ask may leave; the load goes on for the others.
func TestLoadOutlivesTheFirstCaller(t *testing.T) {
	w := &work{takes: 5 * time.Second, fresh: time.Minute}
	inVirtualTime(t, w, func(t *testing.T, l *cache.Loader, w *work) {
		var wg sync.WaitGroup
		wg.Go(func() {
			ctx, cancel := context.WithTimeout(t.Context(), time.Second)
			defer cancel()
			if _, err := l.Load(ctx, "plan", w.load); !errors.Is(err, context.DeadlineExceeded) {
				t.Errorf("the impatient caller got %v, want its own deadline", err)
			}
		})
		time.Sleep(500 * time.Millisecond)
		wantEntry(t, l, w, "1", 0, false)
		wg.Wait()
		if got := w.runs.Load(); got != 1 {
			t.Errorf("%d loads, want 1", got)
		}
	})
}

func TestLoadHasItsOwnDeadline(t *testing.T) {
	w := &work{takes: time.Hour, fresh: time.Minute}
	inVirtualTime(t, w, func(t *testing.T, l *cache.Loader, w *work) {
		start := time.Now()
		_, err := l.Load(t.Context(), "plan", w.load)
		if !errors.Is(err, context.DeadlineExceeded) || time.Since(start) != 10*time.Second {
			t.Errorf("got %v after %s, want the deadline of 10 s", err, time.Since(start))
		}
	})
}

func TestLoadErrorIsNotKept(t *testing.T) {
	w := &work{fresh: time.Minute}
	w.fails.Store(true)
	inVirtualTime(t, w, func(t *testing.T, l *cache.Loader, w *work) {
		if _, err := l.Load(t.Context(), "plan", w.load); !errors.Is(err, errNoWeather) {
			t.Fatalf("got %v, want the load's error", err)
		}
		w.fails.Store(false)
		wantEntry(t, l, w, "2", 0, false)
	})
}

func TestLoadOfAValueThatMayNotBeKept(t *testing.T) {
	inVirtualTime(t, &work{}, func(t *testing.T, l *cache.Loader, w *work) {
		for _, want := range []string{"1", "2"} {
			e, err := l.Load(t.Context(), "plan", w.load)
			if err != nil || string(e.Value) != want {
				t.Errorf("got %q, %v; want %q", e.Value, err, want)
			}
		}
	})
}

func TestLoadThatPanics(t *testing.T) {
	inVirtualTime(t, &work{fresh: time.Minute}, func(t *testing.T, l *cache.Loader, w *work) {
		_, err := l.Load(t.Context(), "plan", func(context.Context) (cache.Entry, error) { panic("no such water") })
		if err == nil || !strings.Contains(err.Error(), "no such water") {
			t.Errorf("got %v, want the panic as an error", err)
		}
		wantEntry(t, l, w, "1", 0, false)
	})
}

func TestLoaderTakesRubbishForAMiss(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := newInProcess(t, 1<<20)
		c.Put(t.Context(), "plan", []byte("written by something else"), time.Hour)
		wantEntry(t, newLoader(t, c), &work{fresh: time.Minute}, "1", 0, false)
	})
}

func TestLoaderCloses(t *testing.T) {
	w := &work{takes: 5 * time.Second, fresh: time.Minute}
	inVirtualTime(t, w, func(t *testing.T, l *cache.Loader, w *work) {
		wantEntry(t, l, w, "1", 0, false)
		var wg sync.WaitGroup
		wg.Go(func() {
			if _, err := l.Load(t.Context(), "other", w.load); !errors.Is(err, cache.ErrClosed) {
				t.Errorf("the load under way gave %v, want ErrClosed", err)
			}
		})
		time.Sleep(time.Second)
		start := time.Now()
		l.Close()
		l.Close()
		wg.Wait()
		if took := time.Since(start); took != 0 {
			t.Errorf("closing took %s, want no time for a load that heeds its context", took)
		}
		wantEntry(t, l, w, "1", time.Second, false) // still held
		if _, err := l.Load(t.Context(), "third", w.load); !errors.Is(err, cache.ErrClosed) {
			t.Errorf("a load after the end gave %v, want ErrClosed", err)
		}
	})
}
