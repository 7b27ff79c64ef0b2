package activity

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// mixture is the prior's predictive: bites are NB2 with mean rodHours times
// exp(eta), eta normal and stood for by quadrature nodes. The rate of one
// session is exp(eta) G with G ~ Gamma(theta, theta).
type mixture struct {
	rates, weights []float64
	mean           float64
	theta          float64
	rodHours       float64
	landed         float64
}

// newMixture takes the mean and variance of the log of the mean rate.
func newMixture(mean, variance, theta, rodHours float64) mixture {
	points, weights := standardNormalNodes()
	rates := make([]float64, len(points))
	for i, x := range points {
		rates[i] = boundedExp(mean + math.Sqrt(variance)*x)
	}
	return mixture{
		rates: rates, weights: weights, mean: boundedExp(mean + variance/2),
		theta: theta, rodHours: rodHours, landed: landingShare(),
	}
}

func (m mixture) rateMean() float64 { return m.mean }

// rateQuantile bisects the mixture of Gamma distribution functions on the log
// scale, to a relative accuracy of 1e-9.
func (m mixture) rateQuantile(p float64) float64 {
	low, high := -60.0, 40.0
	for high-low > 1e-9 {
		middle := (low + high) / 2
		var below float64
		for i, rate := range m.rates {
			below += m.weights[i] * mathext.GammaIncReg(m.theta, m.theta*math.Exp(middle)/rate)
		}
		if below < p {
			low = middle
		} else {
			high = middle
		}
	}
	return math.Exp(high)
}

func (m mixture) bites(k int) float64 { return m.count(k, 1) }

// fish uses that a thinned NB2 is NB2 with its mean thinned and the same theta.
func (m mixture) fish(k int) float64 { return m.count(k, m.landed) }

func (m mixture) count(k int, share float64) float64 {
	var below float64
	for i, rate := range m.rates {
		below += m.weights[i] * nb2CDF(k, m.rodHours*rate*share, m.theta)
	}
	return below
}
