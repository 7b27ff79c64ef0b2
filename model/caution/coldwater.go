package caution

const coldWaterSource = "RNLI, police and lifeboat safety pages (under 15 C counts as cold); 8 C is our choice"

// Water temperatures in C; cautions pack, section 2.
const (
	coldWaterNoteC = 15
	coldWaterCareC = 8 // our choice
)

// coldWater goes by the low end of the water's interval, the safer caution.
func coldWater(o *outing) []finding {
	var found []finding
	for _, h := range o.planned {
		is := nothing
		if lowC, known := waterLow(h); known {
			if f := coldWaterRaises(lowC, h.WaterC.Value); f.level > nothing {
				f.badness, f.inputs = -lowC, map[string]float64{"water_temp_c": h.WaterC.Value, "water_temp_low_c": lowC}
				is = f.level
				found = append(found, hourly(h, f))
			}
		}
		if could := coldWaterRaises(o.waterMayFallTo(h), 0).level; could > is {
			found = append(found, hourly(h, notChecked(could, "Cold water was", whyWater(h), "water under 15 C, under 8 C")))
		}
	}
	return found
}

func coldWaterRaises(lowC, valueC float64) finding {
	text := "Water near " + figure(valueC) + " C from {from} to {until}. A fall in is dangerous within a minute: float first, call 999 or 112."
	switch {
	case lowC < coldWaterCareC:
		return finding{level: care, threshold: "water under 8 C", text: text}
	case lowC < coldWaterNoteC:
		return finding{level: note, threshold: "water under 15 C", text: text}
	}
	return finding{}
}
