package activity

import (
	"fmt"
	"math"
)

const (
	// trialHalfSteps is how many half steps, of a factor of the root of two, an
	// arm may lie from the usual level. The trade holds one step up to be about
	// a doubling (common practice, no source), so the arms reach one step.
	trialHalfSteps = 2
	// trialPool seeds the draws that a trial's seed picks from; any number does.
	trialPool = 1
)

// FeedArm is one feed level of a trial.
type FeedArm struct {
	// HalfSteps from the usual level, -2 to 2, name the arm from session to
	// session: the usual level moves with the water temperature.
	HalfSteps int     `json:"half_steps"`
	RateGH    float64 `json:"rate_g_h"`
	// Probability of being suggested.
	Probability float64 `json:"probability"`
}

// FeedTrial is a level to try, to be logged as it stands.
type FeedTrial struct {
	// OK is false where there is nothing to try; Why says so in words.
	OK   bool      `json:"ok"`
	Why  string    `json:"why,omitempty"`
	Arms []FeedArm `json:"arms"`
	// Suggested is one of Arms.
	Suggested FeedArm `json:"suggested"`
	Seed      uint64  `json:"seed"`
	// TemperatureBand is the context of the trial.
	TemperatureBand string `json:"temperature_band"`
}

// TryFeed suggests a level to try, for anglers who asked for such suggestions.
// Arms are the usual level and half a trade step and one step either side, as
// far as they are supported and under the cap; the starting rate under the cap
// stands in for a usual level that is not known. Three to five arms make a good
// trial, two are enough, fewer are refused in words.
//
// The suggestion is a Thompson draw (Thompson 1933, Biometrika 25, from memory):
// one draw of the terms from their posterior, and the best arm in it. The draw
// is picked by Seed from a fixed pool of 1,000, so the logged probability, the
// share of the pool in which the arm is best, is exactly that of being
// suggested, and no arm of probability 0 ever is. Draw the seed afresh for each
// session and from nothing that bears on bites: that makes it a randomised trial.
func TryFeed(q FeedQuestion) (FeedTrial, error) {
	if err := q.check(); err != nil {
		return FeedTrial{}, fmt.Errorf("try feed: %w", err)
	}
	out := FeedTrial{Seed: q.Seed, Arms: q.arms(), TemperatureBand: temperatureBand(q.WaterC)}
	if len(out.Arms) < 2 {
		out.Why = "fewer than two feed levels within one step of the usual one are tried often enough to compare"
		return out, nil
	}
	rows := make([]feedRow, len(out.Arms))
	for i, arm := range out.Arms {
		rows[i] = q.row(arm.RateGH)
	}
	best, err := q.Terms.bestInDraws(rows, feedRandom(trialPool))
	if err != nil {
		return FeedTrial{}, fmt.Errorf("try feed: %w", err)
	}
	for i, count := range tallyBest(best, len(rows)) {
		out.Arms[i].Probability = float64(count) / feedDraws
	}
	out.OK = true
	out.Suggested = out.Arms[best[feedRandom(q.Seed).IntN(feedDraws)]]
	return out, nil
}

// arms are the levels to try, rising.
func (q FeedQuestion) arms() []FeedArm {
	middle := q.UsualGH
	if middle == 0 {
		middle = q.startGH()
	}
	out := []FeedArm{}
	for step := -trialHalfSteps; step <= trialHalfSteps; step++ {
		rate := middle * math.Pow(2, float64(step)/2)
		if q.allowed(rate) && q.supported(rate) {
			out = append(out, FeedArm{HalfSteps: step, RateGH: rate})
		}
	}
	return out
}

// temperatureBand names the span between two knots of the trade's table of
// starting rates that holds waterC; our choice.
func temperatureBand(waterC float64) string {
	switch {
	case waterC < 8:
		return "under 8 C"
	case waterC < 12.5:
		return "8 to 12.5 C"
	case waterC < 17.5:
		return "12.5 to 17.5 C"
	case waterC < 22:
		return "17.5 to 22 C"
	}
	return "22 C and over"
}
