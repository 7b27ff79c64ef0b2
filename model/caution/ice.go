package caution

import (
	"math"
	"time"

	"osier/model"
)

const iceSource = "Royal Life Saving Society UK, dangers of frozen water: never go on it; the temperatures are our choice"

// Temperatures in C; cautions pack, section 2, our choice.
const (
	iceNoteC  = 3 // water
	iceCareC  = 1 // water
	frostDayC = 0 // mean air of a day
	thawC     = 4 // water, for two days on end: fresh water is heaviest near 4 C, so below it a surface may still freeze
)

// How long somebody's report of ice counts unless a thaw is known; our choice.
const iceReportCounts = 7 * 24 * time.Hour

// ice looks at the water near the surface, at two days of frost, and at what
// somebody saw. It goes by the low end of the water's interval, the safer
// caution.
func ice(o *outing) []finding {
	found := o.outdatedHours("Ice was", weatherKind)
	for _, h := range o.planned {
		lowC, known := waterLow(h)
		if known {
			f := iceRaises(lowC, h.WaterC.Ice)
			f.badness, f.inputs = -lowC, map[string]float64{"water_temp_c": h.WaterC.Value, "water_temp_low_c": lowC}
			found = append(found, hourly(h, f))
		} else {
			found = append(found, hourly(h, notChecked(care, "Ice was", "no water temperature known", "water under 3 C, water 1 C")))
		}
		found = append(found, o.frost(h, lowC, known)...)
		found = append(found, o.reportedIce(h)...)
	}
	return found
}

// waterLow is the low end of the water's interval in C.
func waterLow(h model.ConditionHour) (float64, bool) {
	w := h.WaterC
	low := math.Min(w.Low, w.Value)
	if w.Kind == "" || w.Kind == model.Missing || math.IsNaN(low) || math.IsInf(low, 0) || math.IsInf(w.Value, 0) {
		return 0, false
	}
	return low, true
}

// iceRaises takes the low end of the water's interval, and whether the water
// model has ice.
func iceRaises(lowC float64, modelled bool) finding {
	switch {
	case modelled || lowC <= iceCareC:
		return finding{level: care, threshold: "water 1 C or below", text: "Ice is likely from {from} to {until}: the water may be down to " + figure(lowC) + " C. Never step on it; if it is there, go home."}
	case lowC < iceNoteC:
		return finding{level: note, threshold: "water under 3 C", text: "The water may be down to " + figure(lowC) + " C from {from} to {until}. Look for ice before you set up, and never step on it."}
	}
	return finding{}
}
