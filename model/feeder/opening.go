package feeder

import "math"

// Opening feed. Common practice, no source.
const (
	mostOpeningFills     = 12
	mostColdOpeningFills = 3 // Under 6 C.
	coldOpeningC         = 6.0
	unknownOpeningC      = 10.0 // Below it an unknown water gets no opening feed.
)

// openingH is the opening feed by group, in hours' worth of the rate. Common
// practice, no source.
var openingH = map[Group]float64{Silver: 0.4, Bream: 0.75, Carp: 0.5}

// OpeningFills is step 5: round(a k G / fill), halves down, with a the hours' worth of the
// group and k 1 on a known water, 0.5 on an unknown one from 10 C and 0 on an
// unknown one below; at most 3 under 6 C and 12 ever. G is the resulting rate in
// damp g/h, fill damp grams. An unknown group, a rate or fill that is not
// positive and finite, or a temperature that is not finite gives ok false.
func OpeningFills(group Group, rateGH, fillG, waterC float64, knownWater bool) (fills int, ok bool) {
	hours, known := openingH[group]
	wanted := hours * rateGH / fillG
	if !known || !(rateGH > 0) || !(fillG > 0) || math.IsNaN(waterC) || math.IsInf(waterC, 0) || math.IsInf(wanted, 0) || math.IsNaN(wanted) {
		return 0, false
	}
	switch {
	case knownWater:
	case waterC >= unknownOpeningC:
		wanted *= 0.5
	default:
		wanted = 0
	}
	most := mostOpeningFills
	if waterC < coldOpeningC {
		most = mostColdOpeningFills
	}
	// Halves go down, as feed cannot be taken back and as the worked row of bream
	// at 8 C has it (4.5 gives 4). The sliver keeps rounding noise from lifting an
	// exact half.
	return int(math.Min(math.Ceil(wanted-0.5-1e-9), float64(most))), true
}

// openingRelease says where the opening feed leaves the feeder. Wind sets up a
// return flow that carries crumb away, so the surface is for water known to be
// still; the 5 m/s is our choice, the wind from which the trade adds weight.
func openingRelease(in Input, season Season) string {
	still := in.Wind.SpeedKnown && in.Wind.SpeedMps < windyMps && !in.Creeps
	if season.OpeningRelease == ReleaseSurface && still {
		return ReleaseSurface
	}
	return ReleaseBottom
}
