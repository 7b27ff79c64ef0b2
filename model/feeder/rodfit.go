package feeder

import "math"

// Cast is step 7: weight and rod for a named distance.
type Cast struct {
	Named       bool    // A distance was named; without one the rest is zero.
	Rod         Rod     // The row recommended.
	RodMaxG     float64 // The rating that binds: the angler's own, else the row's.
	OwnRod      bool    // The rating is the angler's own.
	HeavierRod  bool    // The row is heavier than the distance alone asks for.
	Need        WeightNeed
	WeightG     float64 // 0 where there is no safe cast.
	LoadedMassG float64 // Weight and fill; 0 where there is no safe cast.
	LessFill    bool    // The fill was cut to spare the rod.
	MayCreep    bool    // The weight is without what wind and depth ask for.
	NoStep      bool    // What was asked for is above every weight to be had.
	NoSafeCast  bool
	LongestM    float64 // With no safe cast, the longest distance that works; 0 none.
}

// fit is step 7 over step 4: it chooses a load for the whole weight asked for,
// then, where nothing fits the rod, for the weight without wind and depth.
func (d demand) fit(vs []vessel, in Input) (load, Cast) {
	if in.DistanceM == 0 {
		return d.choose(vs), Cast{}
	}
	full, _ := NeedWeight(in.DistanceM, in.DepthM, windAcrossMps(in), in.Creeps)
	noStep := full.TotalG() > heaviestG(vs)
	for _, need := range []WeightNeed{full, full.WithoutAdditions()} {
		l, c, ok := d.tryWeight(vs, in, need)
		if !ok {
			continue
		}
		c.NoStep = noStep
		c.MayCreep = need != full
		return l, c
	}
	rods := ratings(in)
	last := rods[len(rods)-1]
	return d.choose(vs), Cast{
		Named: true, Rod: last.rod, RodMaxG: last.ratingG, OwnRod: in.rodMaxG() > 0, Need: full,
		NoStep: noStep, NoSafeCast: true,
		LongestM: longestCastM(vs, last.ratingG, d.densityGMl, full.CreepG),
	}
}

// rated is a rod row with the rating that binds on it.
type rated struct {
	rod     Rod
	ratingG float64
}

// ratings lists what may be cast with, in the order tried: the angler's own
// rating alone, or the row for the distance and the heavier rows after it.
func ratings(in Input) []rated {
	rods := RodsFor(in.DistanceM)
	if own := in.rodMaxG(); own > 0 {
		return []rated{{rods[0], own}}
	}
	list := make([]rated, 0, len(rods))
	for _, r := range rods {
		list = append(list, rated{r, r.RatingHighG})
	}
	return list
}

// tryWeight chooses a load among the vessels that come in the weight needed and
// fits it to a rod: as it is on the first rod that bears it, else with less in
// the feeder on the last, since that is the strongest.
func (d demand) tryWeight(vs []vessel, in Input, need WeightNeed) (load, Cast, bool) {
	vs = holding(vs, need.TotalG())
	if len(vs) == 0 {
		return load{}, Cast{}, false
	}
	l := d.choose(vs)
	weightG, _ := WeightStepUp(l.vessel.weightsG, need.TotalG())
	c := Cast{Named: true, OwnRod: in.rodMaxG() > 0, Need: need}
	rods := ratings(in)
	for i, r := range rods {
		if weightG+l.fillG > r.ratingG {
			continue
		}
		c.Rod, c.RodMaxG, c.HeavierRod = r.rod, r.ratingG, i > 0
		c.WeightG, c.LoadedMassG = weightG, weightG+l.fillG
		return l, c, true
	}
	last := rods[len(rods)-1]
	vs = bearable(vs, need, last.ratingG, d.densityGMl)
	if len(vs) == 0 {
		return load{}, Cast{}, false
	}
	l, weightG = d.lighten(vs, need, last.ratingG)
	c.Rod, c.RodMaxG, c.HeavierRod = last.rod, last.ratingG, len(rods) > 1
	c.WeightG, c.LoadedMassG, c.LessFill = weightG, weightG+l.fillG, true
	return l, c, true
}

// bearable keeps the vessels that the rod bears half full with the weight
// needed.
func bearable(vs []vessel, need WeightNeed, ratingG, densityGMl float64) []vessel {
	var kept []vessel
	for _, v := range vs {
		weightG, _ := WeightStepUp(v.weightsG, need.TotalG())
		if weightG+LeastFillFactor*v.capacityMl*densityGMl <= ratingG {
			kept = append(kept, v)
		}
	}
	return kept
}

// lighten chooses anew among the vessels the rod bears, which of the five steps
// gives the largest not above the first choice, then takes the largest fill
// factor that fits and sets the soak for that fill.
func (d demand) lighten(vs []vessel, need WeightNeed, ratingG float64) (load, float64) {
	l := d.choose(vs)
	weightG, _ := WeightStepUp(l.vessel.weightsG, need.TotalG())
	factor := (ratingG - weightG) / (l.vessel.capacityMl * d.densityGMl)
	if factor < l.fillFactor {
		l = d.meet(l, factor)
	}
	return l, weightG
}

// longestCastM is the greatest distance whose base weight, with half a fill of
// some vessel, the rod bears; 0 where there is none.
func longestCastM(vs []vessel, ratingG, densityGMl, creepG float64) float64 {
	longestM := 0.0
	for _, v := range vs {
		for _, w := range v.weightsG {
			baseG := w - creepG
			if baseG >= leastBaseG && w+LeastFillFactor*v.capacityMl*densityGMl <= ratingG {
				longestM = math.Max(longestM, baseG/baseGPerM)
			}
		}
	}
	return longestM
}

// heaviestG is the greatest weight that any vessel comes in.
func heaviestG(vs []vessel) float64 {
	most := 0.0
	for _, v := range vs {
		most = math.Max(most, v.weightsG[len(v.weightsG)-1])
	}
	return most
}
