package activity

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// FeedChoice is a feed rate chosen under doubt about the best one, and the loss
// expected of it.
type FeedChoice struct {
	Quantile     float64 `json:"quantile"`
	RateGH       float64 `json:"rate_g_h"`
	ExpectedLoss float64 `json:"expected_loss"`
}

// ChooseFeed picks the rate when the best rate is log-normal (logMean of g/h,
// logSD above 0) and a g/h too much costs costOver, one too little costUnder
// (both above 0): the costUnder/(costUnder + costOver) quantile of the best
// rate, the critical ratio of the newsvendor problem (from memory).
func ChooseFeed(logMean, logSD, costOver, costUnder float64) (FeedChoice, error) {
	if !isFinite(logMean) || !(logSD > 0) || !(costOver > 0) || !(costUnder > 0) {
		return FeedChoice{}, fmt.Errorf("choose a feed rate: log mean %g, log sd %g, costs %g over and %g under; sd and costs must be above 0", logMean, logSD, costOver, costUnder)
	}
	q := costUnder / (costUnder + costOver)
	rate := math.Exp(logMean + logSD*distuv.UnitNormal.Quantile(q))
	loss := ExpectedFeedLoss(rate, logMean, logSD, costOver, costUnder)
	if !isFinite(rate) || !isFinite(loss) {
		return FeedChoice{}, fmt.Errorf("choose a feed rate: log mean %g with log sd %g is too large to compute with", logMean, logSD)
	}
	return FeedChoice{Quantile: q, RateGH: rate, ExpectedLoss: loss}, nil
}

// ExpectedFeedLoss is costOver E(rate - best)+ + costUnder E(best - rate)+ for
// a log-normal best rate; rate and logSD are above 0.
func ExpectedFeedLoss(rateGH, logMean, logSD, costOver, costUnder float64) float64 {
	d := (math.Log(rateGH) - logMean) / logSD
	mean := math.Exp(logMean + logSD*logSD/2)
	over := rateGH*distuv.UnitNormal.CDF(d) - mean*distuv.UnitNormal.CDF(d-logSD)
	return costOver*over + costUnder*(over-rateGH+mean)
}

// EValue says how strong an unrecorded cause of both feed and bites would have
// to be, as a rate ratio with each, to explain a rate ratio away
// (VanderWeele & Ding 2017, Ann. Intern. Med. 167). ratio is above 0 and
// finite; otherwise ok is false.
func EValue(ratio float64) (value float64, ok bool) {
	if !(ratio > 0) || math.IsInf(ratio, 1) {
		return 0, false
	}
	ratio = max(ratio, 1/ratio)
	value = ratio + math.Sqrt(ratio*(ratio-1))
	return value, isFinite(value)
}
