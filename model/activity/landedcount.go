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

// rateQuantile finds where the mixture of Gamma distribution functions reaches p,
// on the log scale and to a relative accuracy of 1e-9. Where G is too narrow for
// the nodes its log is as good as normal (skewness under 0.05), with mean
// -1/(2 theta) and variance 1/theta (Abramowitz & Stegun 1964, 6.3.18 and 6.4.12,
// first terms), both 0 for Poisson counts.
func (m countMixture) rateQuantile(p float64) float64 {
	if m.theta > finestTheta {
		sd := math.Sqrt(m.variance + 1/m.theta)
		return boundedExp(m.mean - 1/(2*m.theta) + sd*distuv.UnitNormal.Quantile(p))
	}
	return math.Exp(logRateAt(m.firstReached(p)))
}

// The log rates among which a quantile is looked for: from exp(-60) to exp(40) in
// steps of 7e-10. All are exact in floating point.
const (
	lowestLogRate = -60.0
	logRateSpan   = 100.0
	logRateSteps  = 1 << 37
)

func logRateAt(step int) float64 { return lowestLogRate + logRateSpan/logRateSteps*float64(step) }

// firstReached is the first of those log rates below which lies at least p. It
// goes by the density, as Newton did, and halves what is left where that leads
// nowhere: every guess narrows the steps between which the answer lies.
func (m countMixture) firstReached(p float64) int {
	const guesses = 24 // then it halves to the end
	logGamma, _ := math.Lgamma(m.theta)
	low, high := 0, logRateSteps
	guess := (m.mean + math.Sqrt(m.variance)*distuv.UnitNormal.Quantile(p) - lowestLogRate) / logRateSpan * logRateSteps
	for n := 0; high-low > 1; n++ {
		step := (low + high) / 2
		if n < guesses && guess > float64(low) && guess < float64(high) {
			step = min(max(int(guess), low+1), high-1)
		}
		below, density := m.belowLogRate(logRateAt(step), logGamma)
		guess = float64(step) + (p-below)/density*logRateSteps/logRateSpan
		if below < p {
			low, guess = step, math.Ceil(guess)
		} else {
			high, guess = step, math.Floor(guess)
		}
	}
	return high
}

// belowLogRate is how much of the mixture lies below a log rate, and its density
// there.
func (m countMixture) belowLogRate(logRate, logGamma float64) (below, density float64) {
	rate := math.Exp(logRate)
	for _, n := range m.bitten {
		z := m.theta * rate / n.rate
		below += n.weight * mathext.GammaIncReg(m.theta, z)
		density += n.weight * math.Exp(m.theta*math.Log(z)-z-logGamma)
	}
	return below, density
}

func (m countMixture) bites(k int) float64 { return m.atMost(k, m.bitten) }

// fish is never below bites: a fish landed was a bite. The two have nodes of
// their own, which far out in the tail of a wild forecast lie apart by 1e-6.
func (m countMixture) fish(k int) float64 { return max(m.atMost(k, m.banked), m.bites(k)) }

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
