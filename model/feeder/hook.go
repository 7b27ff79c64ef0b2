package feeder

import "math"

// Hook is the finer line to the hook and the hook on it. Sizes of hook count
// down: 18 is smaller than 16.
type Hook struct {
	LengthLowCm, LengthHighCm     float64
	StrengthLowLb, StrengthHighLb float64 // Always weaker than the main line.
	SmallestSize, LargestSize     int
}

// hookLengthsCm holds the range of hook length by group for water under 6, 6-10,
// 10-15 and over 15 C. Common practice, no source.
var hookLengthsCm = map[Group][4][2]float64{
	Silver: {{60, 100}, {50, 90}, {40, 75}, {30, 60}},
	Bream:  {{75, 120}, {60, 100}, {50, 90}, {40, 75}},
	Carp:   {{40, 75}, {40, 60}, {30, 50}, {20, 40}},
}

// hookStrengthsLb holds the range of hook-length strength by group. Common
// practice, no source.
var hookStrengthsLb = map[Group][2]float64{Silver: {2, 3}, Bream: {3, 4}, Carp: {4, 6}}

// HookFor returns hook length, its strength and the hook for a group at a water
// temperature in C. A band includes its lower edge; 15 C itself still belongs to
// 10-15, as the last band says "over". Hooks are 18-16 in winter and 16-12 in
// summer (common practice, no source) and 16-14 between (our choice). An unknown
// group or a temperature that is not finite gives ok false.
func HookFor(group Group, waterC float64) (hook Hook, ok bool) {
	lengths, known := hookLengthsCm[group]
	if !known || math.IsNaN(waterC) || math.IsInf(waterC, 0) {
		return Hook{}, false
	}
	length := lengths[3]
	switch {
	case waterC < 6:
		length = lengths[0]
	case waterC < 10:
		length = lengths[1]
	case waterC <= 15:
		length = lengths[2]
	}
	hook = Hook{
		LengthLowCm: length[0], LengthHighCm: length[1],
		StrengthLowLb: hookStrengthsLb[group][0], StrengthHighLb: hookStrengthsLb[group][1],
		SmallestSize: 16, LargestSize: 14,
	}
	switch band, _ := SeasonBand(waterC); band {
	case Winter:
		hook.SmallestSize, hook.LargestSize = 18, 16
	case Summer:
		hook.SmallestSize, hook.LargestSize = 16, 12
	}
	return hook, true
}
