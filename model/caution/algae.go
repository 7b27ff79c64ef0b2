package caution

import (
	"math"
	"time"

	"osier/model"
)

const algaeSource = "council and Environment Agency pages on blooms (long warm calm spells, usually June to November); the spell's figures are our choice"

// The warm calm spell of the cautions pack, section 3; our choice.
const (
	spellHours   = 5 * 24
	spellAirC    = 18 // mean air above this
	spellWindMps = 3  // mean wind under this

	spellThreshold = "June to November, after 5 days of mean air over 18 C and mean wind under 3 m/s"
)

// algae passes on a bloom that somebody saw, and notes the weather for one. Only
// the fishery or an officer closes a water, so it strikes no hour out.
func algae(o *outing) []finding {
	found := o.seen(model.SawBloom, bloomHolds, care, "A bloom was seen here on %s. If water looks like paint or scum, keep hands and dogs out and tell the club.")
	for _, h := range o.planned {
		if !o.inSeason(h.At, time.June, time.November) {
			continue
		}
		airC, windMps, spell := o.warmCalmSpell(h)
		switch spell {
		case yes:
			found = append(found, hourly(h, finding{
				level: note, badness: airC, threshold: spellThreshold,
				inputs: map[string]float64{"air_mean_5d_c": airC, "wind_mean_5d_mps": windMps},
				text:   "Bloom weather from {from} to {until}: five days of " + figure(airC) + " C with little wind. If water looks like paint or scum, keep hands and dogs out and tell the club.",
			}))
		case maybe:
			found = append(found, hourly(h, notChecked(note, "Bloom weather was", "too little air temperature or wind known of the five days before", spellThreshold)))
		}
	}
	return found
}

// warmCalmSpell looks at the five days before an hour.
func (o *outing) warmCalmSpell(h model.ConditionHour) (airC, windMps float64, is fact) {
	air := o.over(h.At, spellHours, airOf, coldestAirC, math.Min(hottestAirC, o.waterMayBe(h)+airAboveWaterC))
	wind := o.over(h.At, spellHours, windOf, 0, math.Inf(1))
	warm := isOr(air.enough() && air.mean() > spellAirC, air.most > spellAirC*spellHours)
	calm := isOr(wind.enough() && wind.mean() < spellWindMps, wind.least < spellWindMps*spellHours)
	return air.mean(), wind.mean(), warm.and(calm)
}
