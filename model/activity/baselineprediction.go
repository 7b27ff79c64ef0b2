package activity

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// BaselinePrediction is the baseline's forecast of a count.
type BaselinePrediction struct{ mean, sd, hours float64 }

// AtMost is P(count <= y).
func (p BaselinePrediction) AtMost(y int) float64 {
	if y < 0 {
		return 0
	}
	return distuv.UnitNormal.CDF((math.Log((float64(y)+1)/p.hours) - p.mean) / p.sd)
}

// Probability is the probability of count y.
func (p BaselinePrediction) Probability(y int) float64 { return p.AtMost(y) - p.AtMost(y-1) }

// Mean is hours exp(m + s^2/2), in which whole bites are not counted.
func (p BaselinePrediction) Mean() float64 { return p.hours * boundedExp(p.mean+p.sd*p.sd/2) }

// Quantile is the smallest count k with P(count <= k) >= q, for q below 1.
func (p BaselinePrediction) Quantile(q float64) int { return countQuantile(p.AtMost, q) }
