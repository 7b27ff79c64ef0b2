package metar

import (
	"strings"
	"time"

	"osier/model"
)

// Report is one METAR or SPECI as the station sent it, with units converted.
// A value that the report does not hold, or that cannot be read with
// certainty, is not known.
type Report struct {
	Raw     string // the report as it came, without the sign that ends it
	Station string

	// Day of the month, hour and minute, UTC. Month and year come from
	// outside: see ResolveTime.
	Day, Hour, Minute int

	Automatic  bool
	Correction bool // it replaces the report of the same station and time
	Nil        bool // the station says that there is no report

	// WindFromDeg is the mean direction as coded, 1 to 360, where 360 is
	// north. A calm and a variable wind have none.
	WindFromDeg model.Maybe[int]
	// WindMps is the mean speed. P99KT and P49MPS, "at least", give the bound.
	WindMps model.Maybe[model.MetresPerSecond]
	GustMps model.Maybe[model.MetresPerSecond]

	AirC model.Maybe[model.Celsius]
	DewC model.Maybe[model.Celsius]

	QNHHPa      model.Maybe[model.Hectopascals]
	WholeHPa    bool // QNH came as a Q group: whole hectopascals, rounded down
	SeaLevelHPa model.Maybe[model.Hectopascals]
	Tendency    model.Maybe[Tendency]

	Weather []string // groups of table 4678 as reported now
	Recent  []string // what RE groups say of the past hour, without the RE

	// CloudOktas is the highest cover of any layer: see readCloud.
	CloudOktas model.Maybe[int]

	ThunderInRemarks bool // the remarks time the start or end of thunder within the hour
	ThunderSensorOff bool // TSNO
	WeatherSensorOff bool // present weather came as //
	Maintenance      bool // the station asks for maintenance
	Suspect          bool // a value is improbable: see markSuspect

	// observed says that the body held wind, visibility, weather, cloud or
	// temperature: a report of the pressure alone is silent about thunder.
	observed bool
}

// ThunderReported is what the body says of thunder at the time of the report:
// now, vicinity, none when the body describes the weather and names no thunder
// (which proves little when the sensor is off), or unknown when it does not.
func (r Report) ThunderReported() model.Thunder {
	vicinity := false
	for _, w := range r.Weather {
		switch {
		case !strings.Contains(w, "TS"):
		case strings.Contains(w, "VC"):
			vicinity = true
		default:
			return model.ThunderNow
		}
	}
	switch {
	case vicinity:
		return model.ThunderVicinity
	case r.Nil || !r.observed:
		return model.ThunderUnknown
	}
	return model.ThunderNone
}

// Thunder is the strongest thing that the whole report says of thunder: now,
// then vicinity, then recent. ThunderNone is said only by a report that would
// have told: it describes the weather, its thunder sensor is not off (TSNO)
// and an automatic station's weather group is not "//".
func (r Report) Thunder() model.Thunder {
	reported := r.ThunderReported()
	switch {
	case reported == model.ThunderNow || reported == model.ThunderVicinity:
		return reported
	case r.ThunderInRemarks:
		return model.ThunderRecent
	}
	for _, w := range r.Recent {
		if strings.Contains(w, "TS") {
			return model.ThunderRecent
		}
	}
	if r.ThunderSensorOff || r.WeatherSensorOff {
		return model.ThunderUnknown
	}
	return reported
}

// Observation gives the report in storage form. The instant comes from
// ResolveTime and the source names the feed that delivered it. Rain and
// station pressure are not in a METAR.
func (r Report) Observation(at time.Time, source string) model.Observation {
	o := model.Observation{
		Station:     r.Station,
		Source:      source,
		At:          at,
		AirC:        r.AirC,
		DewC:        r.DewC,
		WindMps:     r.WindMps,
		GustMps:     r.GustMps,
		QNHHPa:      r.QNHHPa,
		SeaLevelHPa: r.SeaLevelHPa,
		CloudOktas:  r.CloudOktas,
		Thunder:     r.Thunder(),
		WholeHPa:    r.WholeHPa,
		Corrected:   r.Correction,
		LowTrust:    r.Maintenance || r.Suspect,
		Raw:         r.Raw,
	}
	if r.WindFromDeg.Known {
		o.WindFromDeg = model.Known(model.Degrees(r.WindFromDeg.Value % 360))
	}
	return o
}
