package caution

import "osier/model"

const aloneSource = "common practice, no source"

const (
	aloneCareWhen = "alone with a cold exposure care, with ice, in a flood, or after dark"
	tellSomeone   = " Tell someone where and when you will be back, and keep the phone dry on you."
)

// alone notes what the angler said of themself, and asks for care where help
// would come late: in the cold, near ice, in a flood, after dark. Any caution
// about ice counts, the safer reading of the pack.
func alone(o *outing) []finding {
	if !o.Alone {
		return nil
	}
	found := []finding{o.all(finding{
		level: note, threshold: "alone",
		text: "You said you are alone from {from} to {until}." + tellSomeone,
	})}
	found = append(found, o.aloneWith(coldExposure(o), care, "cold exposure was not checked")...)
	found = append(found, o.aloneWith(ice(o), note, "ice was not checked")...)
	found = append(found, o.aloneInFlood()...)
	for _, h := range o.planned {
		switch h.Light {
		case model.Dark:
			found = append(found, hourly(h, aloneCare()))
		case "":
			found = append(found, hourly(h, aloneNotChecked("how light it is is not known")))
		}
	}
	return found
}

// aloneInFlood goes by official warnings, for there is no other word of floods.
func (o *outing) aloneInFlood() []finding {
	var found []finding
	for _, w := range o.Warnings {
		if w.Hazard == model.HazardFlood {
			f := aloneCare()
			f.from, f.until = w.From, w.Until.Or(o.Until)
			found = append(found, f.within(o.From, o.Until)...)
		}
	}
	if !o.WarningsKnown {
		found = append(found, o.all(aloneNotChecked("warnings of floods were not checked")))
	}
	return found
}

// aloneWith asks for care wherever another check raised a level or more, and
// passes on where that check could not tell.
func (o *outing) aloneWith(findings []finding, least level, untold string) []finding {
	var found []finding
	add := func(spans []span, f finding) {
		for _, s := range spans {
			if s.level >= least {
				f.from, f.until = s.from, s.until
				found = append(found, f)
			}
		}
	}
	raised, unchecked := o.spans(findings)
	add(raised, aloneCare())
	add(unchecked, aloneNotChecked(untold))
	return found
}

func aloneCare() finding {
	return finding{
		level: care, threshold: aloneCareWhen,
		text: "You said you are alone, in the cold, near ice, in a flood or after dark, from {from} to {until}." + tellSomeone,
	}
}

func aloneNotChecked(why string) finding {
	return notChecked(care, "Being alone was", why, aloneCareWhen)
}
