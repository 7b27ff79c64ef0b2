package jobs_test

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"osier/jobs"
	"osier/model"
)

// runs is a store of runs in memory.
type runs struct {
	mu  sync.Mutex
	all map[string]model.JobRun
}

func (r *runs) PutJobRun(_ context.Context, run model.JobRun) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.all[run.ID] = run
	return nil
}

func (r *runs) LastSuccess(_ context.Context, job string) (model.JobRun, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	var last model.JobRun
	for _, run := range r.all {
		if run.Job == job && run.EndedAt.Known && run.Error == "" && run.StartedAt.After(last.StartedAt) {
			last = run
		}
	}
	if last.ID == "" {
		return last, model.NotFoundf("job run", "", "none")
	}
	return last, nil
}

// starts lists when a job began, in order.
func (r *runs) starts(job string) []time.Time {
	r.mu.Lock()
	defer r.mu.Unlock()
	var out []time.Time
	for _, run := range r.all {
		if run.Job == job {
			out = append(out, run.StartedAt)
		}
	}
	slices.SortFunc(out, time.Time.Compare)
	return out
}

var quiet = slog.New(slog.NewTextHandler(io.Discard, nil))

// runFor runs a schedule for so long in virtual time, and waits for its end.
func runFor(t *testing.T, store jobs.RunStore, long time.Duration, list ...jobs.Job) {
	t.Helper()
	s, err := jobs.NewSchedule(store, time.Now, quiet, list)
	done(t, err)
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- s.Run(ctx) }()
	time.Sleep(long)
	stop()
	done(t, <-ended)
}

func job(name, when string, run func(ctx context.Context) error) jobs.Job {
	return jobs.Job{Name: name, When: when, Overdue: time.Hour, Deadline: 2 * time.Hour, Run: func(ctx context.Context) (map[string]int, error) {
		return map[string]int{"done": 1}, run(ctx)
	}}
}

func nothingToDo(context.Context) error { return nil }

func TestEachJobRunsAsOftenAsItsTimesSay(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := &runs{all: map[string]model.JobRun{}}
		pull, join, fit := jobs.PullJob(nil, nil), jobs.JoinJob(&jobs.Joiner{}), jobs.FitJob(nil)
		began := time.Now() // midnight
		for _, j := range []*jobs.Job{&pull, &join, &fit} {
			j.Run = func(context.Context) (map[string]int, error) { return nil, nil }
		}
		runFor(t, store, 48*time.Hour, pull, join, fit)
		for _, c := range []struct {
			job     string
			ticks   int
			minutes []int
		}{{"pull", 96, []int{13, 43}}, {"join", 48, []int{22}}, {"fit", 48, []int{37}}} {
			starts := store.starts(c.job)
			if len(starts) != 1+c.ticks || !starts[0].Equal(began) {
				t.Fatalf("%s ran %d times from %v on, want once at the start and %d times since", c.job, len(starts), starts[0], c.ticks)
			}
			for _, at := range starts[1:] {
				if !slices.Contains(c.minutes, at.Minute()) {
					t.Errorf("%s ran at %v, want minute %v", c.job, at, c.minutes)
				}
			}
		}
	})
}

func TestOnlyWhatIsOverdueRunsAtTheStart(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := &runs{all: map[string]model.JobRun{}}
		success := func(name string, ago time.Duration, fault string) {
			run := model.JobRun{ID: "old " + name, Job: name, StartedAt: time.Now().Add(-ago), EndedAt: model.Known(time.Now()), Error: fault}
			done(t, store.PutJobRun(t.Context(), run))
		}
		success("recent", 59*time.Minute, "")
		success("old", 61*time.Minute, "")
		success("failed", time.Minute, "the feed was down")
		var order []string
		list := []jobs.Job{}
		for _, name := range []string{"recent", "old", "failed", "never"} {
			list = append(list, job(name, "50 * * * *", func(context.Context) error {
				order = append(order, name)
				return nil
			}))
		}
		runFor(t, store, time.Minute, list...)
		if got := strings.Join(order, " "); got != "old failed never" {
			t.Errorf("ran at the start: %s, want old, failed and never, in the order given", got)
		}
	})
}

func TestAJobThatPanicsKeepsItsTurn(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := &runs{all: map[string]model.JobRun{}}
		called := 0
		runFor(t, store, 5*time.Hour,
			job("panics", "13 * * * *", func(context.Context) error { called++; panic("a fault in the program") }),
			job("other", "13 * * * *", nothingToDo))
		if called != 6 || len(store.starts("other")) != 6 {
			t.Errorf("the job that panics was called %d times and the other %d, want 6 each", called, len(store.starts("other")))
		}
	})
}

func TestAJobThatRunsLongIsNotStartedTwice(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := &runs{all: map[string]model.JobRun{}}
		var mu sync.Mutex
		at, most := 0, 0
		runFor(t, store, 48*time.Hour, job("long", "13,43 * * * *", func(context.Context) error {
			mu.Lock()
			at++
			most = max(most, at)
			mu.Unlock()
			time.Sleep(70 * time.Minute)
			mu.Lock()
			at--
			mu.Unlock()
			return nil
		}))
		// The first from midnight to 1:10; then 1:13 to 2:23, 2:43 to 3:53 and
		// so on: one in every 90 minutes of the 46 h 47 min left.
		if got := len(store.starts("long")); most != 1 || got != 1+32 {
			t.Errorf("%d runs, at most %d at once; want 33 and 1", got, most)
		}
	})
}

func TestARunSaysHowItEnded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		for _, c := range []struct {
			name  string
			run   func(ctx context.Context) error
			fault string
			took  time.Duration
		}{
			{"well", func(context.Context) error { time.Sleep(3 * time.Minute); return nil }, "", 3 * time.Minute},
			{"badly", func(context.Context) error { return errors.New("the feed was down") }, "the feed was down", 0},
			{"by its deadline", func(ctx context.Context) error { <-ctx.Done(); return ctx.Err() }, "context deadline exceeded", 2 * time.Hour},
		} {
			store := &runs{all: map[string]model.JobRun{}}
			runFor(t, store, 3*time.Hour, job("one", "0 0 1 1 *", c.run))
			if len(store.all) != 1 {
				t.Fatalf("%s: %d records, want one for the run", c.name, len(store.all))
			}
			for _, run := range store.all {
				if run.Error != c.fault || !run.EndedAt.Known || run.EndedAt.Value.Sub(run.StartedAt) != c.took || run.Counts["done"] != 1 {
					t.Errorf("%s: record %+v, want fault %q after %v", c.name, run, c.fault, c.took)
				}
			}
		}
	})
}

func TestAScheduleThatCannotBeReadIsRefused(t *testing.T) {
	for name, when := range map[string]string{"no times": "", "a word": "often", "a day that never comes": "13 4 31 2 *", "seconds": "0 13 * * * *"} {
		_, err := jobs.NewSchedule(&runs{}, time.Now, quiet, []jobs.Job{job("odd", when, nothingToDo)})
		if err == nil || !strings.Contains(err.Error(), "job odd: ") {
			t.Errorf("%s, %q: error %v, want one that names the job", name, when, err)
		}
	}
}
