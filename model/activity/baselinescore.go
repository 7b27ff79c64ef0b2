package activity

import (
	"fmt"
	"math"
)

// LogScore is -log P(y), the smaller the better. Where P(y) is 0 in double
// precision ok is false: the score is infinite and must be reported as such.
func (p BaselinePrediction) LogScore(y int) (score float64, ok bool) {
	if y < 0 {
		return 0, false
	}
	// Both ends are taken from the nearer tail, where their difference keeps
	// its digits.
	low, high := p.standardised(y), p.standardised(y+1)
	if low > 0 {
		low, high = -high, -low
	}
	score = -math.Log((math.Erfc(-high/math.Sqrt2) - math.Erfc(-low/math.Sqrt2)) / 2)
	return score, isFinite(score)
}

// standardised is where count y begins on the scale of the standard normal.
func (p BaselinePrediction) standardised(y int) float64 {
	return (math.Log(float64(y)/p.hours) - p.mean) / p.sd
}

// DSS is the squared standardised error plus log variance (Gneiting & Raftery
// 2007) by the moments of the log-normal, in which whole bites are not counted.
func (p BaselinePrediction) DSS(y int) float64 {
	d, variance := float64(y)-p.Mean(), p.Mean()*p.Mean()*math.Expm1(min(p.sd*p.sd, 60))
	return d*d/variance + math.Log(variance)
}

// CRPS is the sum over k of (P(count <= k) - [k >= y])^2 (Gneiting & Raftery
// 2007), for y from 0 to 100,000; the smaller the better.
func (p BaselinePrediction) CRPS(y int) (float64, error) {
	if y < 0 || y > 100_000 {
		return 0, fmt.Errorf("CRPS: the count is %d; it must be from 0 to 100000", y)
	}
	var sum float64
	for k := range y {
		below := p.AtMost(k)
		sum += below * below
	}
	for k := y; ; {
		// In steps of one part in 4096 the tail hardly bends: below 1e-7 of the score.
		step := max(1, k/4096)
		above := math.Erfc(p.standardised(k+1+(step-1)/2)/math.Sqrt2) / 2
		if above < tailCut {
			return sum, nil
		}
		sum += float64(step) * above * above
		if k += step; k > maxCount/4 {
			return 0, fmt.Errorf("CRPS of %d under a log rate of %g with sd %g: the distribution is too wide to sum", y, p.mean, p.sd)
		}
	}
}
