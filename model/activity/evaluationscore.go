package activity

import "fmt"

// CountForecast is a distribution of a count that can be held against what
// came: CountPrediction or BaselinePrediction.
type CountForecast interface {
	Mean() float64
	AtMost(y int) float64
	LogScore(y int) (score float64, ok bool)
	DSS(y int) float64
	CRPS(y int) (float64, error)
}

// CountScore is how one forecast of a count fared. Scores are negatively
// oriented: the smaller the better (Gneiting & Raftery 2007).
type CountScore struct {
	// LogScore is -log P(count). It is 0 and says nothing where Impossible is
	// true: the forecast gave the count no chance at all, an infinite score.
	LogScore   float64
	Impossible bool
	CRPS       float64
	DSS        float64
	// PIT are the ends P(Y < count) and P(Y <= count).
	PIT PIT
	// Cover50 and Cover90 say whether the count lies in the central interval,
	// ends included.
	Cover50 bool
	Cover90 bool
	// Mean is the count that was expected.
	Mean float64
}

// ScoreCount holds a forecast against a count of 0 or more.
func ScoreCount(f CountForecast, count int) (CountScore, error) {
	crps, err := f.CRPS(count)
	if err != nil {
		return CountScore{}, fmt.Errorf("score a forecast: %w", err)
	}
	s := CountScore{CRPS: crps, DSS: f.DSS(count), Mean: f.Mean(), PIT: PIT{f.AtMost(count - 1), f.AtMost(count)}}
	if !isFinite(s.CRPS) || !isFinite(s.DSS) || !isFinite(s.Mean) || !isFinite(s.PIT.Upper) {
		return CountScore{}, fmt.Errorf("score a forecast: a mean of %g cannot be held against a count of %d", s.Mean, count)
	}
	var ok bool
	if s.LogScore, ok = f.LogScore(count); !ok {
		s.LogScore, s.Impossible = 0, true
	}
	s.Cover50, s.Cover90 = s.PIT.covers(0.25), s.PIT.covers(0.05)
	return s, nil
}

// covers says whether the count is within the quantiles of p and 1-p, a
// quantile being the smallest k with P(Y <= k) >= p.
func (p PIT) covers(tail float64) bool { return p.Upper >= tail && p.Lower < 1-tail }

// Score holds the forecast against the true bites that came in rodHours, the
// length the session really had: above 0, at most 200.
func (b ForecastBasis) Score(rodHours float64, bites int) (CountScore, error) {
	if !(rodHours > 0 && rodHours <= maxRodHours) {
		return CountScore{}, fmt.Errorf("score a forecast: rod-hours is %g; it must be above 0 and at most %d", rodHours, maxRodHours)
	}
	prediction, err := b.Bites(rodHours)
	if err != nil {
		return CountScore{}, fmt.Errorf("score a forecast: %w", err)
	}
	return ScoreCount(prediction, bites)
}

// Blank is the probability of no fish in rodHours, above 0 and at most 200.
func (b ForecastBasis) Blank(rodHours float64) (float64, error) {
	if _, err := b.Bites(rodHours); err != nil || !(rodHours <= maxRodHours) {
		return 0, fmt.Errorf("chance of a blank in %g rod-hours: give hours above 0 and at most %d, and a forecast's own figures", rodHours, maxRodHours)
	}
	blank := b.mixture(rodHours).fish(0)
	if !isFinite(blank) {
		return 0, fmt.Errorf("chance of a blank in %g rod-hours: it cannot be computed from %+v", rodHours, b)
	}
	return blank, nil
}
