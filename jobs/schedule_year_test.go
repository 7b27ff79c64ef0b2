package jobs_test

import (
	"context"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"osier/jobs"
	"osier/model"
)

// london makes the zone of the machine one that changes its clocks, until the
// test ends.
func london(t *testing.T) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Skipf("NOT CHECKED: this machine knows no time zones: %v", err)
	}
	before := time.Local
	time.Local = zone
	t.Cleanup(func() { time.Local = before })
	return zone
}

// stages is the table of the program, doing nothing.
func stages() []jobs.Job {
	table := []jobs.Job{jobs.PullJob(nil, nil), jobs.JoinJob(&jobs.Joiner{}), jobs.FitJob(nil)}
	for i := range table {
		table[i].Run = func(context.Context) (map[string]int, error) {
			time.Sleep(40 * time.Second)
			return nil, nil
		}
	}
	return table
}

// A year of the schedule, 2000 in virtual time, with both clock changes of
// London: 26 March and 29 October.
func TestAYearOfTheScheduleRunsEachJobExactlyAsOftenAsItShould(t *testing.T) {
	zone := london(t)
	synctest.Test(t, func(t *testing.T) {
		store := &runs{all: map[string]model.JobRun{}}
		began := time.Now()
		if began.In(zone).Format(time.DateTime) != "2000-01-01 00:00:00" {
			t.Fatalf("virtual time begins at %v", began)
		}
		// 01:30 is an hour that London skips in spring and has twice in autumn.
		night := job("night", "30 1 * * *", nothingToDo)
		table := append(stages(), night)
		year := 366 * 24 * time.Hour
		observer := runFor(t, options(store, table...), year)
		if len(observer.skipped) != 0 {
			t.Errorf("%d runs were skipped, want none", len(observer.skipped))
		}
		for _, c := range []struct {
			job   string
			ticks int // in the year
			daily int // on each of the days when the clocks change
		}{{"pull", 366 * 48, 48}, {"join", 366 * 24, 24}, {"fit", 366 * 24, 24}, {"night", 366, 1}} {
			starts := store.starts(c.job)
			if len(starts) != 1+c.ticks {
				t.Errorf("%s ran %d times in the year, want %d and once at the start", c.job, len(starts), c.ticks)
			}
			for _, change := range []time.Time{time.Date(2000, 3, 26, 0, 0, 0, 0, time.UTC), time.Date(2000, 10, 29, 0, 0, 0, 0, time.UTC)} {
				if got := between(starts, change, change.Add(24*time.Hour)); got != c.daily {
					t.Errorf("%s ran %d times on %s, want %d", c.job, got, change.Format(time.DateOnly), c.daily)
				}
			}
		}
		for _, j := range stages() {
			starts := store.starts(j.Name)[1:]
			checkEachOnce(t, starts, began, began.Add(year), due[j.When], j.Jitter)
			if latest := spread(starts, due[j.When]); latest < j.Jitter*9/10 {
				t.Errorf("%s never came later than %v after it was due, and may by %v: is the jitter on?", j.Name, latest, j.Jitter)
			}
		}
	})
}

func between(starts []time.Time, from, to time.Time) (n int) {
	for _, at := range starts {
		if !at.Before(from) && at.Before(to) {
			n++
		}
	}
	return n
}

// spread is the longest that a run came after its minute.
func spread(starts []time.Time, minutes []int) (latest time.Duration) {
	for _, at := range starts {
		var late time.Duration
		for _, m := range minutes {
			if d := at.Sub(at.Truncate(time.Hour).Add(time.Duration(m) * time.Minute)); d >= 0 {
				late = d // minutes rise: the last that is not after the run
			}
		}
		latest = max(latest, late)
	}
	return latest
}

func TestWhatWasMissedWhileTheProgramWasDownIsMadeUpOnce(t *testing.T) {
	london(t)
	synctest.Test(t, func(t *testing.T) {
		store := &runs{all: map[string]model.JobRun{}}
		runFor(t, options(store, stages()...), 24*time.Hour)
		time.Sleep(3 * 24 * time.Hour)
		again := time.Now() // midnight
		runFor(t, options(store, stages()...), 12*time.Minute)
		for _, j := range stages() {
			if got := between(store.starts(j.Name), again, again.Add(12*time.Minute)); got != 1 {
				t.Errorf("%s ran %d times after three days down, want one run that makes up for all", j.Name, got)
			}
		}
		runFor(t, options(store, stages()...), time.Minute) // to 0:13, before anything is due
		for _, j := range stages() {
			if got := between(store.starts(j.Name), again, again.Add(13*time.Minute)); got != 1 {
				t.Errorf("%s ran %d times after a second start, want no more", j.Name, got)
			}
		}
	})
}

func TestAStartBetweenDueAndRunLosesNothing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := &runs{all: map[string]model.JobRun{}}
		late := job("late", "13,43 * * * *", nothingToDo)
		late.Jitter = 10 * time.Minute
		// Two programs an hour, one after the other: each ends a minute after
		// the job is due, and most runs are then yet to begin.
		for range 48 {
			time.Sleep(time.Until(time.Now().Truncate(30 * time.Minute).Add(13 * time.Minute)))
			runFor(t, options(store, late), time.Minute)
			time.Sleep(16 * time.Minute)
		}
		if got := len(store.starts("late")); got != 48 {
			t.Errorf("ran %d times, want 48", got)
		}
	})
}

func TestWhatWasMissedWhileTheMachineSleptIsMadeUpOnceAndAtOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := &runs{all: map[string]model.JobRun{}}
		var slept atomic.Int64
		o := options(store, stages()...)
		o.Now = func() time.Time { return time.Now().Add(time.Duration(slept.Load())) }
		began := time.Now()
		go func() {
			time.Sleep(2 * time.Hour)
			slept.Store(int64(3 * 24 * time.Hour))
		}()
		runFor(t, o, 5*time.Hour)
		woke := began.Add(2*time.Hour + 3*24*time.Hour)
		for _, j := range stages() {
			starts := store.starts(j.Name)
			if got := between(starts, began, woke); got != 1+2*len(due[j.When]) {
				t.Errorf("%s ran %d times before, want %d", j.Name, got, 1+2*len(due[j.When]))
			}
			if got := between(starts, woke, woke.Add(4*time.Minute)); got != 1 {
				t.Errorf("%s ran %d times in the first minutes awake, want one run that makes up for all", j.Name, got)
			}
			if got := between(starts, woke, woke.Add(3*time.Hour)); got != 1+3*len(due[j.When]) {
				t.Errorf("%s ran %d times in three hours awake, want %d", j.Name, got, 1+3*len(due[j.When]))
			}
		}
	})
}

func TestAClockThatIsSetBackRunsNothingTwice(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := &runs{all: map[string]model.JobRun{}}
		var set atomic.Int64
		o := options(store, job("one", "22 * * * *", nothingToDo))
		o.Now = func() time.Time { return time.Now().Add(time.Duration(set.Load())) }
		go func() {
			time.Sleep(90 * time.Minute)
			set.Store(int64(-time.Hour))
		}()
		runFor(t, o, 5*time.Hour)
		if got := len(store.all); got != 1+5 {
			t.Errorf("ran %d times in five hours, want 5 and once at the start", got)
		}
	})
}
