package jobs

import (
	"errors"
	"iter"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
)

// read gives sessions as a store does that does not fail.
func read(sessions []model.Session) iter.Seq2[model.Session, error] {
	return func(yield func(model.Session, error) bool) {
		for _, s := range sessions {
			if !yield(s, nil) {
				return
			}
		}
	}
}

// One record with a mistyped year must not make the years between be held, and
// a long record is held a part at a time.
func TestRunsOfSessionsShareWeather(t *testing.T) {
	day := func(n int) model.Session {
		start := time.Date(2001, 6, 1, 8, 0, 0, 0, time.UTC).AddDate(0, 0, n)
		return model.Session{Start: start, End: start.Add(4 * time.Hour)}
	}
	for _, c := range []struct {
		name string
		days []int
		want [][2]int
	}{
		{"none", nil, nil},
		{"one season", []int{0, 10, 30, 60}, [][2]int{{0, 3}}},
		{"a mistyped year", []int{0, 9000, 9001}, [][2]int{{0, 0}, {1, 2}}},
		{"just within the run-in", []int{0, 40}, [][2]int{{0, 1}}},
		{"just beyond it", []int{0, 41}, [][2]int{{0, 0}, {1, 1}}},
		{"a year without a break", []int{0, 30, 60, 90, 120, 150, 180, 210}, [][2]int{{0, 5}, {6, 7}}},
	} {
		var sessions []model.Session
		for _, n := range c.days {
			sessions = append(sessions, day(n))
		}
		var got [][2]int
		first := 0
		for r, err := range runs(read(sessions)) {
			last := first + len(r.sessions) - 1
			got = append(got, [2]int{first, last})
			if err != nil || !r.from().Equal(sessions[first].Start) || !r.last().Equal(sessions[last].Start) || !r.end.Equal(sessions[last].End) {
				t.Errorf("%s: run %d is from %v to %v, error %v", c.name, len(got), r.from(), r.end, err)
			}
			first = last + 1
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
	}
}

// However many fish one water, a run holds a bounded number of them.
func TestARunHoldsABoundedNumberOfSessions(t *testing.T) {
	start := time.Date(2026, 6, 1, 8, 0, 0, 0, time.UTC)
	sessions := make([]model.Session, 2*mostInRun+1)
	for i := range sessions {
		sessions[i] = model.Session{Start: start, End: start.Add(time.Hour)}
	}
	var got []int
	for r, err := range runs(read(sessions)) {
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, len(r.sessions))
	}
	if diff := cmp.Diff([]int{mostInRun, mostInRun, 1}, got); diff != "" {
		t.Errorf("sessions a run (-want +got):\n%s", diff)
	}
}

func TestAStoreThatFailsEndsTheRuns(t *testing.T) {
	down := errors.New("the store is down")
	failing := func(yield func(model.Session, error) bool) {
		if yield(model.Session{Start: time.Now(), End: time.Now()}, nil) {
			yield(model.Session{}, down)
		}
	}
	n := 0
	for _, err := range runs(failing) {
		if n++; !errors.Is(err, down) {
			t.Errorf("error %v, want that of the store: what was read is no run yet", err)
		}
	}
	if n != 1 {
		t.Errorf("%d runs, want the error alone", n)
	}
}
