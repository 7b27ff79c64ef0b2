package jobs_test

import (
	"bytes"
	"context"
	"errors"
	"log/slog"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/model"
)

// runs is a store of runs and leases in memory.
type runs struct {
	mu     sync.Mutex
	all    map[string]model.JobRun
	leases map[leaseKey]model.Lease
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

var quiet = slog.New(slog.DiscardHandler)

// seen keeps what the schedule tells of its runs.
type seen struct {
	mu      sync.Mutex
	ended   []model.JobRun
	skipped []string
}

func (s *seen) RunEnded(r model.JobRun) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.ended = append(s.ended, r)
}

func (s *seen) RunSkipped(job string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.skipped = append(s.skipped, job)
}

// options are those of a schedule in virtual time.
func options(store jobs.LeaseStore, list ...jobs.Job) jobs.ScheduleOptions {
	return jobs.ScheduleOptions{Store: store, Now: time.Now, Log: quiet, Random: rand.New(rand.NewPCG(1, 2)), Jobs: list}
}

// runFor runs a schedule for so long in virtual time, and waits for its end.
func runFor(t *testing.T, o jobs.ScheduleOptions, long time.Duration) *seen {
	t.Helper()
	s, err := jobs.NewSchedule(o)
	done(t, err)
	ctx, stop := context.WithCancel(t.Context())
	observer, ended := &seen{}, make(chan struct{})
	go func() { s.Run(ctx, observer); close(ended) }()
	time.Sleep(long)
	stop()
	<-ended
	return observer
}

func job(name, when string, run func(ctx context.Context) error) jobs.Job {
	return jobs.Job{Name: name, When: when, Deadline: 2 * time.Hour, Run: func(ctx context.Context) (map[string]int, error) {
		return map[string]int{"done": 1}, run(ctx)
	}}
}

func nothingToDo(context.Context) error { return nil }

func TestOnlyWhatWasMissedRunsAtTheStart(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := &runs{all: map[string]model.JobRun{}}
		success := func(name string, ago time.Duration, fault string) {
			run := model.JobRun{ID: "old " + name, Job: name, StartedAt: time.Now().Add(-ago), EndedAt: model.Known(time.Now()), Error: fault}
			done(t, store.PutJobRun(t.Context(), run))
		}
		time.Sleep(20 * time.Minute) // it is 0:20, and all were due at 23:50
		success("since", 29*time.Minute, "")
		success("before", 31*time.Minute, "")
		success("failed", time.Minute, "the feed was down")
		var order []string
		list := []jobs.Job{}
		for _, name := range []string{"since", "before", "failed", "never"} {
			list = append(list, job(name, "50 * * * *", func(context.Context) error {
				order = append(order, name)
				return nil
			}))
		}
		runFor(t, options(store, list...), time.Minute)
		if got := strings.Join(order, " "); got != "before failed never" {
			t.Errorf("ran at the start: %s, want before, failed and never, in the order given", got)
		}
	})
}

func TestAJobThatPanicsKeepsItsTurn(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := &runs{all: map[string]model.JobRun{}}
		called := 0
		o := options(store,
			job("panics", "13 * * * *", func(context.Context) error { called++; panic("a fault in the program") }),
			job("other", "13 * * * *", nothingToDo))
		runFor(t, o, 5*time.Hour)
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
		observer := runFor(t, options(store, job("long", "13,43 * * * *", func(context.Context) error {
			mu.Lock()
			at++
			most = max(most, at)
			mu.Unlock()
			time.Sleep(70 * time.Minute)
			mu.Lock()
			at--
			mu.Unlock()
			return nil
		})), 48*time.Hour)
		// The first from midnight to 1:10; then 1:13 to 2:23, 2:43 to 3:53 and
		// so on: one in every 90 minutes of the 46 h 47 min left.
		if got := len(store.starts("long")); most != 1 || got != 1+32 {
			t.Errorf("%d runs, at most %d at once; want 33 and 1", got, most)
		}
		// Each of the 96 times it was due it ran or was skipped.
		if got := len(observer.skipped); got != 96-32 {
			t.Errorf("%d runs were skipped, want 64", got)
		}
	})
}

func TestARunIsOneLineOfTheLog(t *testing.T) {
	for _, c := range []struct {
		name string
		run  func(ctx context.Context) error
		want []string
	}{
		{"well", func(context.Context) error { time.Sleep(90 * time.Second); return nil }, []string{"level=INFO", `msg="job done"`, "job=one", "duration_s=90", "counts.done=1"}},
		{"badly", func(context.Context) error { return errors.New("the feed was down") }, []string{"level=ERROR", `msg="job failed"`, "job=one", "duration_s=0", "counts.done=1", `error="the feed was down"`}},
		{"in a panic", func(context.Context) error { panic("a fault") }, []string{"level=ERROR", `error="the job panicked: a fault"`, "stack=", "schedule_test.go"}},
	} {
		synctest.Test(t, func(t *testing.T) {
			var log bytes.Buffer
			o := options(&runs{all: map[string]model.JobRun{}}, job("one", "13 * * * *", c.run))
			o.Log = slog.New(slog.NewTextHandler(&log, nil))
			runFor(t, o, 10*time.Minute)
			lines := strings.Split(strings.TrimSpace(log.String()), "\n")
			if len(lines) != 1 {
				t.Fatalf("%s: %d lines, want one:\n%s", c.name, len(lines), &log)
			}
			for _, want := range c.want {
				if !strings.Contains(lines[0], want) {
					t.Errorf("%s: the line lacks %s: %s", c.name, want, lines[0])
				}
			}
		})
	}
}

func TestTheObserverIsToldHowRunsEnded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := &runs{all: map[string]model.JobRun{}}
		observer := runFor(t, options(store,
			job("good", "13 * * * *", nothingToDo),
			job("bad", "13 * * * *", func(context.Context) error { return errors.New("the feed was down") })), 30*time.Minute)
		if len(observer.ended) != 4 { // at the start and at 0:13
			t.Fatalf("told of %d runs, want 4", len(observer.ended))
		}
		for _, run := range observer.ended {
			if diff := cmp.Diff(store.all[run.ID], run); diff != "" {
				t.Errorf("what is told (+) is not what is kept (-):\n%s", diff)
			}
		}
	})
}
