package caution

import "math"

const fishColdSource = "common practice, no study read; the figures are our choice"

// Air temperatures in C; cautions pack, section 3, our choice.
const (
	fishColdNoteC = 2
	fishColdCareC = 0
)

// fishCold looks at the air that a landed fish is held in.
func fishCold(o *outing) []finding {
	var found []finding
	for _, h := range o.planned {
		airC, known := finite(h.AirC)
		if !known {
			airC = math.Inf(1)
		}
		f := fishColdRaises(airC)
		if f.level > nothing {
			f.badness, f.inputs = -airC, map[string]float64{"air_temp_c": airC}
		}
		found = append(found, hourly(h, f))
		if could := fishColdRaises(o.airMayFallTo(h)).level; could > f.level {
			found = append(found, hourly(h, notChecked(could, "Cold air for the fish was", "no air temperature given, or only by an old forecast", "air 2 C, 0 C")))
		}
	}
	return found
}

func fishColdRaises(airC float64) finding {
	switch {
	case airC <= fishColdCareC:
		return finding{level: care, threshold: "air 0 C or below", text: "Air of " + figure(airC) + " C from {from} to {until}. Keep fish in the water while you unhook, seconds not minutes, and lift none for photographs."}
	case airC <= fishColdNoteC:
		return finding{level: note, threshold: "air 2 C or below", text: "Air of " + figure(airC) + " C from {from} to {until}. Keep fish in the water while you unhook."}
	}
	return finding{}
}
