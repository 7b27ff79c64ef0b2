package activity

// Inner parts of the landed share that its specification fixes.

// CheckLanded is what a fit read back from a store has to pass.
func CheckLanded(fit LandedFit) error { return fit.check() }

// LogPosteriorOfLandedSD is Laplace's log posterior of the log sd of the
// anglers, up to a constant.
func LogPosteriorOfLandedSD(records []LandedRecord, logSD float64) (float64, error) {
	mode, err := landedModeAt(landedGroups(records), logSD)
	return mode.value, err
}

// SessionCounts is the predictive of one session's rate, bites and fish.
type SessionCounts struct {
	Bites, Fish        func(k int) float64
	RateQuantile       func(p float64) float64
	RateMean, FishMean float64
}

// NewSessionCounts builds the count model's predictive.
func NewSessionCounts(mean, variance, alpha, rodHours, landedMean, landedVariance float64) SessionCounts {
	m := newCountMixture(mean, variance, alpha, rodHours, landedMean, landedVariance)
	return SessionCounts{
		Bites: m.bites, Fish: m.fish, RateQuantile: m.rateQuantile,
		RateMean: m.rateMean(), FishMean: m.fishMean(),
	}
}

// NB2AtMost is P(count <= k) at any theta.
var NB2AtMost = countAtMost
