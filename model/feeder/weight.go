package feeder

import "math"

// Feeder weight. Common practice, no source.
const (
	leastBaseG       = 15.0 // Base weight close in.
	baseGPerM        = 1.0  // Base weight for each metre of distance.
	deepBeyondM      = 4.0
	deepG            = 10.0
	windyMps         = 5.0
	windyG           = 10.0
	strongWindMps    = 8.0
	strongWindG      = 20.0
	creepG           = 10.0
	gramsPerOz       = 28.349523125 // International avoirdupois ounce, exact.
	leadFreeFromG    = 10.0
	leadFreeUpToG    = 25.0
	softSplashDeepM  = 1.5
	softSplashRangeM = 20.0
)

// WeightSteps lists the feeder weights in g that are to be had, lightest first.
// Common practice, no source.
func WeightSteps() []float64 { return []float64{10, 15, 20, 25, 30, 40, 50, 60, 80, 100} }

// OzFromG turns grams into ounces.
func OzFromG(grams float64) float64 { return grams / gramsPerOz }

// WeightNeed is the weight that holds bottom, in g, part by part.
type WeightNeed struct {
	BaseG, DepthG, WindG, CreepG float64
}

// TotalG is the whole weight asked for.
func (n WeightNeed) TotalG() float64 { return n.BaseG + n.DepthG + n.WindG + n.CreepG }

// WithoutAdditions drops what wind and depth add: the feeder then reaches the
// spot but may creep. Weight added for a creep already seen stays.
func (n WeightNeed) WithoutAdditions() WeightNeed {
	return WeightNeed{BaseG: n.BaseG, CreepG: n.CreepG}
}

// NeedWeight returns the weight asked for by distance (m), depth (m, 0 not
// known), wind across or into the cast (m/s) and creep seen: the greater of 15 g
// and 1 g a metre; 10 g over 4 m of depth; 10 g from 5 m/s and 20 g from 8 m/s;
// 10 g for creep. A negative or non-finite figure gives ok false.
func NeedWeight(distanceM, depthM, windAcrossMps float64, creeps bool) (need WeightNeed, ok bool) {
	for _, v := range []float64{distanceM, depthM, windAcrossMps} {
		if !(v >= 0) || math.IsInf(v, 0) {
			return WeightNeed{}, false
		}
	}
	need.BaseG = max(leastBaseG, baseGPerM*distanceM)
	if depthM > deepBeyondM {
		need.DepthG = deepG
	}
	switch {
	case windAcrossMps >= strongWindMps:
		need.WindG = strongWindG
	case windAcrossMps >= windyMps:
		need.WindG = windyG
	}
	if creeps {
		need.CreepG = creepG
	}
	return need, true
}

// WeightStepUp returns the lightest of the given weights (g, lightest first)
// that is at least what is needed; ok is false where none is that heavy.
func WeightStepUp(weightsG []float64, neededG float64) (weightG float64, ok bool) {
	for _, w := range weightsG {
		if w >= neededG {
			return w, true
		}
	}
	return 0, false
}

// NonLeadNote returns the sentence owed with feeders of 10-25 g: lead weights
// may be used in England and Wales only at 0.06 g or less or above 28.35 g
// (GOV.UK, Freshwater rod fishing rules: Tackle you can use). Other weights give
// ok false.
func NonLeadNote(weightG float64) (note string, ok bool) {
	if weightG < leadFreeFromG || weightG > leadFreeUpToG {
		return "", false
	}
	return "In England and Wales a feeder of 10 to 25 g must carry ballast other than lead.", true
}
