package activity

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// countMixture is the count model's predictive of one session: bites are NB2
// with mean rodHours exp(eta), eta normal, and each bite is landed with
// probability q, logit q normal and independent of eta. A thinned NB2 is NB2
// with its mean thinned and the same theta, so fish are a mixture of NB2 as
// well. The rate of the session is exp(eta) G with G ~ Gamma(theta, theta).
type countMixture struct {
	mean, variance float64 // of eta
	theta          float64
	rodHours       float64
	landed         float64 // E[q]
	bitten, banked []rateNode
}

// leastAlpha is the alpha under which the incomplete beta loses its digits.
const leastAlpha = 1e-6

// newCountMixture takes mean and variance of the log rate per rod-hour, alpha
// (1/theta, 0 or more; 0 is Poisson, without a multiplier), the rod-hours, and
// mean and variance of the logit of the share landed. Variances are 0 or more.
func newCountMixture(mean, variance, alpha, rodHours, landedMean, landedVariance float64) countMixture {
	if alpha < leastAlpha {
		// A multiplier this narrow is log-normal, mean 1, and joins the rate.
		mean, variance, alpha = mean-alpha/2, variance+alpha, 0
	}
	mean = min(max(mean, -30), 30) // so that no rate overflows
	m := countMixture{mean: mean, variance: variance, theta: 1 / alpha, rodHours: rodHours}
	grid := newRateGrid(math.Sqrt(variance), m.theta)
	shares := shareNodes(landedMean, landedVariance)
	for _, s := range shares {
		m.landed += s.weight * s.rate
	}
	m.bitten = grid.nodes(mean)
	m.banked = grid.thinned(mean, shares)
	return m
}

func (m countMixture) rateMean() float64 { return boundedExp(m.mean + m.variance/2) }

func (m countMixture) fishMean() float64 { return m.landed * m.rodHours * m.rateMean() }

// rateQuantile bisects the mixture of Gamma distribution functions on the log
// scale, to a relative accuracy of 1e-9. Where G is too narrow for the nodes
// its log is as good as normal (skewness under 0.05), with mean -1/(2 theta) and
// variance 1/theta (Abramowitz & Stegun 1964, 6.3.18 and 6.4.12, first terms),
// both 0 for Poisson counts.
func (m countMixture) rateQuantile(p float64) float64 {
	if m.theta > finestTheta {
		sd := math.Sqrt(m.variance + 1/m.theta)
		return boundedExp(m.mean - 1/(2*m.theta) + sd*distuv.UnitNormal.Quantile(p))
	}
	low, high := -60.0, 40.0
	for high-low > 1e-9 {
		middle := (low + high) / 2
		var below float64
		for _, n := range m.bitten {
			below += n.weight * mathext.GammaIncReg(m.theta, m.theta*math.Exp(middle)/n.rate)
		}
		if below < p {
			low = middle
		} else {
			high = middle
		}
	}
	return math.Exp(high)
}

func (m countMixture) bites(k int) float64 { return m.atMost(k, m.bitten) }

func (m countMixture) fish(k int) float64 { return m.atMost(k, m.banked) }

func (m countMixture) atMost(k int, nodes []rateNode) float64 {
	if k < 0 {
		return 0
	}
	var below float64
	for _, n := range nodes {
		below += n.weight * m.nodeAtMost(k, m.rodHours*n.rate)
	}
	return min(below, 1)
}

// mostExactCount is where the incomplete beta begins to lose its digits; beyond
// it chance in the count is nothing beside the multiplier, whose own
// distribution function serves.
const mostExactCount = 1 << 40

func (m countMixture) nodeAtMost(k int, mu float64) float64 {
	if k > mostExactCount && !math.IsInf(m.theta, 1) {
		return mathext.GammaIncReg(m.theta, m.theta*float64(k)/mu)
	}
	return countAtMost(k, mu, m.theta)
}
