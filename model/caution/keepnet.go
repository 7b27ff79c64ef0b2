package caution

import (
	"slices"
	"time"

	"osier/model"
)

const keepnetSource = "the water's own rule; GOV.UK, tackle you can use; Pottinger 1997 and 1998; Environment Agency 2006; 20 and 22 C are our choice"

// Water temperatures in C; cautions pack, section 3, our choice.
const (
	keepnetNoteC = 20
	keepnetCareC = 22
	// keepnetTrial is how long carp were held in the trials that found no lasting
	// stress (Pottinger 1997).
	keepnetTrial = 4 * time.Hour

	keepnetLaw   = "Where keepnets are allowed: knotless, not metal, 2 m or longer, rings at most 40 cm apart and 120 cm round, holes at most 25 mm."
	keepnetSteps = "water 20 C, 22 C, or any low oxygen care"
)

// keepnet states the rule and the warnings to somebody who means to use one. It
// advises no keepnet, ever.
func keepnet(o *outing) []finding {
	if !o.Keepnet {
		return nil
	}
	found := []finding{o.all(finding{level: note, threshold: "a keepnet is to be used", text: o.keepnetRule()})}
	for _, h := range o.planned {
		is := note
		if highC, known := waterHigh(h); known {
			f := o.keepnetRaises(highC)
			f.badness, f.inputs = highC, map[string]float64{"water_temp_c": h.WaterC.Value, "water_temp_high_c": highC}
			is = max(is, f.level)
			found = append(found, hourly(h, f))
		}
		if could := o.keepnetRaises(o.waterMayBe(h)); could.level > is {
			found = append(found, hourly(h, notChecked(could.level, "Keepnets were", whyWater(h), keepnetSteps)))
		}
	}
	return append(found, o.keepnetByOxygen()...)
}

func (o *outing) keepnetRule() string {
	rule := "No keepnet rule is recorded for this water: ask the club."
	if o.Water.KeepnetRule != "" {
		rule = "The rule here: " + plainLine(o.Water.KeepnetRule) + "."
	}
	if slices.ContainsFunc(o.restricted(), func(c model.Caution) bool { return c.ID == clubKeepnetsID }) {
		rule = "A club's restriction allows none in some or all of these hours."
	}
	if o.Until.Sub(o.From) > keepnetTrial {
		rule += " Carp were held for up to four hours in the trials, no longer."
	}
	return rule + " " + keepnetLaw
}

func (o *outing) keepnetRaises(highC float64) finding {
	switch {
	case highC >= keepnetCareC:
		return finding{level: care, threshold: "water 22 C", text: "Keepnets not advised today: the water may be up to " + figure(highC) + " C from {from} to {until}."}
	case highC >= keepnetNoteC:
		return finding{level: note, threshold: "water 20 C", text: "Hold fish for a short time only: the water may be up to " + figure(highC) + " C from {from} to {until}. " + o.keepnetRule()}
	}
	return finding{}
}

// keepnetByOxygen passes on where low oxygen asks for care, or was not checked.
func (o *outing) keepnetByOxygen() []finding {
	var found []finding
	add := func(spans []span, f finding) {
		for _, s := range spans {
			if s.level >= care {
				f.from, f.until = s.from, s.until
				found = append(found, f)
			}
		}
	}
	raised, unchecked := o.spans(lowOxygen(o))
	add(raised, finding{level: care, badness: hottestAirC, threshold: "any low oxygen care", text: "Keepnets not advised today: oxygen may be low from {from} to {until}."})
	add(unchecked, notChecked(care, "Keepnets were", "oxygen was not checked", keepnetSteps))
	return found
}
