package caution

import (
	"math"
	"time"

	"osier/model"
)

const lightningSource = "30/30 rule as given by public agencies; Met Office thunderstorm advice; the probabilities are our choice"

// Cautions pack, sections 2 and 3; all but the half hour are our choice.
const (
	thunderPossible = 0.10 // probability
	thunderLikely   = 0.40
	thunderNear     = 3 * time.Hour // likely this near an hour planned asks for care
	afterThunder    = 30 * time.Minute

	thunderStop = "thunder heard, or forecast in the hour (a thunder symbol, or 40 % or more), and 30 min after the last"
	thunderCare = "thunder likely (a thunder symbol, or 40 % or more) within 3 h"
	thunderNote = "thunder possible that day (a thunder symbol, or 10 % or more)"

	leaveTheWater = " Put the rod down and leave the water; wait 30 minutes after the last thunder."
)

// lightning looks at thunder heard and forecast in the outing and three hours
// to either side. A thunder symbol or a probability of 40 % puts thunder into
// its hour. A symbol without thunder alone clears nothing, for it shows only
// the likeliest weather: to clear an hour to come takes a probability as well.
func lightning(o *outing) []finding {
	found := o.outdatedHours("Thunder was", func(h model.ConditionHour) model.Kind { return h.Thunder.From.Kind })
	for at := o.From.Truncate(time.Hour).Add(-thunderNear); at.Before(o.Until.Add(thunderNear + time.Hour)); at = at.Add(time.Hour) {
		h := o.hour(at)
		found = append(found, o.heard(h)...)
		found = append(found, o.foretold(h)...)
	}
	for _, r := range o.Reports {
		if r.Kind == model.HeardThunder && r.Water == o.Water.ID {
			text := "Thunder was heard at " + r.At.In(o.loc).Format(o.layout) + ": stop until {until}." + leaveTheWater
			found = append(found, thunder(r.At, r.At, finding{badness: 2, text: text})...)
		}
	}
	return append(found, o.possible()...)
}

// heard is what stations heard in the hour before the reading.
func (o *outing) heard(h model.ConditionHour) []finding {
	from := h.At.Add(-time.Hour)
	switch h.Thunder.Observed {
	case model.ThunderNow, model.ThunderVicinity, model.ThunderRecent:
		text := "Thunder was heard nearby: stop from {from} to {until}." + leaveTheWater
		return thunder(from, h.At, finding{badness: 2, text: text})
	case model.ThunderNone:
		return nil
	}
	if h.At.After(o.Now) {
		return nil
	}
	return thunderUnknown(from, h.At, "no station near enough told of it")
}

// foretold is what the forecast says of the hour that starts with the reading.
// An hour that is over needs no forecast.
func (o *outing) foretold(h model.ConditionHour) []finding {
	until := h.At.Add(time.Hour)
	chance, chanceKnown := finite(h.Thunder.Probability)
	symbol := h.Thunder.Symbol
	if symbol.Value && symbol.Known || chance >= thunderLikely {
		text := "Thunder expected: stop from {from} to {until}." + leaveTheWater
		f := finding{badness: math.Min(chance, 1), text: text, inputs: map[string]float64{}}
		put(f.inputs, "thunder_probability", h.Thunder.Probability)
		return thunder(h.At, until, f)
	}
	switch {
	case !until.After(o.Now) || symbol.Known && chanceKnown:
		return nil
	case symbol.Known:
		return thunderUnknown(h.At, until, "no probability of thunder given")
	case chanceKnown:
		return thunderUnknown(h.At, until, "no thunder symbol given")
	}
	return thunderUnknown(h.At, until, "no forecast of thunder given")
}

// thunder makes the stop while it thunders and for half an hour after, and the
// care for three hours to either side.
func thunder(from, until time.Time, f finding) []finding {
	near := f
	near.from, near.until = from.Add(-thunderNear), until.Add(thunderNear)
	near.level, near.threshold = care, thunderCare
	near.text = "Thunder is likely within 3 hours of any time from {from} to {until}. Stay near shelter, ready to leave the water."
	f.from, f.until = from, until.Add(afterThunder)
	f.level, f.threshold = stop, thunderStop
	return []finding{f, near}
}

// thunderUnknown marks what thunder in an unknown hour would have raised.
func thunderUnknown(from, until time.Time, why string) []finding {
	marks := thunder(from, until, finding{})
	for i, m := range marks {
		marks[i] = notChecked(m.level, "Thunder was", why, m.threshold)
		marks[i].from, marks[i].until = m.from, m.until
	}
	return marks
}

// possible notes thunder possible on a day for the whole of that local day. It
// looks from the beginning of the first day to three hours after the outing, at
// what is not over: an hour of it without a forecast leaves the day open.
func (o *outing) possible() []finding {
	var found []finding
	for at := o.dayOf(o.From).Truncate(time.Hour); at.Before(o.Until.Add(thunderNear + time.Hour)); at = at.Add(time.Hour) {
		if !at.Add(time.Hour).After(o.Now) {
			continue
		}
		h := o.hour(at)
		chance, chanceKnown := finite(h.Thunder.Probability)
		symbol := h.Thunder.Symbol
		var f finding
		switch {
		case chance >= thunderPossible || symbol.Known && symbol.Value:
			f = finding{
				level: note, badness: math.Min(chance, 1), threshold: thunderNote, inputs: map[string]float64{},
				text: "Thunder is possible that day, also from {from} to {until}. Watch the sky.",
			}
			put(f.inputs, "thunder_probability", h.Thunder.Probability)
		case !chanceKnown || !symbol.Known:
			f = notChecked(note, "Thunder was", "the forecast of that day has gaps", thunderNote)
		default:
			continue
		}
		f.from = o.dayOf(at)
		f.until = o.dayOf(f.from.Add(26 * time.Hour)) // a day has 23 to 25 hours
		found = append(found, f)
	}
	return found
}

// dayOf is the beginning of a time's local day.
func (o *outing) dayOf(at time.Time) time.Time {
	y, m, d := at.In(o.loc).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, o.loc)
}
