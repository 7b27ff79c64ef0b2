package nws

import (
	"slices"
	"time"

	"osier/model"
)

// sameReport is how far apart the two clocks of one report may be: that of the
// JSON and that in the raw text (our choice).
const sameReport = 15 * time.Minute

// Prefer returns the observation with the values of its raw report, which the
// caller has decoded, wherever the raw report has any, and those of the JSON
// elsewhere. A direction and a gust belong to their speed, so a raw report that
// tells the speed and no gust leaves none. Values that failed the service's
// checks stay missing. The time, the station, the source and the rain, which no
// METAR tells, stay those of the JSON.
//
// A raw report of another station or of another time changes nothing and is an
// error: stations repeat old ones.
func (r Report) Prefer(raw model.Observation) (model.Observation, error) {
	o := r.Observation
	if raw.Station != o.Station || raw.At.Sub(o.At).Abs() > sameReport {
		return o, model.Invalidf("raw report", "it should be that of "+o.Station+" at "+o.At.Format(time.RFC3339),
			"it is of %s at %s; it is left aside", raw.Station, raw.At.UTC().Format(time.RFC3339))
	}
	if raw.WindMps.Known && r.passed(speedName) {
		o.WindMps, o.WindFromDeg, o.GustMps = raw.WindMps, model.Maybe[model.Degrees]{}, model.Maybe[model.MetresPerSecond]{}
	}
	prefer(&o.WindFromDeg, raw.WindFromDeg, r.passed(directionName))
	prefer(&o.GustMps, raw.GustMps, r.passed(gustName))
	prefer(&o.AirC, raw.AirC, r.passed(temperatureName))
	prefer(&o.DewC, raw.DewC, r.passed(dewPointName))
	prefer(&o.SeaLevelHPa, raw.SeaLevelHPa, r.passed(seaLevelName))
	if prefer(&o.QNHHPa, raw.QNHHPa, r.passed(qnhName)) {
		o.WholeHPa = raw.WholeHPa
	}
	prefer(&o.CloudOktas, raw.CloudOktas, true)
	if raw.Thunder != model.ThunderUnknown {
		o.Thunder = raw.Thunder
	}
	o.Corrected = o.Corrected || raw.Corrected
	o.LowTrust = o.LowTrust || raw.LowTrust
	return o, nil
}

// prefer puts a known value of the raw report in place of the JSON's and says
// whether it did.
func prefer[T any](own *model.Maybe[T], raw model.Maybe[T], passed bool) bool {
	if raw.Known && passed {
		*own = raw
		return true
	}
	return false
}

// passed says that the service found no fault with a property.
func (r Report) passed(name string) bool { return !slices.Contains(r.Failed, name) }
