package timing

import (
	"fmt"
	"math"
)

// Hazard is a chance of a bite per minute of waiting that is constant between
// breaks. Make it with NewHazard.
type Hazard struct {
	// StartsMin is where each piece begins; the first is 0.
	StartsMin []float64 `json:"starts_min"`
	// PerMin is the chance per minute in each piece.
	PerMin []float64 `json:"per_min"`
	// LongestMin is where the last piece ends: the longest soak tried. Beyond it
	// nothing is known.
	LongestMin float64 `json:"longest_min"`
}

// NewHazard takes starts that rise from 0, as many hazards of 0 or more per
// minute, and the longest soak, after the last start. Anything else is an error.
func NewHazard(startsMin, perMin []float64, longestMin float64) (Hazard, error) {
	if len(startsMin) == 0 || len(startsMin) != len(perMin) || startsMin[0] != 0 {
		return Hazard{}, fmt.Errorf("hazard: there are %d starts and %d hazards; give as many of each, the first start 0", len(startsMin), len(perMin))
	}
	for j, h := range perMin {
		if !(h >= 0) || math.IsInf(h, 1) {
			return Hazard{}, fmt.Errorf("hazard: piece %d has %g per min; give a number of 0 or more", j+1, h)
		}
		end := longestMin
		if j+1 < len(startsMin) {
			end = startsMin[j+1]
		}
		if !(end > startsMin[j]) || math.IsInf(end, 1) {
			return Hazard{}, fmt.Errorf("hazard: piece %d runs from %g to %g min; starts and the longest soak must rise", j+1, startsMin[j], end)
		}
	}
	return Hazard{StartsMin: startsMin, PerMin: perMin, LongestMin: longestMin}, nil
}

// At is the chance that no bite has come by soakMin, and the mean minutes waited
// when every wait is cut short there (the integral of survival). Each piece adds
// its closed form, S w (1 - e^-hw)/(hw). Not known below 0 or past LongestMin.
func (h Hazard) At(soakMin float64) (survival, soakedMin float64, ok bool) {
	cumulated, soakedMin, ok := h.cumulated(soakMin)
	if !ok {
		return 0, 0, false
	}
	return math.Exp(-cumulated), soakedMin, true
}

// cumulated is the hazard added up to soakMin, -log survival, and At's minutes.
func (h Hazard) cumulated(soakMin float64) (cumulated, soakedMin float64, ok bool) {
	if !(soakMin >= 0 && soakMin <= h.LongestMin) || len(h.StartsMin) != len(h.PerMin) {
		return 0, 0, false
	}
	for j, start := range h.StartsMin {
		width := min(soakMin, h.end(j)) - start
		if width <= 0 {
			break
		}
		soakedMin += math.Exp(-cumulated) * meanWithin(h.PerMin[j], width)
		cumulated += h.PerMin[j] * width
	}
	return cumulated, soakedMin, true
}

// BitesPerMin is the long-run rate of bites when every cast without one is wound
// in at soakMin. Not known past LongestMin or with handling out of range.
func (h Hazard) BitesPerMin(soakMin float64, handling Handling) (rate float64, ok bool) {
	cumulated, soaked, ok := h.cumulated(soakMin)
	if !ok || handling.check() != nil {
		return 0, false
	}
	// 1 - S in the form that keeps its digits where bites are rare.
	return -math.Expm1(-cumulated) / handling.CycleMin(math.Exp(-cumulated), soaked), true
}

// end is where piece j ends.
func (h Hazard) end(j int) float64 {
	if j+1 < len(h.StartsMin) {
		return h.StartsMin[j+1]
	}
	return h.LongestMin
}

// meanWithin is the mean wait, cut short at width, at a constant hazard.
func meanWithin(perMin, width float64) float64 {
	if perMin == 0 {
		return width
	}
	return -math.Expm1(-perMin*width) / perMin
}
