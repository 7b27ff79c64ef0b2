package timing

import (
	"fmt"
	"math"
	"slices"
)

// z95 is the 97.5 % point of the standard normal distribution.
const z95 = 1.959963984540054

// Survival is Kaplan and Meier's estimate of the chance that the first true bite
// has not come yet.
type Survival struct {
	// Steps are the distinct times in rising order, with and without bites.
	Steps []SurvivalStep `json:"steps"`
	// LongestMin is the longest time observed. Beyond it nothing is known.
	LongestMin float64 `json:"longest_min"`
}

// SurvivalStep is one time of the estimate.
type SurvivalStep struct {
	TimeMin float64 `json:"time_min"`
	// AtRisk are the casts still waiting just before; bites at a time come before
	// wind-ins at it.
	AtRisk   int     `json:"at_risk"`
	Bites    int     `json:"bites"`
	WoundIn  int     `json:"wound_in"`
	Survival float64 `json:"survival"`
	// SE is Greenwood's standard error of Survival; nil where Survival is 0.
	SE *float64 `json:"se"`
	// Low95 and High95 are limits on the log(-log) scale; nil where Survival is
	// 0 or still 1, as the scale has no value there.
	Low95  *float64 `json:"low95"`
	High95 *float64 `json:"high95"`
}

// KaplanMeier estimates survival from times of 0 or more and whether each ended
// in a bite or was cut short (Kaplan & Meier 1958, JASA 53), with Greenwood's
// variance (Greenwood 1926): S(t) is the product of 1 - d/n over the times up to
// t, its variance S^2 times the sum of d/(n(n-d)). No times, or a time that is
// not a finite number of 0 or more, are an error. Order changes nothing.
func KaplanMeier(timesMin []float64, bites []bool) (Survival, error) {
	if len(timesMin) == 0 || len(timesMin) != len(bites) {
		return Survival{}, fmt.Errorf("survival: there are %d times and %d outcomes; give one outcome for each of at least one time", len(timesMin), len(bites))
	}
	counts := map[float64]*SurvivalStep{}
	for i, t := range timesMin {
		if !(t >= 0) || math.IsInf(t, 1) {
			return Survival{}, fmt.Errorf("survival: time %d is %g; give minutes of 0 or more", i+1, t)
		}
		if counts[t] == nil {
			counts[t] = &SurvivalStep{TimeMin: t}
		}
		if bites[i] {
			counts[t].Bites++
		} else {
			counts[t].WoundIn++
		}
	}
	var out Survival
	for _, step := range counts {
		out.Steps = append(out.Steps, *step)
	}
	slices.SortFunc(out.Steps, func(a, b SurvivalStep) int {
		if a.TimeMin < b.TimeMin {
			return -1
		}
		return 1
	})
	out.LongestMin = out.Steps[len(out.Steps)-1].TimeMin
	s, greenwood, atRisk := 1.0, 0.0, len(timesMin)
	for i := range out.Steps {
		step := &out.Steps[i]
		step.AtRisk = atRisk
		n, d := float64(atRisk), float64(step.Bites)
		s *= 1 - d/n
		greenwood += d / (n * (n - d)) // infinite where nobody is left, and then S is 0
		step.Survival = s
		step.limits(greenwood)
		atRisk -= step.Bites + step.WoundIn
	}
	return out, nil
}

// limits sets what the sum of Greenwood's terms says, where it says anything.
func (s *SurvivalStep) limits(greenwood float64) {
	if s.Survival == 0 {
		return
	}
	se := s.Survival * math.Sqrt(greenwood)
	s.SE = &se
	if s.Survival == 1 {
		return
	}
	logS := math.Log(s.Survival)
	centre, half := math.Log(-logS), z95*math.Sqrt(greenwood)/-logS
	low, high := math.Exp(-math.Exp(centre+half)), math.Exp(-math.Exp(centre-half))
	s.Low95, s.High95 = &low, &high
}

// At is the estimate at a time of 0 or more; not known, and not flat, past the
// longest time observed.
func (s Survival) At(timeMin float64) (survival float64, ok bool) {
	if !(timeMin >= 0 && timeMin <= s.LongestMin) {
		return 0, false
	}
	survival = 1
	for _, step := range s.Steps {
		if step.TimeMin > timeMin {
			break
		}
		survival = step.Survival
	}
	return survival, true
}

// MedianMin is the first time by which at most half are still waiting; where the
// estimate is exactly a half over a stretch, the middle of the stretch. Not known
// where more than half wait at the end.
func (s Survival) MedianMin() (medianMin float64, ok bool) {
	const rounding = 1e-12
	for i, step := range s.Steps {
		if step.Survival > 0.5+rounding {
			continue
		}
		if step.Survival < 0.5-rounding {
			return step.TimeMin, true
		}
		for _, next := range s.Steps[i+1:] {
			if next.Bites > 0 {
				return (step.TimeMin + next.TimeMin) / 2, true
			}
		}
		return step.TimeMin, true
	}
	return 0, false
}

// MeanMin is the mean time waited when every wait is cut short at limitMin: the
// area under the estimate up to there. Not known past the longest time observed.
func (s Survival) MeanMin(limitMin float64) (meanMin float64, ok bool) {
	if !(limitMin >= 0 && limitMin <= s.LongestMin) {
		return 0, false
	}
	from, height := 0.0, 1.0
	for _, step := range s.Steps {
		if step.TimeMin >= limitMin {
			break
		}
		meanMin += height * (step.TimeMin - from)
		from, height = step.TimeMin, step.Survival
	}
	return meanMin + height*(limitMin-from), true
}

// PooledSoak is the whole minute, up to the longest time observed, at which the
// pooled curve has the most bites per minute. It is there to be shown beside the
// soak of a typical session and never to be followed: good and poor sessions
// thrown together look like one hazard that falls (Vaupel & Missov 2014,
// Demographic Research 31), so it asks for a recast too early. Times must be in
// whole minutes. A longest time under 1 min gives ok false.
func (s Survival) PooledSoak(handling Handling) (soakMin, bitesPerMin float64, ok bool) {
	for minute := 1.0; minute <= s.LongestMin; minute++ {
		rate, known := s.BitesPerMin(minute, handling)
		if known && rate > bitesPerMin {
			soakMin, bitesPerMin, ok = minute, rate, true
		}
	}
	return soakMin, bitesPerMin, ok
}

// BitesPerMin is the pooled long-run rate when every cast is wound in at soakMin.
func (s Survival) BitesPerMin(soakMin float64, handling Handling) (rate float64, ok bool) {
	survival, known := s.At(soakMin)
	soaked, _ := s.MeanMin(soakMin)
	if !known || handling.check() != nil {
		return 0, false
	}
	return (1 - survival) / handling.CycleMin(survival, soaked), true
}
