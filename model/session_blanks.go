package model

import (
	"fmt"
	"math"
	"slices"
	"time"
)

const (
	enoughSessions = 15   // below this a run without blanks says nothing
	chanceOfRun    = 0.05 // how unlikely such a run must be
)

// MissingBlanks finds out whether an angler seems not to write down blanks:
// the longest run of sessions, by start, in which every one has fish is at
// least 15 long and would come by chance less than once in twenty, when the
// given share of sessions is expected to be blank. The chance is bounded by
// the sum over the places where such a run could begin: at the first session,
// or after a blank. The bound is the chance itself where the run is half of the
// sessions or more, and otherwise above it, so the test errs to silence. The text says what was found. Sessions whose catch is not
// known are passed over; a share outside (0, 1) finds nothing. Test and
// thresholds are our choice.
func MissingBlanks(sessions []Session, expectedBlank float64) (bool, string) {
	if !(expectedBlank > 0 && expectedBlank < 1) {
		return false, ""
	}
	counted := slices.DeleteFunc(slices.Clone(sessions), func(s Session) bool { return !s.FishLanded().Known })
	slices.SortStableFunc(counted, func(a, b Session) int { return a.Start.Compare(b.Start) })
	first, length := longestRunWithFish(counted)
	if length < enoughSessions {
		return false, ""
	}
	afterBlank := float64(len(counted)-length) * expectedBlank
	if (1+afterBlank)*math.Pow(1-expectedBlank, float64(length)) >= chanceOfRun {
		return false, ""
	}
	return true, fmt.Sprintf("%d sessions in a row, from %s to %s, have fish, where about %.0f would be expected to be blank: blanks are records too, and seem not to have been written down",
		length, counted[first].Start.Format(time.DateOnly), counted[first+length-1].Start.Format(time.DateOnly), expectedBlank*float64(length))
}

func longestRunWithFish(sessions []Session) (first, length int) {
	from := 0
	for i, s := range sessions {
		if s.FishLanded().Value == 0 {
			from = i + 1
		}
		if n := i + 1 - from; n > length {
			first, length = from, n
		}
	}
	return first, length
}
