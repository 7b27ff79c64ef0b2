package activity

import "math"

// Blanks compares sessions without fish with their forecast. Blanks that nobody
// writes down show as far fewer than were to be expected.
type Blanks struct {
	// Sessions are those of which the fish were counted.
	Sessions int `json:"sessions"`
	Observed int `json:"observed"`
	// Expected is the sum of the forecasts' chances of no fish.
	Expected float64 `json:"expected"`
	// Z is (observed + 1/2 - expected) / sd, the sd that of independent
	// sessions; 0 where none varies.
	Z float64 `json:"z"`
	// Missing is true where blanks seem to go unrecorded: Z below -2.326, which
	// chance alone does once in a hundred, and fewer than two thirds of those
	// expected, so that a small fault of the forecast is not taken for it. Our
	// choice.
	Missing bool `json:"missing"`
}

const (
	missingBlanksZ     = -2.3263478740408408 // 1 % point of the standard normal
	missingBlanksShare = 2.0 / 3
)

func compareBlanks(scored []ScoredForecast) Blanks {
	var out Blanks
	var variance float64
	for _, s := range scored {
		if !s.FishKnown {
			continue
		}
		out.Sessions++
		if s.Fish == 0 {
			out.Observed++
		}
		out.Expected += s.BlankProbability
		variance += s.BlankProbability * (1 - s.BlankProbability)
	}
	if variance > 0 {
		out.Z = (float64(out.Observed) + 0.5 - out.Expected) / math.Sqrt(variance)
	}
	out.Missing = out.Z < missingBlanksZ && float64(out.Observed) < missingBlanksShare*out.Expected
	return out
}
