package feeder

import "math"

// Step is one of the five feeder sizes. Makers' own words for size cannot be
// compared with one another, so millilitres rule and the name only helps talk.
type Step struct {
	Name       string
	CapacityMl float64 // Inside volume to the brim.
}

// Steps lists the five sizes, smallest first. Sizes: common practice, no
// source; millilitres derived as the volume of a cylinder of the usual inside
// diameter and length (22x32, 26x38, 30x50, 35x57 and 40x68 mm).
func Steps() []Step {
	return []Step{{"XS", 12}, {"S", 20}, {"M", 35}, {"L", 55}, {"XL", 85}}
}

// xsCapacityMl is the size up to which the trade keeps its soak and part-fills.
const xsCapacityMl = 12

// NearestStep returns the step whose capacity is nearest in log terms, ties to
// the smaller. A capacity that is not a positive finite number gives ok false.
func NearestStep(capacityMl float64) (step Step, ok bool) {
	if !(capacityMl > 0) || math.IsInf(capacityMl, 0) {
		return Step{}, false
	}
	steps := Steps()
	step = steps[0]
	for _, s := range steps[1:] {
		if logGap(s.CapacityMl, capacityMl) < logGap(step.CapacityMl, capacityMl) {
			step = s
		}
	}
	return step, true
}

// logGap is the distance of two positive figures in log terms.
func logGap(a, b float64) float64 { return math.Abs(math.Log(a / b)) }
