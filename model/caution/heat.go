package caution

const heatSource = "UK Health Security Agency heat-health alert texts (rest from 11 to 15 h); 25, 28 and 35 C are our choice"

// Air temperatures in C; cautions pack, section 2, our choice.
const (
	heatNoteC = 25
	heatCareC = 28
	heatStopC = 35
)

// heat looks at the air temperature in the shade. Official heat alerts outrank
// it and stand before it, at care or above (officialwarning.go).
func heat(o *outing) []finding {
	found := o.outdatedHours("Heat was", weatherKind)
	for _, h := range o.planned {
		airC, known := finite(h.AirC)
		if !known {
			found = append(found, hourly(h, notChecked(stop, "Heat was", "no air temperature given", "air 25, 28 and 35 C")))
			continue
		}
		if f := heatRaises(airC); f.level > nothing {
			f.badness, f.inputs = airC, map[string]float64{"air_temp_c": airC}
			found = append(found, hourly(h, f))
		}
	}
	return found
}

func heatRaises(airC float64) finding {
	if !(airC >= heatNoteC) {
		return finding{}
	}
	what := "Up to " + figure(airC) + " C from {from} to {until}."
	switch {
	case airC >= heatStopC:
		return finding{level: stop, threshold: "air 35 C", text: what + " Too hot to sit out: do not fish."}
	case airC >= heatCareC:
		return finding{level: care, threshold: "air 28 C", text: what + " Shade, water, a hat; rest between 11 and 3."}
	}
	return finding{level: note, threshold: "air 25 C", text: what + " Take shade, water and a hat."}
}
