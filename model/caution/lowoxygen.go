package caution

import (
	"math"
	"slices"
	"time"

	"osier/model"
	"osier/model/water"
)

const lowOxygenSource = "Environment Agency notices (small stillwaters, dawn, thunder) and its 40 % target for aeration; the dawn estimate: Benson and Krause 1980, 1984, and Johnson et al. (six Iowa ponds); the other figures are our choice"

// Cautions pack, section 3; our choice but for the meter's share.
const (
	oxygenNoteC    = 20 // water, with two calm nights
	oxygenCareC    = water.RiskWaterC
	dawnCareMgL    = 6
	dawnOfficerMgL = 4

	oxygenSteps = "water 20 C with two calm nights, 22 C with one, thunder after a dry spell, a bloom, a dawn estimate under 6 mg/L, a meter under 40 %"

	skipTheKeepnet = " Avoid the dawn hours, feed little, skip the keepnet; report gasping fish."
)

// lowOxygen guesses from the weather. What somebody saw, and what a meter read,
// outrank the guess; a good reading is told and clears nothing.
func lowOxygen(o *outing) []finding {
	found := o.seen(model.SawDistress, distressHolds, closure, "Fish in distress were seen here on %s. Skip the keepnet, feed little, and tell the club or the agency's incident line if you see it too.")
	found = append(found, o.seen(model.SawBloom, bloomHolds, care, "A bloom was seen here on %s, and it uses up oxygen by night."+skipTheKeepnet)...)
	for i := range found {
		found[i].text += o.measured(found[i].from)
	}
	found = append(found, o.meterLow()...)
	storms := o.stormsAfterDry()
	for _, h := range o.planned {
		var open string // what a missing reading leaves open
		could := nothing
		unsure := func(l level, why string) {
			if l > could {
				could, open = l, why
			}
		}
		raise := func(f finding) {
			f.text = "Oxygen may be low at first light" + f.text + o.dullAfterSun(h.At) + skipTheKeepnet + o.measured(h.At)
			found = append(found, hourly(h, f))
		}
		o.calmAndWarm(h, raise, unsure)
		o.stormAndDry(h, storms, raise, unsure)
		o.dawn(h, raise, unsure)
		if could > nothing {
			f := notChecked(could, "Oxygen was", open, oxygenSteps)
			f.badness = o.waterMayBe(h)
			if !math.IsInf(f.badness, 1) {
				f.inputs = map[string]float64{mayBeInput: f.badness}
			}
			found = append(found, hourly(h, f))
		}
	}
	return found
}

// mayBeInput is what the water of an hour not checked may come to; it is missing
// where that is not known either.
const mayBeInput = "water_temp_may_be_c"

// OxygenInDoubt says whether low oxygen was not checked in water that may be warm
// enough for care after one calm night, or of which nothing is known. A cap that
// the missing reading would have set then holds: no caution is cleared by what is
// not known, and feed cannot be taken back. In cooler water it is only ever a
// storm that nobody told of; were feed held for that, every dry week would hold
// it. Our choice.
func OxygenInDoubt(found []model.Caution) bool {
	return slices.ContainsFunc(found, func(c model.Caution) bool {
		mayBeC, known := c.Inputs[mayBeInput]
		return c.ID == "low_oxygen" && c.Level == model.NotChecked && (!known || mayBeC >= oxygenCareC)
	})
}

// calmAndWarm looks at warm water after one calm night, or two. The nights are
// those into the day of the hour, and into the day before.
func (o *outing) calmAndWarm(h model.ConditionHour, raise func(finding), unsure func(level, string)) {
	mayBe := o.waterMayBe(h)
	if mayBe < oxygenNoteC {
		return
	}
	last := o.calmNight(h.At)
	both := last.and(o.calmNight(h.At.In(o.loc).AddDate(0, 0, -1)))
	raised := nothing
	if highC, known := waterHigh(h); known {
		f := finding{badness: highC, inputs: map[string]float64{"water_temp_c": h.WaterC.Value, "water_temp_high_c": highC}}
		switch {
		case highC >= oxygenCareC && last == yes:
			f.level, f.threshold = care, "water 22 C with a calm night"
			f.text = ": water up to " + figure(highC) + " C and a night with hardly any wind."
		case highC >= oxygenNoteC && both == yes:
			f.level, f.threshold = note, "water 20 C with two calm nights"
			f.text = ": water up to " + figure(highC) + " C and two nights with hardly any wind."
		}
		raised = f.level
		if raised > nothing {
			raise(f)
		}
	}
	may := nothing
	switch {
	case mayBe >= oxygenCareC && last != no:
		may = care
	case both != no:
		may = note
	}
	if may > raised {
		why := "too little wind known of the night"
		if last == yes && both == yes {
			why = whyWater(h)
		}
		unsure(may, why)
	}
}

