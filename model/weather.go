package model

import "time"

// Kind says how a value came to be.
type Kind string

// The kinds a value can be of.
const (
	Observed     Kind = "observed"
	Interpolated Kind = "interpolated"
	Forecasted   Kind = "forecast"
	Modelled     Kind = "modelled"
	Assumed      Kind = "assumed"
	Missing      Kind = "missing"
)

// Provenance says where a value came from.
type Provenance struct {
	Kind       Kind             `json:"kind"`
	Source     string           `json:"source,omitempty"`  // the feed
	Station    string           `json:"station,omitempty"` // the best station, where stations made it
	DistanceKm Maybe[float64]   `json:"distance_km"`       // of that station
	At         Maybe[time.Time] `json:"at"`                // when it was observed, or the forecast issued
	AgeMin     Maybe[float64]   `json:"age_min"`           // at the time of asking
	// ConfirmedMin is, for a forecast, how long ago its feed last said that it
	// is the current one.
	ConfirmedMin Maybe[float64] `json:"confirmed_min"`
	// LowTrust is set where the station or its archive flags the report as
	// doubtful. The value is used, and the flag goes with it.
	LowTrust bool `json:"low_trust,omitempty"`
}

// Reading is one value of one hour with its provenance.
type Reading struct {
	Value float64
	Known bool
	From  Provenance
}

// WeatherHour is the weather at a water at a whole hour: what was observed
// about that instant, or is forecast for it. Rain is the depth that fell in the
// hour before At.
type WeatherHour struct {
	At          time.Time
	AirC        Reading
	DewC        Reading
	RHPct       Reading
	WindMps     Reading
	WindFromDeg Reading
	GustMps     Reading
	SeaLevelHPa Reading
	QNHHPa      Reading
	WholeHPa    bool // the altimeter setting came in whole hectopascals, rounded down
	RainMm      Reading
	Cloud       Reading // fraction of the sky
	Thunder     ThunderHour
}

// Pressure gives the pressure reduced to sea level, by real temperature where
// that is known and else by the standard atmosphere, and says which.
func (h WeatherHour) Pressure() (Reading, PressureKind) {
	if h.SeaLevelHPa.Known {
		return h.SeaLevelHPa, SeaLevel
	}
	if h.QNHHPa.Known {
		return h.QNHHPa, QNH
	}
	return h.SeaLevelHPa, ""
}

// PressureKind keeps the ways of reducing pressure apart: they are never mixed
// within one trend.
type PressureKind string

// The kinds of pressure.
const (
	SeaLevel PressureKind = "sea level"
	QNH      PressureKind = "altimeter setting"
)

// ThunderHour is what is known of thunder in one hour.
type ThunderHour struct {
	Observed    Thunder        `json:"observed"`
	Symbol      Maybe[bool]    `json:"symbol"`
	Probability Maybe[float64] `json:"probability"`
	From        Provenance     `json:"from"`
}
