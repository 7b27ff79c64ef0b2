package feeder

import "math"

// Level is one of the five steps of feeding.
type Level string

// The five levels, lightest first. A step up is roughly a doubling.
const (
	Trace Level = "Trace" // Barely more than scent.
	Lean  Level = "Lean"  // The winter norm.
	Even  Level = "Even"  // The norm of spring and autumn.
	Ample Level = "Ample" // The summer norm.
	Heavy Level = "Heavy" // Only on evidence of a large shoal feeding now.
)

// Levels lists the levels, lightest first.
func Levels() []Level { return []Level{Trace, Lean, Even, Ample, Heavy} }

// Scale says where a rate lies against the printed scale of levels.
type Scale string

// A rate below the scale counts as Trace, one above it as Heavy.
const (
	OnScale    Scale = "on"
	BelowScale Scale = "below"
	AboveScale Scale = "above"
)

// levelEdgesGH holds, by group, the lower edge of each level and last the upper
// edge of Heavy, damp g/h on one fed line. Common practice, no source.
var levelEdgesGH = map[Group][6]float64{
	Silver: {10, 40, 90, 180, 320, 500},
	Bream:  {15, 50, 120, 280, 550, 950},
	Carp:   {10, 40, 100, 220, 420, 700},
}

// capShare keeps a capped rate clear of the edge of the step. Common practice,
// no source.
const capShare = 0.95

// LevelOf returns the level of a rate in damp g/h and where it lies against the
// scale; a level includes its lower edge and excludes its upper one. An unknown
// group, or a rate that is negative or not finite, gives ok false.
func LevelOf(group Group, rateGH float64) (level Level, scale Scale, ok bool) {
	edges, known := levelEdgesGH[group]
	if !known || !(rateGH >= 0) || math.IsInf(rateGH, 0) {
		return "", "", false
	}
	if rateGH < edges[0] {
		return Trace, BelowScale, true
	}
	for i, l := range Levels() {
		if rateGH < edges[i+1] {
			return l, OnScale, true
		}
	}
	return Heavy, AboveScale, true
}

// LevelRangeGH returns the lower edge (included) and upper edge (excluded) of a
// level in damp g/h. An unknown group or level gives ok false.
func LevelRangeGH(group Group, level Level) (lowGH, highGH float64, ok bool) {
	edges, known := levelEdgesGH[group]
	if !known {
		return 0, 0, false
	}
	for i, l := range Levels() {
		if l == level {
			return edges[i], edges[i+1], true
		}
	}
	return 0, 0, false
}

// CapAt holds a rate in damp g/h to a level: the smaller of the rate and 0.95 of
// the level's upper edge, with the name of the step it then lies in, which is
// the cap's own name where the cap binds. An unknown group or level, or a rate
// that is negative or not finite, gives ok false.
func CapAt(group Group, rateGH float64, limit Level) (cappedGH float64, level Level, ok bool) {
	_, upperGH, known := LevelRangeGH(group, limit)
	if !known {
		return 0, "", false
	}
	if capGH := capShare * upperGH; rateGH > capGH {
		return capGH, limit, !math.IsInf(rateGH, 0)
	}
	level, _, ok = LevelOf(group, rateGH)
	return rateGH, level, ok
}