// calmNight looks at the night into the local day of a time: each dark hour of
// it with a mean wind under 2 m/s. A wind by an old forecast proves no stir.
func (o *outing) calmNight(at time.Time) fact {
	y, m, d := at.In(o.loc).Date()
	noon := time.Date(y, m, d, 12, 0, 0, 0, o.loc)
	var hours []water.NightHour
	for t := noon.Add(-24 * time.Hour).Truncate(time.Hour); t.Before(noon); t = t.Add(time.Hour) {
		h := o.hour(t)
		windMps, known := finite(h.WindMps)
		if o.outdated(h.Weather) && windMps >= water.CalmNightMps {
			known = false
		}
		hours = append(hours, water.NightHour{
			At: t, WindMps: water.Reading{Value: windMps, Known: known}, SunElevationDeg: o.sunHeight(t),
		})
	}
	switch water.CalmNight(hours) {
	case water.Yes:
		return yes
	case water.No:
		return no
	}
	return maybe
}

// sunnyDays are how many days before the dull one are looked at; our choice.
const sunnyDays = 3

// dullAfterSun adds what makes low oxygen likelier and raises nothing alone: a
// dull day before the dawn after sunny ones. The words are the pack's risk
// (water and fish, 3.3), from the Environment Agency's statements.
func (o *outing) dullAfterSun(at time.Time) string {
	y, m, d := at.In(o.loc).Date()
	day := func(ago int) []water.NightHour {
		var hours []water.NightHour
		for t := time.Date(y, m, d-ago, 0, 0, 0, 0, o.loc).Truncate(time.Hour); t.Before(time.Date(y, m, d-ago+1, 0, 0, 0, 0, o.loc)); t = t.Add(time.Hour) {
			cloud, known := finite(o.hour(t).CloudFraction)
			hours = append(hours, water.NightHour{At: t, CloudFraction: water.Reading{Value: cloud, Known: known}, SunElevationDeg: o.sunHeight(t)})
		}
		return hours
	}
	var before []water.NightHour
	for ago := sunnyDays + 1; ago > 1; ago-- {
		before = append(before, day(ago)...)
	}
	if water.CloudAfterSun(before, day(1)) != water.Yes {
		return ""
	}
	return " A dull day after sunny ones makes it likelier."
}

// storm is one hour with thunder, or perhaps, at the end of a dry spell.
type storm struct {
	at time.Time
	is fact
}

const (
	dryHours      = 7 * 24
	dryMm         = 2
	stormCounts   = 24 * time.Hour // for the dawn after; our choice
	stormDryWords = "thunder after 7 days with under 2 mm of rain"
)

// stormsAfterDry lists the hours of the outing, and of the day before it, in
// which it thundered, or may have, after a dry spell.
func (o *outing) stormsAfterDry() []storm {
	var storms []storm
	for at := o.From.Truncate(time.Hour).Add(-stormCounts); at.Before(o.Until); at = at.Add(time.Hour) {
		is := o.thundered(at)
		if is != no {
			is = is.and(o.dryBefore(at))
		}
		if is != no {
			storms = append(storms, storm{at, is})
		}
	}
	return storms
}

// dryBefore looks at the week of rain before an hour.
func (o *outing) dryBefore(at time.Time) fact {
	rain := o.over(at.Add(time.Hour), dryHours, rainOf, 0, math.Inf(1))
	return isOr(rain.enough() && rain.sum < dryMm, rain.least < dryMm)
}

// thundered says whether there is thunder in the hour that begins at the time:
// heard by a station or somebody there, or forecast.
func (o *outing) thundered(at time.Time) fact {
	h, until := o.hour(at), at.Add(time.Hour)
	for _, r := range o.Reports {
		if r.Kind == model.HeardThunder && r.Water == o.Water.ID && !r.At.Before(at) && r.At.Before(until) {
			return yes
		}
	}
	chance, chanceKnown := finite(h.Thunder.Probability)
	if h.Thunder.Symbol.Known && h.Thunder.Symbol.Value || chance >= thunderLikely {
		return yes
	}
	switch o.hour(until).Thunder.Observed {
	case model.ThunderNow, model.ThunderVicinity, model.ThunderRecent:
		return yes
	case model.ThunderNone:
		return no
	}
	told := h.Thunder.Symbol.Known && chanceKnown && until.After(o.Now) && !o.outdated(h.Thunder.From.Kind)
	return isOr(false, !told)
}

// stormAndDry raises the day after each storm.
func (o *outing) stormAndDry(h model.ConditionHour, storms []storm, raise func(finding), unsure func(level, string)) {
	is := no
	for _, s := range storms {
		if !s.at.After(h.At) && s.at.Add(stormCounts).After(h.At) {
			is = is.or(s.is)
		}
	}
	switch is {
	case yes:
		raise(finding{level: care, badness: oxygenCareC, threshold: stormDryWords, text: ": thunder after a dry spell."})
	case maybe:
		unsure(care, "thunder of the day, or the week's rain, is not known")
	}
}
