package activity

import (
	"fmt"
	"math"
)

// Where the sum of CRPS stops, and where it goes on by leaps: once the upper
// tail is thin its squares hardly count, and a mixture's may be very long. Our
// choice; the leaps cost less than 1e-9 of the score.
const (
	tailCut     = 1e-12
	thinTail    = 1e-6
	denseCounts = 512
	leapShare   = 16
)

// CRPS is the sum over k of (F(k) - [k >= y])^2 (Gneiting & Raftery 2007); the
// smaller the better. y is 0 to 100,000. A distribution too wide to sum is an
// error.
func (c CountPrediction) CRPS(y int) (float64, error) {
	if y < 0 || y > 100_000 {
		return 0, fmt.Errorf("CRPS: the count is %d; it must be from 0 to 100000", y)
	}
	terms := make([]float64, len(c.means))
	for i, mu := range c.means {
		terms[i] = c.logWeights[i] + nb2LogPMF(0, mu, c.theta)
	}
	// P(k+1)/P(k) = (1 + k/theta) mu / ((k + 1) (1 + mu/theta)); the second part
	// is each node's own.
	growth := make([]float64, len(c.means))
	for i, mu := range c.means {
		growth[i] = math.Log(mu) - math.Log1p(mu/c.theta)
	}
	var below, sum float64
	k := 0
	for ; k <= y || k < denseCounts || 1-below > thinTail; k++ {
		if k > 10_000_000 {
			return 0, fmt.Errorf("CRPS of %d under a mean of %g: the distribution is too wide to sum", y, c.mean)
		}
		for _, term := range terms {
			below += math.Exp(term)
		}
		distance := below
		if k >= y {
			distance = max(1-below, 0)
			if distance < tailCut {
				return sum, nil
			}
		}
		sum += distance * distance
		shared := math.Log1p(float64(k)/c.theta) - math.Log(float64(k)+1)
		for i := range terms {
			terms[i] += shared + growth[i]
		}
	}
	for k < maxCount/2 {
		leap := max(1, k/leapShare)
		above := 1 - c.AtMost(k+(leap-1)/2)
		if above < tailCut {
			break
		}
		sum += float64(leap) * above * above
		k += leap
	}
	return sum, nil
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
