package plan

import (
	"fmt"
	"math"

	"osier/model"
	"osier/model/air"
)

// OutlookNotes are said with every outlook: how it is to be read, and which of
// its figures are rounded.
func OutlookNotes() []string {
	return []string{
		"Feed, feeder and expected bites are for one rod, fished by somebody who is not known, for up to 5 hours in the middle of the longest open stretch of the day; the hours compared are all of that day's light.",
		"Everything rests on the public fit of the water, in which no one angler's records show. Rates are rounded to half a bite an hour, the ends of their intervals outward; the mean of fish is rounded to a half, and chances to one in twenty. Feed, feeder, weather and counts are not rounded so.",
		"The intervals hold what the fit does not know of waters, days and anglers. They do not hold the error of the weather forecast, which grows with every day ahead.",
	}
}

// outlookConditions sums up the hours.
func outlookConditions(c model.Conditions) model.OutlookConditions {
	var out model.OutlookConditions
	if len(c.Hours) == 0 {
		return out
	}
	for _, h := range c.Hours {
		out.AirLowC, out.AirHighC = least(out.AirLowC, h.AirC), most(out.AirHighC, h.AirC)
		out.FeelsLikeLowC = least(out.FeelsLikeLowC, h.FeelsLikeC)
		out.WindMps, out.GustMps = most(out.WindMps, h.WindMps), most(out.GustMps, h.GustMps)
		if h.RainMm.Known {
			out.RainMm = model.Known(out.RainMm.Value + h.RainMm.Value)
		}
		if h.Weather == model.Missing {
			out.MissingHours++
		}
	}
	middle, first, last := c.Hours[len(c.Hours)/2], c.Hours[0], c.Hours[len(c.Hours)-1]
	out.PressureHPa, out.PressureText, out.WaterC = middle.PressureHPa, middle.TendencyText, middle.WaterC
	if first.PressureHPa.Known && last.PressureHPa.Known && first.PressureKind == last.PressureKind {
		out.PressureChange = model.Known(model.Hectopascals(air.Round(float64(last.PressureHPa.Value-first.PressureHPa.Value), 1)))
	}
	return out
}

func least[T ~float64](a, b model.Maybe[T]) model.Maybe[T] {
	if !a.Known || b.Known && b.Value < a.Value {
		return b
	}
	return a
}

func most[T ~float64](a, b model.Maybe[T]) model.Maybe[T] {
	if !a.Known || b.Known && b.Value > a.Value {
		return b
	}
	return a
}

// halfBites rounds a rate for publication (statistics pack, section 6): the middle
// to the nearest half, the ends of its intervals outward.
func halfBites(r model.RateRange) model.RateRange {
	half := func(round func(float64) float64, v float64) float64 { return round(2*v) / 2 }
	return model.RateRange{
		Mean: half(math.Round, r.Mean), Median: half(math.Round, r.Median),
		Low50: half(math.Floor, r.Low50), High50: half(math.Ceil, r.High50),
		Low90: half(math.Floor, r.Low90), High90: half(math.Ceil, r.High90),
	}
}

// outlookActivity is a plan's expectation as it may be published. The word for it
// is that of the plan, which knows the rate before it is rounded.
func outlookActivity(p model.Plan) *model.OutlookActivity {
	a := p.Activity
	r := halfBites(a.BitesPerH)
	out := &model.OutlookActivity{
		BitesPerH: r, Bites: a.Bites,
		Fish:             model.FishRange{Mean: math.Round(2*a.Fish.Mean) / 2, Low90: a.Fish.Low90, High90: a.Fish.High90},
		BlankProbability: air.Round(math.Round(20*a.BlankProbability)/20, 2), HoursCounted: a.HoursCounted,
	}
	middle := fmt.Sprintf("as likely over as under %g bites an hour", r.Median)
	if r.Median == 0 {
		middle = "under half a bite an hour as often as not"
	}
	if p.Evidence.Basis == "prior" {
		middle = noRecords + ": " + middle
	}
	out.Sentence = fmt.Sprintf("%s, a %s session in our words; nine in ten such sessions lie between %g and %g bites an hour, and about %.0f in 100 end without a fish.",
		sentence(middle), lower(a.Step), r.Low90, r.High90, 100*out.BlankProbability)
	return out
}

// outlookEvidence tells what stands behind it, in bands only.
func outlookEvidence(e model.Evidence) string {
	if e.Basis == "prior" {
		return "No records: what is typical of such water and weather."
	}
	return fmt.Sprintf("Sessions behind it: %s, by %s anglers; here in water like this: %s.", e.Sessions.Others, e.Anglers, e.Similar.Others)
}
