package timing

import (
	"fmt"
	"math"
)

// FirstHoursNeeded is how many recorded first hours it takes before the chance
// of feeding is fitted. Our choice.
const FirstHoursNeeded = 50

// The search for the chance of feeding, and how much better a session's mean
// log score must be for any chance below 1 to be believed: a small theta alone
// explains many blank hours. Our choice, the same figure as for a renewed fit.
const (
	leastFeeding  = 0.30
	feedingStep   = 0.01
	feedingScores = 0.01
)

// FirstHour is what one session's first hour or so brought, and what was
// foretold of it.
type FirstHour struct {
	LogRateMean, LogRateVariance, Alpha float64 // as of PlanBelief
	Hours                               float64 // fished, above 0
	Bites                               int
}

// FitFeeding is the chance that fish feed where a line is first cast: of 0.30
// to 1 in steps of 0.01 the one under which the first hours are likeliest, each
// foretold by its own plan matched at that chance. With fewer than 50 first
// hours it is the default and fitted is false. Where it does not beat 1 by 0.01
// of mean log score, it is 1.
func FitFeeding(hours []FirstHour) (feeding float64, fitted bool, err error) {
	if len(hours) < FirstHoursNeeded {
		return DefaultFeeding, false, nil
	}
	feeding = 1
	certain, err := firstHoursScore(hours, 1)
	if err != nil {
		return 0, false, err
	}
	best := certain + feedingScores
	for step := 1; ; step++ {
		at := 1 - float64(step)*feedingStep
		if at < leastFeeding-feedingStep/2 {
			return feeding, true, nil
		}
		score, err := firstHoursScore(hours, at)
		if err != nil {
			return 0, false, err
		}
		if score > best {
			feeding, best = at, score
		}
	}
}

// firstHoursScore is the mean log score of the first hours at one chance.
func firstHoursScore(hours []FirstHour, feeding float64) (float64, error) {
	var sum float64
	for i, h := range hours {
		belief, err := PlanBelief(h.LogRateMean, h.LogRateVariance, h.Alpha, feeding)
		if err != nil {
			return 0, fmt.Errorf("first hour %d: %w", i+1, err)
		}
		counts, err := belief.Rate.Bites(h.Hours)
		if err != nil {
			return 0, fmt.Errorf("first hour %d: %w", i+1, err)
		}
		logP, ok := counts.LogProbability(h.Bites)
		if !ok {
			return 0, fmt.Errorf("first hour %d: %d bites cannot be scored; the count must be 0 or more and not beyond all reason", i+1, h.Bites)
		}
		logP += math.Log(belief.Feeding)
		if h.Bites == 0 && belief.Feeding < 1 {
			logP = logAdd(logP, math.Log1p(-belief.Feeding))
		}
		sum += logP
	}
	return sum / float64(len(hours)), nil
}
