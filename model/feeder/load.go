package feeder

import "fmt"

// demand is what step 4 of the cold-start plan has to meet.
type demand struct {
	wishedGH    float64 // After caps.
	ceilingGH   float64 // The caps' own figure, never passed.
	capped      bool    // Whether there is a ceiling.
	densityGMl  float64
	handlingMin float64
	soak        Soak
	ownKit      bool
}

// load is one feeder, how full, and the rhythm that goes with it.
type load struct {
	vessel     vessel
	fillFactor float64
	fillG      float64
	soakMin    float64
	rateGH     float64 // What results, which a clamp moves off the wished rate.
	why        string  // Which limit shaped it; empty where none did.
}

// choose is steps 3 and 4: the ideal fill at the starting soak, the vessel
// nearest to it in log terms, then a part fill or a soak that makes the rate.
// The vessels come smallest first and there is at least one.
func (d demand) choose(vs []vessel) load {
	idealG := d.wishedGH * (d.soak.StartMin + d.handlingMin) / 60
	l := load{vessel: nearestVessel(vs, idealG/d.densityGMl)}
	fullG := l.vessel.capacityMl * d.densityGMl
	if l.vessel.capacityMl == vs[0].capacityMl && idealG < fullG {
		l = d.partFill(l, idealG/fullG)
	} else {
		l = d.meet(l, 1)
	}
	// A larger feeder of the angler's own can miss the wished rate by far more
	// than the five steps ever do, and feed cannot be taken back.
	if d.ownKit && l.vessel.capacityMl > xsCapacityMl {
		l = d.hold(l, d.wishedGH, LeastFillFactor)
	}
	if d.capped {
		l = d.hold(l, d.ceilingGH, 0)
	}
	return l
}

// nearestVessel picks the capacity nearest in log terms, ties to the smaller.
func nearestVessel(vs []vessel, idealMl float64) vessel {
	best := vs[0]
	for _, v := range vs[1:] {
		if logGap(v.capacityMl, idealMl) < logGap(best.capacityMl, idealMl) {
			best = v
		}
	}
	return best
}

// partFill keeps the starting soak and fills the smallest vessel in part, never
// below half, which may feed more than was wished.
func (d demand) partFill(l load, factor float64) load {
	l.soakMin = d.soak.StartMin
	l.rateGH = d.wishedGH
	l.fillFactor = factor
	if factor < LeastFillFactor {
		l.fillFactor = LeastFillFactor
	}
	l.fillG = l.vessel.capacityMl * d.densityGMl * l.fillFactor
	if factor < LeastFillFactor {
		l.rateGH = d.rateGH(l)
		l.why = "half a fill of the smallest feeder is the least that is cast, so a little more goes in than wished"
	}
	return l
}

// meet sets the soak that makes the wished rate with this fill factor, held to
// the soak's range. Inside the range the rate is the wished one to the last
// digit, so that a rate on a level's edge keeps its level.
func (d demand) meet(l load, factor float64) load {
	l.fillFactor = factor
	l.fillG = l.vessel.capacityMl * d.densityGMl * factor
	l.soakMin = 60*l.fillG/d.wishedGH - d.handlingMin
	l.rateGH, l.why = d.wishedGH, ""
	switch {
	case l.soakMin < d.soak.LowMin:
		l.soakMin = d.soak.LowMin
		l.why = fmt.Sprintf("the soak is not cut below %g min, so less goes in than wished", d.soak.LowMin)
	case l.soakMin > d.soak.HighMin:
		l.soakMin = d.soak.HighMin
		l.why = fmt.Sprintf("the soak is not stretched beyond %g min, so more goes in than wished", d.soak.HighMin)
	default:
		return l
	}
	l.rateGH = d.rateGH(l)
	return l
}

// hold brings a load that feeds more than limitGH down to it: first by the
// longest soak of the range, then by a smaller fill, not under leastFactor.
func (d demand) hold(l load, limitGH, leastFactor float64) load {
	if l.rateGH <= limitGH {
		return l
	}
	l.soakMin = 60*l.fillG/limitGH - d.handlingMin
	l.rateGH = limitGH
	l.why = "the feeder to hand is large for this rate, so the soak is stretched"
	if l.soakMin <= d.soak.HighMin {
		return l
	}
	fullG := l.vessel.capacityMl * d.densityGMl
	l.soakMin = d.soak.HighMin
	l.fillFactor = limitGH * (l.soakMin + d.handlingMin) / 60 / fullG
	l.why = "the feeder to hand is large for this rate, so the soak is stretched and the feeder filled in part"
	if l.fillFactor < leastFactor {
		l.fillFactor = leastFactor
		l.fillG = fullG * leastFactor
		l.rateGH = d.rateGH(l)
		l.why = "even half full at the longest soak the feeder to hand gives more than wished; bring a smaller one"
		return l
	}
	l.fillG = fullG * l.fillFactor
	return l
}

// rateGH is the rate that a load's fill and rhythm make.
func (d demand) rateGH(l load) float64 {
	fills, _ := FillsPerH(l.soakMin, d.handlingMin)
	return RateGH(l.vessel.capacityMl, l.fillFactor, d.densityGMl, fills)
}
