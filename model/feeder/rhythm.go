package feeder

import "math"

// Minutes of one cast. Common practice, no source.
const (
	usualHandlingMin   = 1.5 // Wind in, refill, rebait, cast, sink the line; 1.0-2.0 seen.
	farHandlingMin     = 2.0 // Beyond 50 m everything takes half a minute more.
	farHandlingBeyondM = 50.0
)

// SkimmerMinutesPerFish is the time to land and unhook a skimmer, which lies
// between the silver and bream figures. Common practice, no source.
const SkimmerMinutesPerFish = 1.5

// HandlingMin returns the minutes from wind-in to settled line without a fish:
// 1.5, or 2.0 beyond 50 m. A distance of 0 (not named) or less, or one that is
// not a number, counts as near.
func HandlingMin(distanceM float64) float64 {
	if distanceM > farHandlingBeyondM {
		return farHandlingMin
	}
	return usualHandlingMin
}

// MinutesPerFish returns the minutes to land and unhook one fish of the group:
// silver 0.7, bream 2.5, carp 4 (2-8 seen). Common practice, no source. An
// unknown group gives ok false.
func MinutesPerFish(group Group) (minutes float64, ok bool) {
	switch group {
	case Silver:
		return 0.7, true
	case Bream:
		return 2.5, true
	case Carp:
		return 4, true
	}
	return 0, false
}

// Soak is how long the baited hook lies there, in minutes.
type Soak struct {
	StartMin, LowMin, HighMin float64
}

// soakBands holds the starting soak and its usual range by group for water
// under 6, 6-10, 10-15, 15-20 and over 20 C. Common practice, no source.
var soakBands = map[Group][5]Soak{
	Silver: {{7, 4, 12}, {6, 4, 10}, {4, 3, 8}, {3, 2, 5}, {3, 2, 5}},
	Bream:  {{12, 8, 25}, {10, 6, 20}, {7, 4, 15}, {5, 3, 10}, {5, 3, 10}},
	Carp:   {{10, 5, 20}, {8, 5, 15}, {6, 4, 12}, {5, 3, 10}, {5, 3, 8}},
}

// SoakFor returns the starting soak and its range for a group at a water
// temperature in C. A band includes its lower edge; 20 C itself still belongs to
// 15-20, as the last band says "over". An unknown group or a temperature that is
// not finite gives ok false.
func SoakFor(group Group, waterC float64) (soak Soak, ok bool) {
	bands, known := soakBands[group]
	if !known || math.IsNaN(waterC) || math.IsInf(waterC, 0) {
		return Soak{}, false
	}
	switch {
	case waterC < 6:
		return bands[0], true
	case waterC < 10:
		return bands[1], true
	case waterC < 15:
		return bands[2], true
	case waterC <= 20:
		return bands[3], true
	}
	return bands[4], true
}

// FillsPerH returns casts, and so fills, per hour from soak and handling in
// minutes, no bite assumed. A cycle that is not a positive finite number gives
// ok false.
func FillsPerH(soakMin, handlingMin float64) (fills float64, ok bool) {
	cycleMin := soakMin + handlingMin
	if !(cycleMin > 0) || math.IsInf(cycleMin, 0) {
		return 0, false
	}
	fills = 60 / cycleMin
	return fills, !math.IsInf(fills, 0)
}
