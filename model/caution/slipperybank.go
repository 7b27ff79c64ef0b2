package caution

import (
	"math"
	"time"
)

const slipperyBankSource = "common practice, no source; the figures are our choice"

// Cautions pack, section 2; our choice. Frost makes a platform icy, so that it
// stands for ice that nobody looked for.
const (
	rainHours   = 24
	slickNoteMm = 5
	slickCareMm = 20 // on an earth bank
	frostHours  = 12 // the hour and those before it in which frost still counts

	slickThreshold = "5 mm of rain in 24 h, 20 mm on an earth bank; frost within 12 h, care on platforms"
)

// slipperyBank looks at the rain of a day and the frost of a night.
func slipperyBank(o *outing) []finding {
	var found []finding
	for _, h := range o.planned {
		end := h.At.Add(time.Hour) // the depth of an hour fell before it begins
		rain := o.over(end, rainHours, rainOf, 0, math.Inf(1))
		coldestC, mayFallToC := o.coldestOf(end)
		f := o.slickRaises(rain.sum, coldestC)
		if f.level > nothing {
			found = append(found, hourly(h, f))
		}
		if could := o.slickRaises(rain.most, mayFallToC).level; could > f.level {
			why := "too little rain known of the day before"
			if o.slickRaises(rain.most, math.Inf(1)).level <= f.level {
				why = "too little air temperature known of the night"
			}
			found = append(found, hourly(h, notChecked(could, "A slippery bank was", why, slickThreshold)))
		}
	}
	return found
}

// coldestOf is the coldest air known of the night, and the coldest it may have
// been.
func (o *outing) coldestOf(end time.Time) (coldestC, mayFallToC float64) {
	coldestC, mayFallToC = math.Inf(1), math.Inf(1)
	for at := end.Add(-frostHours * time.Hour); at.Before(end); at = at.Add(time.Hour) {
		h := o.hour(at)
		if airC, known := finite(h.AirC); known {
			coldestC = math.Min(coldestC, airC)
		}
		mayFallToC = math.Min(mayFallToC, o.airMayFallTo(h))
	}
	return coldestC, mayFallToC
}

func (o *outing) slickRaises(rainMm, coldestC float64) finding {
	switch {
	case o.Water.Bank == "platform" && coldestC < 0:
		return frosted(care, coldestC, "air below 0 C overnight, on platforms")
	case o.Water.Bank == "earth" && rainMm >= slickCareMm:
		return rained(care, rainMm, "20 mm of rain in 24 h on an earth bank")
	case coldestC < 0:
		return frosted(note, coldestC, "air below 0 C overnight")
	case rainMm >= slickNoteMm:
		return rained(note, rainMm, "5 mm of rain in 24 h")
	}
	return finding{}
}

func frosted(l level, coldestC float64, threshold string) finding {
	return finding{
		level: l, badness: -coldestC, threshold: threshold, inputs: map[string]float64{"air_coldest_12h_c": coldestC},
		text: "Frost down to " + figure(coldestC) + " C before {until}. Banks and platforms may be icy; wear grip, keep low while netting.",
	}
}

func rained(l level, rainMm float64, threshold string) finding {
	return finding{
		level: l, badness: rainMm, threshold: threshold, inputs: map[string]float64{"rain_24h_mm": rainMm},
		text: figure(rainMm) + " mm of rain in the day to {until}. The bank will be slick; wear grip, keep low while netting.",
	}
}
