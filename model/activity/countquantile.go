package activity

import "sort"

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

// The share of true bites that becomes fish on the bank before any record:
// logit q ~ N(0.5, 0.4); our choice.
const (
	landingLogitMean = 0.5
	landingLogitSD   = 0.4
)
