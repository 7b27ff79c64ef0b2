package jobs

import (
	"testing"
	"time"

	"osier/model"
)

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
		got := runs(sessions)
		if len(got) != len(c.want) {
			t.Errorf("%s: %d runs, want %d: %+v", c.name, len(got), len(c.want), got)
			continue
		}
		for i, r := range got {
			if [2]int{r.first, r.last} != c.want[i] || !r.end.Equal(sessions[r.last].End) {
				t.Errorf("%s: run %d is %+v, want %v", c.name, i, r, c.want[i])
			}
		}
	}
}
