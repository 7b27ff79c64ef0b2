package metar

import (
	"math"

	"osier/model/air"
)

// What makes a report improbable without making it unreadable. Values are
// kept, so that whoever knows the station can judge; they only lower trust.
const (
	// World records of sea-level pressure (from memory) bound what QNH can be.
	minRecordHPa = 870.0
	maxRecordHPa = 1085.0
	// Sea-level pressure and QNH differ by the air below the station: by less
	// than this at any height (the reference pack, from three world snapshots).
	maxReductionGapHPa = 20.0
	// A gust of 60 knots above the mean is unheard of outside a tornado. Our
	// choice.
	maxGustExcessMps = 60 * air.MpsPerKnot
	// A dew point is not above the temperature, but rounding and two sensors
	// may put it there by a degree. Our choice.
	maxDewExcessC = 1.0
)

// markSuspect looks for values that contradict each other.
func (r *Report) markSuspect() {
	if r.QNHHPa.Known {
		q := float64(r.QNHHPa.Value)
		r.Suspect = q < minRecordHPa || q > maxRecordHPa ||
			r.SeaLevelHPa.Known && math.Abs(float64(r.SeaLevelHPa.Value)-q) > maxReductionGapHPa
	}
	if r.AirC.Known && r.DewC.Known {
		r.Suspect = r.Suspect || r.DewC.Value-r.AirC.Value > maxDewExcessC
	}
	if r.GustMps.Known && r.WindMps.Known {
		excess := float64(r.GustMps.Value - r.WindMps.Value)
		r.Suspect = r.Suspect || excess < 0 || excess > maxGustExcessMps
	}
}
