package activity

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// The figures that hold before any record does.
const (
	// interceptSD is the prior sd of the log mean rate; our choice.
	interceptSD = 0.8
	// priorTheta is the shape of a session's Gamma multiplier G, mean 1, the
	// median of a log-normal(ln 1.2, 0.8); our choice.
	priorTheta = 1.2
	// priorEffectSD is the sd on the log scale of a water, of an angler and of
	// a peg, each the median of a log-normal(ln 0.4, 0.6); our choice.
	priorEffectSD = 0.4
)

// priorIntercept is the log of the mean number of true bites per rod-hour with
// every other column at its centre (common practice and our choice, no source).
func priorIntercept(group string) (float64, error) {
	switch group {
	case "silver":
		return math.Log(6), nil
	case "bream":
		return math.Log(3), nil
	case "carp":
		return math.Log(2.5), nil
	}
	return 0, fmt.Errorf("group %q is not known; it must be silver, bream or carp", group)
}

// meanLogMultiplier is E[ln G] for G ~ Gamma(theta, theta), whose mean is 1:
// digamma(theta) - ln(theta) (Abramowitz & Stegun 1964, 6.3). It is below 0,
// and it is the whole step from the log of a mean rate to a mean log rate.
func meanLogMultiplier(theta float64) float64 {
	return mathext.Digamma(theta) - math.Log(theta)
}

// varLogMultiplier is Var[ln G] = trigamma(theta) (Abramowitz & Stegun 1964,
// 6.4), the Hurwitz zeta function at 2.
func varLogMultiplier(theta float64) float64 {
	return mathext.Zeta(2, theta)
}

// PriorFit returns fit zero for the group (silver, bream or carp): the prior
// alone, no record used. It always answers for a known group.
func PriorFit(group string) (Fit, error) {
	columns, err := Columns(group)
	if err != nil {
		return Fit{}, fmt.Errorf("prior fit: %w", err)
	}
	fit := Fit{
		Group:             group,
		Theta:             priorTheta,
		SDWater:           priorEffectSD,
		SDAngler:          priorEffectSD,
		SDPeg:             priorEffectSD,
		MeanLogMultiplier: meanLogMultiplier(priorTheta),
		Columns:           make([]FittedColumn, len(columns)),
		Covariance:        make([][]float64, len(columns)),
	}
	fit.LogRateSD = fit.priorLogRateSD()
	for j, c := range columns {
		fit.Columns[j] = FittedColumn{
			Name: c.Name, PriorMean: c.PriorMean, PriorSD: c.PriorSD,
			Estimate: c.PriorMean, SD: c.PriorSD,
			NotFitted: fmt.Sprintf("waits for %d records", (j+1)*rowsPerColumn),
		}
		fit.Covariance[j] = make([]float64, len(columns))
		fit.Covariance[j][j] = c.PriorSD * c.PriorSD
	}
	fit.Columns[0].Estimate += fit.MeanLogMultiplier
	return fit, nil
}

// groupVariance is the spread on the log scale of a water, an angler and a peg
// never seen before. The peg is counted as well: fit zero has seen none, and of
// two readings the wider interval is taken.
func (f Fit) groupVariance() float64 {
	return f.SDWater*f.SDWater + f.SDAngler*f.SDAngler + f.SDPeg*f.SDPeg
}

// priorLogRateSD is the prior's sd of the log rate of one session about its
// expected log rate: water, angler, peg and the session's own multiplier.
func (f Fit) priorLogRateSD() float64 {
	return math.Sqrt(f.groupVariance() + varLogMultiplier(f.Theta))
}
