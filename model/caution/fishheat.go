package caution

import (
	"math"
	"time"
)

const fishHeatSource = "Environment Agency guidance 2020 with the Angling Trust (21 C for sensitive species); 24 and 27 C are our choice"

// Water temperatures in C; cautions pack, section 3.
const (
	fishHeatNoteC    = 21
	fishHeatCareC    = 24 // our choice, for carp, bream and roach
	fishHeatClosureC = 27 // for two days on end; our choice
	heatClosureHours = 48

	fishHeatSteps = "water 21 C, 24 C, 27 C for two days"
)

// fishHeat goes by the upper end of the water's interval, the safer caution.
func fishHeat(o *outing) []finding {
	var found []finding
	for _, h := range o.planned {
		is, long := nothing, no
		if o.waterMayBe(h) >= fishHeatClosureC { // else it bears on nothing
			long = o.hotFor(h.At)
		}
		if highC, known := waterHigh(h); known {
			if f := fishHeatRaises(highC, long == yes); f.level > nothing {
				f.badness, f.inputs = highC, map[string]float64{"water_temp_c": h.WaterC.Value, "water_temp_high_c": highC}
				is = o.seenAs(f.level)
				found = append(found, hourly(h, f))
			}
		}
		could := fishHeatRaises(o.waterMayBe(h), long != no).level
		if o.seenAs(could) > is {
			found = append(found, hourly(h, notChecked(could, "Warm water for the fish was", whyWater(h), fishHeatSteps)))
		}
	}
	return found
}

// hotFor says whether the water was at the closure's temperature in each of the
// two days' hours before.
func (o *outing) hotFor(end time.Time) fact {
	known, may := 0.0, true
	for at := end.Add(-heatClosureHours * time.Hour); at.Before(end); at = at.Add(time.Hour) {
		h := o.hour(at)
		highC, ok := waterHigh(h)
		if ok && highC < fishHeatClosureC {
			known = math.Inf(-1) // one cooler hour: not for two days
		}
		if ok {
			known++
		}
		may = may && o.waterMayBe(h) >= fishHeatClosureC
	}
	return isOr(known >= enoughShare*heatClosureHours, may)
}

func fishHeatRaises(highC float64, long bool) finding {
	if !(highC >= fishHeatNoteC) {
		return finding{}
	}
	what := "The water may be up to " + figure(highC) + " C from {from} to {until}. Feed little, land fish quickly, return them in the water."
	switch {
	case highC >= fishHeatClosureC && long:
		return finding{level: closure, threshold: "water 27 C for two days", text: what + " No keepnet: the water has been this warm for two days."}
	case highC >= fishHeatCareC:
		return finding{level: care, threshold: "water 24 C", text: what + " No keepnet."}
	}
	return finding{level: note, threshold: "water 21 C", text: "The water may be up to " + figure(highC) + " C from {from} to {until}. Leave pike, barbel and chub alone."}
}
