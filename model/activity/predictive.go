package activity

import (
	"math"
	"sort"
)

// predictive is what is expected of one session of known length. Bites and
// fish are distribution functions, P(count <= k).
type predictive interface {
	rateMean() float64
	rateQuantile(p float64) float64
	bites(k int) float64
	fish(k int) float64
}

// maxCount bounds the search for a quantile; with rates held under exp(30) an
// hour no quantile that is asked for lies beyond it.
const maxCount = 1 << 60

// countQuantile is the smallest k with cdf(k) >= p, for p below 1.
func countQuantile(cdf func(int) float64, p float64) int {
	high := 1
	for high < maxCount && cdf(high) < p {
		high *= 2
	}
	return sort.Search(high, func(k int) bool { return cdf(k) >= p })
}

// The share of true bites that becomes fish on the bank: logit q ~ N(0.5, 0.4);
// our choice.
const (
	landingLogitMean = 0.5
	landingLogitSD   = 0.4
)

// landingShare is the mean of q, about 0.62. Forecasts use this one figure:
// integrating over q as well would widen the fish count by a few per cent of
// what the rate's own uncertainty does.
func landingShare() float64 {
	points, weights := standardNormalNodes()
	var mean float64
	for i, x := range points {
		mean += weights[i] / (1 + math.Exp(-(landingLogitMean + landingLogitSD*x)))
	}
	return mean
}
