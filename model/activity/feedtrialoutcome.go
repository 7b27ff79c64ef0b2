package activity

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// FeedTrialOutcome is a session fished at the level a trial suggested.
type FeedTrialOutcome struct {
	// HalfSteps names the arm taken, 0 being the usual level.
	HalfSteps int `json:"half_steps"`
	// Probability is the logged one of the arm taken, 1e-6 to 1.
	Probability float64 `json:"probability"`
	Bites       int     `json:"bites"`
	// Hours fished, rod-hours; 0.01 to 200.
	Hours float64 `json:"hours_h"`
}

// FeedArmMean is the bite rate of one arm as if every session had taken it, and
// how far it lies from the usual level's.
type FeedArmMean struct {
	HalfSteps int     `json:"half_steps"`
	Sessions  int     `json:"sessions"`
	RatePerH  float64 `json:"rate_per_h"`
	// SE counts where Sessions is 2 or more and is 0 otherwise.
	SE float64 `json:"se"`
	// Compared tells whether this arm and the usual one have two sessions each;
	// then Difference is its rate less the usual one's.
	Compared     bool    `json:"compared"`
	Difference   float64 `json:"difference"`
	DifferenceSE float64 `json:"difference_se"`
}

// InverseProbabilityContrast compares the arms taken, each session weighted by
// 1/probability. It is Hajek's ratio form: weighted bites over weighted hours of
// the arm (Hajek 1971, in Foundations of Statistical Inference, from memory),
// steadier than Horvitz and Thompson's. The SE is the linearised one, times
// sqrt(n/(n-1)); arms share no session, so that of a difference is the root of
// the sum of squares. Good spells cannot bias it, for the arm was drawn by lot.
//
// Give sessions in which the same arms were on offer: an arm's mean speaks only
// of sessions that could have taken it. Arms come in rising order; the order of
// trials changes nothing beyond rounding. A value out of range is an error.
func InverseProbabilityContrast(trials []FeedTrialOutcome) ([]FeedArmMean, error) {
	byArm := map[int][]FeedTrialOutcome{}
	for i, o := range trials {
		if !(o.Probability >= 1e-6 && o.Probability <= 1) || o.Bites < 0 || !(o.Hours >= 0.01 && o.Hours <= maxRodHours) {
			return nil, fmt.Errorf("compare feed trials: row %d: probability %g, %d bites in %g hours; the probability must be 1e-6 to 1, bites 0 or more, hours 0.01 to %d", i+1, o.Probability, o.Bites, o.Hours, maxRodHours)
		}
		byArm[o.HalfSteps] = append(byArm[o.HalfSteps], o)
	}
	var out []FeedArmMean
	for step, taken := range byArm {
		out = append(out, feedArmMean(step, taken))
	}
	slices.SortFunc(out, func(a, b FeedArmMean) int { return cmp.Compare(a.HalfSteps, b.HalfSteps) })
	compareWithUsual(out)
	return out, nil
}

func feedArmMean(step int, taken []FeedTrialOutcome) FeedArmMean {
	var bites, hours, squares float64
	for _, o := range taken {
		bites += float64(o.Bites) / o.Probability
		hours += o.Hours / o.Probability
	}
	out := FeedArmMean{HalfSteps: step, Sessions: len(taken), RatePerH: bites / hours}
	for _, o := range taken {
		off := (float64(o.Bites) - out.RatePerH*o.Hours) / o.Probability / hours
		squares += off * off
	}
	if n := float64(len(taken)); n > 1 {
		out.SE = math.Sqrt(squares * n / (n - 1))
	}
	return out
}

// compareWithUsual fills in the differences from arm 0, where it was taken.
func compareWithUsual(arms []FeedArmMean) {
	at := slices.IndexFunc(arms, func(a FeedArmMean) bool { return a.HalfSteps == 0 && a.Sessions > 1 })
	if at < 0 {
		return
	}
	usual := arms[at]
	for i := range arms {
		if a := &arms[i]; i != at && a.Sessions > 1 {
			a.Compared = true
			a.Difference = a.RatePerH - usual.RatePerH
			a.DifferenceSE = math.Hypot(a.SE, usual.SE)
		}
	}
}
