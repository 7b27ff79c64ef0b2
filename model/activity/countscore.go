package activity

import (
	"fmt"
	"math"
)

// tailCut is the upper tail at which the sum of CRPS stops.
const tailCut = 1e-12

// CRPS is the sum over k of (F(k) - [k >= y])^2 (Gneiting & Raftery 2007); the
// smaller the better. y is 0 or more. Beyond ten million terms it is an error.
func (c CountPrediction) CRPS(y int) (float64, error) {
	if y < 0 {
		return 0, fmt.Errorf("CRPS: the count is %d; it must be 0 or more", y)
	}
	var below, sum float64
	for k := range 10_000_000 {
		below += c.Probability(k)
		distance := below
		if k >= y {
			distance = 1 - below
			if distance < tailCut {
				return sum, nil
			}
		}
		sum += distance * distance
	}
	return 0, fmt.Errorf("CRPS of %d under a mean of %g: the distribution is too wide to sum", y, c.mean)
}

// LogScore is -log P(y); the smaller the better. Where P(y) is 0 in double
// precision ok is false: the score is infinite and must be reported as such.
func (c CountPrediction) LogScore(y int) (score float64, ok bool) {
	value, ok := c.LogProbability(y)
	return -value, ok
}

// DSS is the Dawid-Sebastiani score, squared standardised error plus log
// variance (Gneiting & Raftery 2007); the smaller the better.
func (c CountPrediction) DSS(y int) float64 {
	d := float64(y) - c.mean
	return d*d/c.variance + math.Log(c.variance)
}

// IntervalScore is the width of the central interval from low to high of the
// level (0.9 for 90 %) plus 2/(1-level) for each count outside (Gneiting &
// Raftery 2007, equation 43, from memory).
func IntervalScore(low, high, y int, level float64) (float64, error) {
	if !(level > 0 && level < 1) || low > high {
		return 0, fmt.Errorf("interval score: the interval is %d to %d at level %g; give low, then high, and a level between 0 and 1", low, high, level)
	}
	outside := max(low-y, 0) + max(y-high, 0)
	return float64(high-low) + 2/(1-level)*float64(outside), nil
}

// PIT is the probability integral transform of a count: the two ends P(Y < y)
// and P(Y <= y).
type PIT struct{ Lower, Upper float64 }

// PIT gives the ends for count y.
func (c CountPrediction) PIT(y int) PIT { return PIT{c.AtMost(y - 1), c.AtMost(y)} }

// Randomised is the point between the ends at share u, uniform on 0 to 1;
// under the right forecast it is uniform.
func (p PIT) Randomised(u float64) float64 { return p.Lower + u*(p.Upper-p.Lower) }

// PITHistogram is the non-randomised histogram over equal bins: the mean over
// cases of F(u|y), linear between the ends (Czado, Gneiting & Held 2009). Its
// heights sum to 1; no cases or bins give none.
func PITHistogram(cases []PIT, bins int) []float64 {
	if len(cases) == 0 || bins < 1 {
		return nil
	}
	out := make([]float64, bins)
	for _, c := range cases {
		below := 0.0
		for j := range out {
			upTo := c.share(float64(j+1) / float64(bins))
			out[j] += (upTo - below) / float64(len(cases))
			below = upTo
		}
	}
	return out
}

func (p PIT) share(u float64) float64 {
	switch {
	case u <= p.Lower:
		return 0
	case u >= p.Upper:
		return 1
	}
	return (u - p.Lower) / (p.Upper - p.Lower)
}
