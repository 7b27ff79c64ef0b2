package jobs_test

import (
	"math/rand/v2"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"pgregory.net/rapid"

	"osier/jobs"
	"osier/model"
)

func TestAScheduleThatCannotBeReadIsRefused(t *testing.T) {
	for name, when := range map[string]string{
		"no times":               "",
		"a word":                 "often",
		"a day that never comes": "13 4 31 2 *",
		"seconds":                "0 13 * * * *",
		"too few":                "13 * * *",
		"a minute of no hour":    "61 * * * *",
		"counted from the start": "@every 30m",
		"a name for times":       "@hourly",
		"a zone of its own":      "CRON_TZ=Europe/London 30 1 * * *",
		"a zone and no times":    "TZ=Europe/London",
		"half a zone":            "TZ=",
	} {
		_, err := jobs.NewSchedule(options(&runs{}, job("odd", when, nothingToDo)))
		if err == nil || !strings.HasPrefix(err.Error(), "job odd: ") || model.CodeOf(err) != model.Invalid {
			t.Errorf("%s, %q: error %v, want one that names the job", name, when, err)
		}
	}
}

func TestTimesAreTakenInAllTheirForms(t *testing.T) {
	now := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	for _, when := range []string{"13,43 * * * *", "*/20 6-18 * * MON-FRI", "7 4 29 2 *", " 30  1 * * * ", "5 4 1 jan *"} {
		if err := jobs.CheckTimes("--pull-at", when, now); err != nil {
			t.Errorf("%q: %v", when, err)
		}
	}
}

func TestAWrongTimeIsSaidPlainly(t *testing.T) {
	err := jobs.CheckTimes("--pull-at", "13 4 31 2 *", time.Now())
	const want = `--pull-at: the times "13 4 31 2 *" never come; give minute, hour, day of the month, month and day of the week, in UTC, such as "13,43 * * * *"`
	if err == nil || err.Error() != want {
		t.Errorf("error %v\nwant  %s", err, want)
	}
	err = jobs.CheckTimes("--pull-at", strings.Repeat("x", 100)+"\n", time.Now())
	if err == nil || strings.Contains(err.Error(), "\n") {
		t.Errorf("error %v, want one that shows what was typed in one line", err)
	}
}

func FuzzCheckTimes(f *testing.F) {
	for _, seed := range []string{"13,43 * * * *", "*/0 * * * *", "TZ=", "@every 1h", "13 4 31 2 *", "1-0 * * * *", "* * * * SUN#2"} {
		f.Add(seed)
	}
	now := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	f.Fuzz(func(t *testing.T, when string) {
		if err := jobs.CheckTimes("--pull-at", when, now); err != nil && model.CodeOf(err) != model.Invalid {
			t.Errorf("%q: %v, want an error of the caller", when, err)
		}
	})
}

// Whatever the times and the bound, each time that comes due is run once, not
// before it and not after the next.
func TestJitterNeverMovesARunPastTheNext(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		when := rapid.SampledFrom([]string{"* * * * *", "*/5 * * * *", "13,43 * * * *", "22 * * * *", "7,9 * * * *"}).Draw(r, "when")
		jitter := time.Duration(rapid.IntRange(0, 7200).Draw(r, "jitter in s")) * time.Second
		seed := rapid.Uint64().Draw(r, "seed")
		synctest.Test(t, func(t *testing.T) {
			store := &runs{all: map[string]model.JobRun{}}
			began := time.Now()
			j := job("one", when, nothingToDo)
			j.Jitter = jitter
			o := options(store, j)
			o.Random = rand.New(rand.NewPCG(seed, 0))
			runFor(t, o, 6*time.Hour+time.Second)
			checkEachOnce(t, store.starts("one")[1:], began, began.Add(6*time.Hour+time.Second), due[when], jitter)
		})
	})
}

// due lists the minutes of the hour of some times, worked out by hand.
var due = map[string][]int{
	"* * * * *":     every(1),
	"*/5 * * * *":   every(5),
	"13,43 * * * *": {13, 43},
	"22 * * * *":    {22},
	"37 * * * *":    {37},
	"7,9 * * * *":   {7, 9},
}

func every(step int) (minutes []int) {
	for m := 0; m < 60; m += step {
		minutes = append(minutes, m)
	}
	return minutes
}

// checkEachOnce holds starts against the minutes of each hour after from: the
// nth belongs to the nth time, not before it, not more than the jitter after it
// and before the next. Those near the end need not have come yet.
func checkEachOnce(t *testing.T, starts []time.Time, from, to time.Time, minutes []int, jitter time.Duration) {
	t.Helper()
	var dues []time.Time
	for hour := from.Truncate(time.Hour); hour.Before(to); hour = hour.Add(time.Hour) {
		for _, m := range minutes {
			if at := hour.Add(time.Duration(m) * time.Minute); at.After(from) {
				dues = append(dues, at)
			}
		}
	}
	for i, at := range starts {
		if i >= len(dues) {
			t.Fatalf("run at %v, when none was due", at)
		}
		late := at.Sub(dues[i])
		if late < 0 || late > jitter || i+1 < len(dues) && !at.Before(dues[i+1]) {
			t.Fatalf("run %d at %v, due at %v, jitter at most %v", i, at, dues[i], jitter)
		}
	}
	for i := len(starts); i < len(dues); i++ {
		if dues[i].Add(jitter).Before(to) {
			t.Fatalf("no run for %v", dues[i])
		}
	}
}
