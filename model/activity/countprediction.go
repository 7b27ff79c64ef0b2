package activity

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mathext"
)

// countNodes is how many Gauss-Hermite nodes stand for the log rate. Fit zero's
// 20 are enough for means and quantiles; the log score of a Poisson count far in
// the tail is right to 1e-6 from 100 on.
const countNodes = 100

// CountPrediction is the distribution of a session's count: NB2 whose log rate
// is normal, by Gauss-Hermite quadrature.
type CountPrediction struct {
	means, logWeights []float64
	theta             float64
	mean, variance    float64
}

// NewCountPrediction takes the mean and variance of the log rate per hour, the
// hours (above 0) and alpha (0 or more; 0 is Poisson). A variance of 0 is one
// NB2. Where the mean count would pass 1e9 or anything is not finite, it is an
// error.
func NewCountPrediction(logRateMean, logRateVariance, hours, alpha float64) (CountPrediction, error) {
	mean := hours * math.Exp(logRateMean+logRateVariance/2)
	if !(logRateVariance >= 0) || !(hours > 0) || !(alpha >= 0) || math.IsInf(alpha, 1) || !(mean > 0 && mean <= 1e9) {
		return CountPrediction{}, fmt.Errorf("predict a count: log rate %g with variance %g over %g hours, alpha %g; give hours above 0, variance and alpha of 0 or more and a mean of at most 1e9", logRateMean, logRateVariance, hours, alpha)
	}
	out := CountPrediction{theta: 1 / alpha, mean: mean, logWeights: []float64{0}}
	// Var = E[mu + (1 + alpha) mu^2] - E[mu]^2.
	out.variance = mean + mean*mean*(math.Expm1(logRateVariance)+alpha*math.Exp(logRateVariance))
	if logRateVariance == 0 {
		out.means = []float64{mean}
		return out, nil
	}
	points, weights := make([]float64, countNodes), make([]float64, countNodes)
	quad.Hermite{}.FixedLocations(points, weights, math.Inf(-1), math.Inf(1))
	out.logWeights = make([]float64, len(points))
	for i, x := range points {
		out.means = append(out.means, hours*boundedExp(logRateMean+math.Sqrt(2*logRateVariance)*x))
		out.logWeights[i] = math.Log(weights[i] / math.Sqrt(math.Pi))
	}
	return out, nil
}

// Mean is hours exp(m + v/2).
func (c CountPrediction) Mean() float64 { return c.mean }

// Variance is the count's variance.
func (c CountPrediction) Variance() float64 { return c.variance }

// LogProbability is the log probability of count y; below 0 there is none and
// ok is false, as where it is too small for a finite logarithm.
func (c CountPrediction) LogProbability(y int) (value float64, ok bool) {
	if y < 0 {
		return 0, false
	}
	terms := make([]float64, len(c.means))
	for i, mu := range c.means {
		terms[i] = c.logWeights[i] + nb2LogPMF(y, mu, c.theta)
	}
	value = floats.LogSumExp(terms)
	return value, isFinite(value)
}

// Probability is the probability of count y, 0 for a count below 0.
func (c CountPrediction) Probability(y int) float64 {
	value, ok := c.LogProbability(y)
	if !ok {
		return 0
	}
	return math.Exp(value)
}

// AtMost is P(count <= y).
func (c CountPrediction) AtMost(y int) float64 {
	if y < 0 {
		return 0
	}
	var below float64
	for i, mu := range c.means {
		weight := math.Exp(c.logWeights[i])
		below += weight * countAtMost(y, mu, c.theta)
	}
	return min(below, 1)
}

// countAtMost is P(count <= y) of one NB2. Where theta is so large that the
// incomplete beta loses its digits, the probabilities are summed, and beyond
// summing the Poisson limit stands in, off by about (mu + 1)^2/theta.
func countAtMost(y int, mu, theta float64) float64 {
	switch {
	case theta <= 1e6:
		return nb2CDF(y, mu, theta)
	case math.IsInf(theta, 1) || y > 100_000:
		return mathext.GammaIncRegComp(float64(y)+1, mu)
	}
	var below float64
	for k := range y + 1 {
		below += math.Exp(nb2LogPMF(k, mu, theta))
	}
	return below
}

// Quantile is the smallest count k with P(count <= k) >= p, for p above 0 and
// below 1.
func (c CountPrediction) Quantile(p float64) (int, error) {
	if !(p > 0 && p < 1) {
		return 0, fmt.Errorf("quantile of a count: p is %g; it must be between 0 and 1", p)
	}
	return countQuantile(c.AtMost, p), nil
}
