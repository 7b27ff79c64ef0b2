package model

import "time"

// ConditionHour is what the weather means at a water in one hour.
type ConditionHour struct {
	At              time.Time              `json:"at"`
	Weather         Kind                   `json:"weather"` // observed, interpolated, modelled, forecast or missing
	AirC            Maybe[Celsius]         `json:"air_temp_c"`
	FeelsLikeC      Maybe[Celsius]         `json:"feels_like_c"`
	FeelsLikeKind   string                 `json:"feels_like_kind,omitempty"` // wind_chill, heat_index or air_temperature
	DewC            Maybe[Celsius]         `json:"dew_point_c"`
	RHPct           Maybe[float64]         `json:"relative_humidity_pct"`
	WindMps         Maybe[MetresPerSecond] `json:"wind_mps"`
	WindFromDeg     Maybe[Degrees]         `json:"wind_from_deg"`
	GustMps         Maybe[MetresPerSecond] `json:"gust_mps"`
	PressureHPa     Maybe[Hectopascals]    `json:"pressure_hpa"`
	PressureKind    PressureKind           `json:"pressure_kind,omitempty"`
	Tendency3hHPa   Maybe[Hectopascals]    `json:"pressure_tendency_3h_hpa"`
	TendencyText    string                 `json:"pressure_tendency_text"`
	TendencyNote    string                 `json:"pressure_tendency_note,omitempty"`
	Change24hHPa    Maybe[Hectopascals]    `json:"pressure_change_24h_hpa"`
	RainMm          Maybe[Millimetres]     `json:"rain_mm"` // in the hour before
	CloudFraction   Maybe[float64]         `json:"cloud_fraction"`
	WaterC          WaterEstimate          `json:"water_temp_c"`
	Light           Light                  `json:"light"`
	SunElevationDeg float64                `json:"sun_elevation_deg"`
	Thunder         ThunderHour            `json:"thunder"`
	Provenance      map[string]Provenance  `json:"provenance"`
}

// WaterEstimate is the water temperature near the surface with its 80 %
// interval; DepthM is how far under it. Where the model has two layers the
// bottom has figures of its own; where it has one, the same figure holds there,
// and Depth says so.
type WaterEstimate struct {
	Value        float64              `json:"value"`
	Low          float64              `json:"low"`
	High         float64              `json:"high"`
	Kind         Kind                 `json:"kind"`  // modelled, or assumed from the climate
	Depth        string               `json:"depth"` // which depth the figure is for, in words
	DepthM       float64              `json:"depth_m"`
	Ice          bool                 `json:"ice_likely"`
	Bottom       float64              `json:"bottom_high"` // how warm the bottom may be below 4 C
	AtBottom     Maybe[DepthEstimate] `json:"at_bottom"`
	CalibratedBy Maybe[CalibratedBy]  `json:"calibrated_by"`
}

// AtFeeder is the best figure where the feeder lies: on the bottom.
func (w WaterEstimate) AtFeeder() float64 {
	if w.AtBottom.Known {
		return w.AtBottom.Value.Value
	}
	return w.Value
}

// LowAtFeeder is the low end of the figure there.
func (w WaterEstimate) LowAtFeeder() float64 {
	if w.AtBottom.Known {
		return w.AtBottom.Value.Low
	}
	return w.Low
}

// DepthEstimate is the water temperature at one depth with its 80 % interval.
type DepthEstimate struct {
	Value  float64 `json:"value"`
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
	DepthM float64 `json:"depth_m"`
}

// CalibratedBy is which thermometer readings correct an estimate: those taken
// before its hour.
type CalibratedBy struct {
	Readings   int     `json:"readings"`
	NewestAgeH float64 `json:"newest_age_h"` // at that hour
}

// Light is how light it is.
type Light string

// The kinds of light: civil twilight is the sun between 6 degrees below the
// horizon and rising or setting.
const (
	Dark     Light = "dark"
	Twilight Light = "twilight"
	Daylight Light = "day"
)

// Conditions is the whole answer about one water and a span of hours.
type Conditions struct {
	Water    string          `json:"water"`
	AskedAt  time.Time       `json:"asked_at"`
	Zone     string          `json:"zone"`
	Version  string          `json:"weather_version"`
	Source   string          `json:"source"`  // in words
	AgeMin   Maybe[float64]  `json:"age_min"` // of the newest report or forecast issue
	Stale    bool            `json:"stale"`
	Credits  []string        `json:"credits,omitempty"` // what the feeds' licences ask to be said
	Sun      Sun             `json:"sun"`
	Hours    []ConditionHour `json:"hours"`
	Cautions []Caution       `json:"cautions"`
	Notes    []string        `json:"notes,omitempty"`
	Deferral string          `json:"deferral"`
	Demo     bool            `json:"demo"`
}

// Sun is the day's sun at the water.
type Sun struct {
	Rise       Maybe[time.Time] `json:"rise"`
	Set        Maybe[time.Time] `json:"set"`
	Noon       time.Time        `json:"noon"`
	DayLengthH float64          `json:"day_length_h"`
}
