package jobs_test

import (
	"context"
	"errors"
	"testing"
	"testing/synctest"
	"time"

	"osier/jobs"
	"osier/model"
)

func TestARunSaysHowItEnded(t *testing.T) {
	for _, c := range []struct {
		name   string
		run    func(ctx context.Context) error
		fault  string
		took   time.Duration
		counts int
	}{
		{"well", func(context.Context) error { time.Sleep(3*time.Minute + 1234567*time.Microsecond); return nil }, "", 3*time.Minute + 1235*time.Millisecond, 1},
		{"badly", func(context.Context) error { return errors.New("the feed was down") }, "the feed was down", 0, 1},
		{"by its deadline", func(ctx context.Context) error { <-ctx.Done(); return ctx.Err() }, "context deadline exceeded", 2 * time.Hour, 1},
		{"in a panic", func(context.Context) error { time.Sleep(time.Second); panic("a fault in the program") }, "the job panicked: a fault in the program", time.Second, 0},
		{"in a panic of the runtime", func(context.Context) error { return at(nil, 3) }, "the job panicked: runtime error: index out of range [3] with length 0", 0, 0},
	} {
		synctest.Test(t, func(t *testing.T) {
			store := &runs{all: map[string]model.JobRun{}}
			runFor(t, options(store, job("one", "0 0 1 1 *", c.run)), 3*time.Hour)
			if len(store.all) != 1 {
				t.Fatalf("%s: %d records, want one for the run", c.name, len(store.all))
			}
			for _, run := range store.all {
				if run.Error != c.fault || !run.EndedAt.Known || run.DurationS != model.Known(c.took.Seconds()) || run.Counts["done"] != c.counts {
					t.Errorf("%s: record %+v, want fault %q after %v", c.name, run, c.fault, c.took)
				}
				if apart := run.EndedAt.Value.Sub(run.StartedAt) - c.took; apart.Abs() > time.Millisecond {
					t.Errorf("%s: from %v to %v, want %v", c.name, run.StartedAt, run.EndedAt.Value, c.took)
				}
			}
		})
	}
}

// fullStore is a store that keeps the first so many records of runs.
type fullStore struct {
	runs
	room int
}

func (f *fullStore) PutJobRun(ctx context.Context, run model.JobRun) error {
	if f.room--; f.room < 0 {
		return errors.New("the disk is full")
	}
	return f.runs.PutJobRun(ctx, run)
}

func TestARunThatCannotBeRecordedHasFailed(t *testing.T) {
	for room, want := range []struct {
		ran   int
		fault string
	}{
		{0, "the disk is full"},
		{1, "the feed was down\nthe disk is full"},
		{1, "the feed was down"},
	} {
		store := &fullStore{runs: runs{all: map[string]model.JobRun{}}, room: room}
		ran := 0
		run, err := jobs.RunJob(t.Context(), store, time.Now, job("one", "", func(context.Context) error {
			ran++
			return errors.New("the feed was down")
		}))
		if err == nil || err.Error() != want.fault || run.Error != want.fault || ran != want.ran {
			t.Errorf("room for %d records: ran %d times, error %v, record %q; want %d and %q", room, ran, err, run.Error, want.ran, want.fault)
		}
	}
}

func TestATimeIsMeasuredWhateverTheClockSays(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		fixed := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
		run, err := jobs.RunJob(t.Context(), &runs{all: map[string]model.JobRun{}}, func() time.Time { return fixed },
			job("one", "", func(context.Context) error { time.Sleep(1500 * time.Millisecond); return nil }))
		done(t, err)
		if run.DurationS != model.Known(1.5) || run.EndedAt.Value != fixed {
			t.Errorf("took %v s until %v, want 1.5 s by a clock that stands still", run.DurationS, run.EndedAt)
		}
	})
}

// at asks for what a list may not have; the compiler cannot tell.
func at(list []error, i int) error { return list[i] }
