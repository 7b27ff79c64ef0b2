package timing

import (
	"fmt"
	"math"
)

// Handling is the time of a cycle in which no bait waits.
type Handling struct {
	// BlankMin is from the wind-in to the settled line without a bite; above 0.
	BlankMin float64 `json:"blank_min"`
	// BiteMin is the same after a bite, landing and unhooking included; no less.
	BiteMin float64 `json:"bite_min"`
}

func (h Handling) check() error {
	if !(h.BlankMin > 0) || !(h.BiteMin >= h.BlankMin) || math.IsInf(h.BiteMin, 1) {
		return fmt.Errorf("handling is %g min without a bite and %g min with one; give more than 0, and with a bite no less", h.BlankMin, h.BiteMin)
	}
	return nil
}

// CycleMin is the mean length of a cycle: the minutes soaked, and the handling
// after a blank (chance survival) or a bite. Bites per minute in the long run
// are (1 - survival) over it, by renewal and reward (Ross, Stochastic Processes,
// from memory; Barlow & Proschan 1965 turned round, from memory).
func (h Handling) CycleMin(survival, soakedMin float64) float64 {
	return soakedMin + h.BlankMin*survival + h.BiteMin*(1-survival)
}

// SoakRange is a range of soaks in minutes.
type SoakRange struct {
	LowMin  float64 `json:"low_min"`
	HighMin float64 `json:"high_min"`
}

// BestSoak is the soak with the most bites per minute.
type BestSoak struct {
	// Interior tells whether the rate falls again before the longest soak looked
	// at. Where it does not there is no best soak: longer was always as good, and
	// what bounds the soak is feed. SoakMin is then the longest.
	Interior    bool    `json:"interior"`
	SoakMin     float64 `json:"soak_min"`
	BitesPerMin float64 `json:"bites_per_min"`
	// NearlyAsGood are the soaks about it that lose no more than 2 %.
	NearlyAsGood SoakRange `json:"nearly_as_good"`
}

// nearlyAsGood is the share of the best rate that counts as nearly as good; the
// rate is flat near its top, so a range says more than a decimal. Our choice.
const nearlyAsGood = 0.98

// BestSoak is the best soak up to LongestMin. With a constant hazard h the sign
// of the rate's slope, that of h C - F (1 + (bite - blank handling) h) with C the
// cycle and F the chance of a bite, does not change along a piece, so that the
// best is a break or the end. Handling out of range is an error.
func (h Hazard) BestSoak(handling Handling) (BestSoak, error) {
	return h.BestSoakWithin(handling, SoakRange{0, h.LongestMin})
}

// BestSoakWithin is the best soak of a range that reaches from 0 or more to
// LongestMin at most; Interior then speaks of the range.
func (h Hazard) BestSoakWithin(handling Handling, within SoakRange) (BestSoak, error) {
	if err := handling.check(); err != nil {
		return BestSoak{}, fmt.Errorf("best soak: %w", err)
	}
	if !(within.LowMin >= 0 && within.LowMin <= within.HighMin && within.HighMin <= h.LongestMin) {
		return BestSoak{}, fmt.Errorf("best soak: the range is %g to %g min; it must lie between 0 and the longest soak tried, %g", within.LowMin, within.HighMin, h.LongestMin)
	}
	return topOf(h.rate(handling), h.turns(within)), nil
}

// turns are the ends of a range and the breaks inside it.
func (h Hazard) turns(within SoakRange) []float64 {
	turns := []float64{within.LowMin}
	for _, start := range h.StartsMin {
		if start > within.LowMin && start < within.HighMin {
			turns = append(turns, start)
		}
	}
	return append(turns, within.HighMin)
}

// rate is bites per minute by soak, up to LongestMin.
func (h Hazard) rate(handling Handling) func(soakMin float64) float64 {
	return func(soakMin float64) float64 {
		rate, _ := h.BitesPerMin(soakMin, handling)
		return rate
	}
}

// highest is the place of the turn with the highest rate; of equals the last.
func highest(rate func(float64) float64, turns []float64) (at int, top float64) {
	at = len(turns) - 1
	top = rate(turns[at])
	for i := at - 1; i >= 0; i-- {
		if r := rate(turns[i]); r > top {
			at, top = i, r
		}
	}
	return at, top
}

// topOf is the top of a rate that is monotone between one turn and the next.
func topOf(rate func(float64) float64, turns []float64) BestSoak {
	at, top := highest(rate, turns)
	best := BestSoak{Interior: at < len(turns)-1, SoakMin: turns[at], BitesPerMin: top, NearlyAsGood: SoakRange{turns[0], turns[len(turns)-1]}}
	good := func(t float64) bool { return rate(t) >= nearlyAsGood*top }
	for i := at - 1; i >= 0; i-- {
		if !good(turns[i]) {
			best.NearlyAsGood.LowMin = boundary(good, turns[i+1], turns[i])
			break
		}
	}
	for i := at + 1; i < len(turns); i++ {
		if !good(turns[i]) {
			best.NearlyAsGood.HighMin = boundary(good, turns[i-1], turns[i])
			break
		}
	}
	return best
}

// boundary is where a property that holds inside and not outside ends, on the
// side where it holds.
func boundary(holds func(float64) bool, inside, outside float64) float64 {
	for range 60 {
		middle := (inside + outside) / 2
		if holds(middle) {
			inside = middle
		} else {
			outside = middle
		}
	}
	return inside
}
