package activity

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"time"
)

// DatedRecord is a finished session with what a backtest needs beside what a
// fit reads.
type DatedRecord struct {
	Record     SessionRecord
	Start, End time.Time
	// KnownFrom is when the record came to be known: no fit before it reads it.
	KnownFrom time.Time
	// Whole is the session as one row: what a forecast of it reads, and what
	// came of it.
	Whole IntervalRecord
}

// Backtest is what forecasting sessions that are over came to.
type Backtest struct {
	Scored []ScoredForecast
	// Climbs and Updates are how many fits found their spread anew, and how many
	// held that of the last.
	Climbs, Updates int
}

// RollingOrigin forecasts each month's sessions from those alone that had ended
// and were known when it began, months being those of UTC. Groups' effects, the
// spread and everything else fitted come from the past.
//
// The spread is found anew when the sessions have grown by a tenth, as fits in
// force do, and when a year begins, where those do so weekly; other months hold
// it and refit the rest.
// Sessions whose bites were not counted are learnt from and not scored. Progress,
// where not nil, hears of each month.
func RollingOrigin(group string, sessions []DatedRecord, progress func(done, all int)) (Backtest, error) {
	var out Backtest
	sessions = slices.SortedFunc(slices.Values(sessions), func(a, b DatedRecord) int {
		return cmp.Or(a.Start.Compare(b.Start), cmp.Compare(a.Record.ID, b.Record.ID))
	})
	if len(sessions) == 0 {
		return out, nil
	}
	first := monthBegin(sessions[0].Start)
	months := monthsBetween(first, sessions[len(sessions)-1].Start) + 1
	var last *rivals
	var climbed rivals
	var climbedIn int
	for done := range months {
		from := first.AddDate(0, done, 0)
		test := startingIn(sessions, from, from.AddDate(0, 1, 0))
		if len(test) > 0 {
			past := knownBy(sessions, from)
			if from.Year() != climbedIn || float64(len(past)) >= climbGrowth*float64(climbed.sessions) {
				last = nil
			}
			now, err := fitRivals(group, past, last)
			if err != nil {
				return out, fmt.Errorf("backtest %s, fit of %s: %w", group, monthOf(from), err)
			}
			if last == nil {
				climbed, climbedIn = now, from.Year()
				out.Climbs++
			} else {
				out.Updates++
			}
			last = &now
			if err := out.add(now, test); err != nil {
				return out, fmt.Errorf("backtest %s, %s: %w", group, monthOf(from), err)
			}
		}
		if progress != nil {
			progress(done+1, months)
		}
	}
	return out, nil
}

// climbGrowth is by how much the sessions grow before the spread is found anew.
const climbGrowth = 1.1

func monthBegin(t time.Time) time.Time {
	t = t.UTC()
	return time.Date(t.Year(), t.Month(), 1, 0, 0, 0, 0, time.UTC)
}

func monthsBetween(a, b time.Time) int {
	a, b = a.UTC(), b.UTC()
	return 12*(b.Year()-a.Year()) + int(b.Month()) - int(a.Month())
}

func startingIn(sessions []DatedRecord, from, to time.Time) []DatedRecord {
	var out []DatedRecord
	for _, s := range sessions {
		if s.Whole.BitesKnown && !s.Start.Before(from) && s.Start.Before(to) {
			out = append(out, s)
		}
	}
	return out
}

func knownBy(sessions []DatedRecord, at time.Time) []DatedRecord {
	var out []DatedRecord
	for _, s := range sessions {
		if !s.End.After(at) && !s.KnownFrom.After(at) {
			out = append(out, s)
		}
	}
	return out
}

func (b *Backtest) add(by rivals, sessions []DatedRecord) error {
	for _, s := range sessions {
		scored, err := by.score(s)
		if err != nil {
			return fmt.Errorf("session %s: %w", s.Record.ID, err)
		}
		b.Scored = append(b.Scored, scored)
	}
	return nil
}

// mostFolds is how many fits leaving out may cost: with more waters or anglers
// than that, several are left out at once. Our choice.
const mostFolds = 25

// LeaveOneWaterOut forecasts each water's sessions from those at all others, of
// any time: how well the model speaks of a water it has not seen.
func LeaveOneWaterOut(group string, sessions []DatedRecord, progress func(done, all int)) (Backtest, error) {
	return leaveOut(group, sessions, func(r SessionRecord) string { return r.Water }, progress)
}

// LeaveOneAnglerOut forecasts each angler's sessions from those of all others.
func LeaveOneAnglerOut(group string, sessions []DatedRecord, progress func(done, all int)) (Backtest, error) {
	return leaveOut(group, sessions, func(r SessionRecord) string { return r.Angler }, progress)
}

func leaveOut(group string, sessions []DatedRecord, of func(SessionRecord) string, progress func(done, all int)) (Backtest, error) {
	var out Backtest
	names := map[string]bool{}
	for _, s := range sessions {
		names[of(s.Record)] = true
	}
	fold := map[string]int{}
	folds := min(len(names), mostFolds)
	for i, name := range slices.Sorted(maps.Keys(names)) {
		fold[name] = i % folds
	}
	for f := range folds {
		var others, left []DatedRecord
		for _, s := range sessions {
			switch {
			case fold[of(s.Record)] != f:
				others = append(others, s)
			case s.Whole.BitesKnown:
				left = append(left, s)
			}
		}
		by, err := fitRivals(group, others, nil)
		if err == nil {
			out.Climbs++
			err = out.add(by, left)
		}
		if err != nil {
			return out, fmt.Errorf("backtest %s, leaving out part %d: %w", group, f+1, err)
		}
		if progress != nil {
			progress(f+1, folds)
		}
	}
	return out, nil
}
