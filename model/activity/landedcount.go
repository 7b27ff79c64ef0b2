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
	rateMixture
	rodHours float64
	landed   float64 // E[q]
	banked   []rateNode
}

// rateMixture is that of the session's rate alone.
type rateMixture struct {
	mean, variance float64 // of eta
	theta          float64
	grid           rateGrid
	bitten         []rateNode
	logs           []float64 // of the nodes' rates
	about          logRateMoments
}

// leastAlpha is the alpha under which the incomplete beta loses its digits.
const leastAlpha = 1e-6

// newRateMixture takes mean and variance of the log rate per rod-hour, and alpha
// (1/theta, 0 or more; 0 is Poisson, without a multiplier). The variance is 0 or
// more.
func newRateMixture(mean, variance, alpha float64) rateMixture {
	if alpha < leastAlpha {
		// A multiplier this narrow is log-normal, mean 1, and joins the rate.
		mean, variance, alpha = mean-alpha/2, variance+alpha, 0
	}
	mean = min(max(mean, -30), 30) // so that no rate overflows
	m := rateMixture{mean: mean, variance: variance, theta: 1 / alpha}
	m.grid = newRateGrid(math.Sqrt(variance), m.theta)
	m.bitten = m.grid.nodes(mean)
	m.logs = make([]float64, len(m.bitten))
	for i, n := range m.bitten {
		m.logs[i] = math.Log(n.rate)
	}
	m.about = newLogRateMoments(m)
	return m
}

// newCountMixture takes the rod-hours, and mean and variance of the logit of the
// share landed, beside what newRateMixture does. Variances are 0 or more.
func newCountMixture(mean, variance, alpha, rodHours, landedMean, landedVariance float64) countMixture {
	m := countMixture{rateMixture: newRateMixture(mean, variance, alpha), rodHours: rodHours}
	shares := shareNodes(landedMean, landedVariance)
	for _, s := range shares {
		m.landed += s.weight * s.rate
	}
	m.banked = m.grid.thinned(m.mean, shares)
	return m
}

func (m rateMixture) rateMean() float64 { return boundedExp(m.mean + m.variance/2) }

func (m countMixture) fishMean() float64 { return m.landed * m.rodHours * m.rateMean() }

// rateQuantile finds where the mixture of Gamma distribution functions reaches p,
// on the log scale and to a relative accuracy of 1e-9. Where G is too narrow for
// the nodes its log is as good as normal (skewness under 0.05), with mean
// -1/(2 theta) and variance 1/theta (Abramowitz & Stegun 1964, 6.3.18 and 6.4.12,
// first terms), both 0 for Poisson counts.
func (m rateMixture) rateQuantile(p float64) float64 {
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
// goes by the density and its slope (Halley's method), and halves what is left
// where that leads nowhere: every guess narrows the steps between which the answer
// lies. Within a step of it the density says on which side it is.
func (m rateMixture) firstReached(p float64) int {
	const guesses = 24 // then it halves to the end
	const perStep = logRateSpan / logRateSteps
	logGamma, _ := math.Lgamma(m.theta)
	logFront := m.theta*math.Log(m.theta) - logGamma
	low, high := 0, logRateSteps
	guess := (m.about.quantile(p) - lowestLogRate) / perStep
	for n := 0; high-low > 1; n++ {
		step := (low + high) / 2
		if n < guesses && guess > float64(low) && guess < float64(high) {
			step = min(max(int(guess), low+1), high-1)
		}
		below, density, slope := m.belowLogRate(logRateAt(step), logFront)
		switch within := 0.99 * density * perStep; {
		case within < clearly:
		case below >= p && below-p < within:
			return step
		case below < p && p-below < within:
			return step + 1
		}
		newton := (p - below) / density
		guess = float64(step) + newton/max(0.5, 1+newton*slope/(2*density))/perStep
		if below < p {
			low, guess = step, math.Ceil(guess)
		} else {
			high, guess = step, math.Floor(guess)
		}
	}
	return high
}

// clearly is far above the rounding of what lies below a log rate.

const clearly = 1e-13

// logRateMoments are the first moments of the log of a session's rate.
type logRateMoments struct{ mean, sd, skewness float64 }

// newLogRateMoments adds the log of the multiplier, whose moments are polygammas
// (Abramowitz & Stegun 1964, 6.4.10).
func newLogRateMoments(m rateMixture) logRateMoments {
	if math.IsInf(m.theta, 1) {
		return logRateMoments{m.mean, math.Sqrt(m.variance), 0}
	}
	sd := math.Sqrt(m.variance + mathext.Zeta(2, m.theta))
	return logRateMoments{m.mean + mathext.Digamma(m.theta) - math.Log(m.theta), sd, -2 * mathext.Zeta(3, m.theta) / (sd * sd * sd)}
}

// quantile is where a quantile lies, nearly: the first terms of Cornish and Fisher's
// series (Abramowitz & Stegun 1964, 26.2.49).
func (l logRateMoments) quantile(p float64) float64 {
	z := distuv.UnitNormal.Quantile(p)
	return l.mean + l.sd*(z+(z*z-1)*l.skewness/6)
}

// belowLogRate is how much of the mixture lies below a log rate, its density there
// and the density's slope, given the log of theta^theta/Gamma(theta).
func (m rateMixture) belowLogRate(logRate, logFront float64) (below, density, slope float64) {
	rate := math.Exp(logRate)
	for i, n := range m.bitten {
		z := m.theta * rate / n.rate
		front := math.Exp(m.theta*(logRate-m.logs[i]) + logFront - z)
		below += n.weight * gammaBelow(m.theta, z, front)
		density += n.weight * front
		slope += n.weight * front * (m.theta - z)
	}
	return below, density, slope
}

func (m countMixture) bites(k int) float64 { return m.atMost(k, m.bitten) }

// fish is never below bites: a fish landed was a bite. The two have nodes of
// their own, which far out in the tail of a wild forecast lie apart by 1e-6.
func (m countMixture) fish(k int) float64 { return max(m.atMost(k, m.banked), m.bites(k)) }

// summed is the distribution function over some nodes for one who asks it of many
// counts.
func (m countMixture) summed(nodes []rateNode) func(k int) float64 {
	sums, ok := newCountSums(nodes, m.rodHours, m.theta)
	return func(k int) float64 {
		if !ok || k > mostSummed {
			return m.atMost(k, nodes)
		}
		return sums.atMost(k)
	}
}

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
