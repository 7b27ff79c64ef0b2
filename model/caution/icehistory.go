package caution

import (
	"time"

	"osier/model"
)

// Bounds for what is not known of two days of air; our choice.
const (
	enoughOfDayH  = 18  // hours known that make a day's mean worth raising on
	coldestAirC   = -40 // no unknown hour is taken as colder, nor
	coldestBelowC = 10  // as further than this below the water's low end
)

const (
	frostThreshold  = "daily mean air 0 C or below for 2 days"
	reportThreshold = "ice reported within 7 days, and no two days of water above 4 C since"
)

// frost looks at the two days before an hour. Where their air is not known it
// is bounded by the water: two days that froze would have shown in it, so that
// a missing history in summer asks for nothing.
func (o *outing) frost(h model.ConditionHour, waterLowC float64, waterKnown bool) []finding {
	floorC := float64(coldestAirC)
	if waterKnown {
		floorC = max(floorC, waterLowC-coldestBelowC)
	}
	last, before := o.dayUntil(h.At), o.dayUntil(h.At.Add(-24*time.Hour))
	switch {
	case last.frosty() && before.frosty():
		meanC := (last.sumC + before.sumC) / (last.hours + before.hours)
		return []finding{hourly(h, finding{
			level: care, badness: -meanC, threshold: frostThreshold, inputs: map[string]float64{"air_mean_48h_c": meanC},
			text: "Ice is likely from {from} to {until}: two days of frost, " + figure(meanC) + " C on average. Never step on it; if it is there, go home.",
		})}
	case last.maybeFrosty(floorC) && before.maybeFrosty(floorC):
		return []finding{hourly(h, notChecked(care, "Ice was", "too little air temperature known of the two days before", frostThreshold))}
	}
	return nil
}

// day sums up what is known of 24 hours of air temperature.
type day struct{ sumC, hours float64 }

// dayUntil takes the 24 whole hours before the time.
func (o *outing) dayUntil(end time.Time) day {
	var d day
	for at := end.Add(-24 * time.Hour); at.Before(end); at = at.Add(time.Hour) {
		if airC, known := finite(o.hour(at).AirC); known {
			d.sumC += airC
			d.hours++
		}
	}
	return d
}

func (d day) frosty() bool { return d.hours >= enoughOfDayH && d.sumC <= frostDayC*d.hours }

func (d day) maybeFrosty(floorC float64) bool {
	return d.frosty() || d.sumC+(24-d.hours)*floorC <= frostDayC*24
}

// reportedIce looks at what somebody saw. A report outranks the estimate until
// it is a week old, or until the water has been above 4 C for two days by an
// estimate that rests on weather and not on the climate.
func (o *outing) reportedIce(h model.ConditionHour) []finding {
	var found []finding
	for _, r := range o.Reports {
		if r.Kind != model.SawIce || r.Water != o.Water.ID || o.thawed(h.At, r.At) {
			continue
		}
		f := finding{
			from: r.At, until: r.At.Add(iceReportCounts), level: stop, threshold: reportThreshold,
			text: "Ice was reported on " + r.At.In(o.loc).Format("2 January") + ": no fishing from or through ice from {from} to {until}. Never step on it; go home.",
		}
		found = append(found, f.within(h.At, h.At.Add(time.Hour))...)
	}
	return found
}

// thawed says whether the water was above 4 C in each of the 48 hours before
// the hour, all of them after the report.
func (o *outing) thawed(hour, reported time.Time) bool {
	for at := hour.Add(-48 * time.Hour); at.Before(hour); at = at.Add(time.Hour) {
		h := o.hour(at)
		lowC, known := waterLow(h)
		if at.Before(reported) || !known || lowC <= thawC || h.WaterC.Kind == model.Assumed || o.outdated(h.Weather) {
			return false
		}
	}
	return true
}
