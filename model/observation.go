package model

import "time"

// Station is a place that reports weather.
type Station struct {
	ID         string        `json:"id"`
	Source     string        `json:"source"` // the feed it was heard through
	Name       string        `json:"name,omitempty"`
	LatDeg     float64       `json:"lat"`
	LonDeg     float64       `json:"lon"`
	ElevationM Maybe[Metres] `json:"elevation_m"`
}

// Thunder is what one report says of thunder. The zero value means that
// nothing was said, which proves nothing.
type Thunder string

// What a report can say. ThunderNone needs a report that would have said so.
const (
	ThunderUnknown  Thunder = ""
	ThunderNone     Thunder = "no"
	ThunderVicinity Thunder = "vicinity"
	ThunderRecent   Thunder = "recent"
	ThunderNow      Thunder = "yes"
)

// Observation is one report of one station at one instant, as the feed gave
// it, with units converted once.
type Observation struct {
	Station     string                 `json:"station"`
	Source      string                 `json:"source"`
	At          time.Time              `json:"at"`
	AirC        Maybe[Celsius]         `json:"air_temp_c"`
	DewC        Maybe[Celsius]         `json:"dew_point_c"`
	WindMps     Maybe[MetresPerSecond] `json:"wind_mps"`
	WindFromDeg Maybe[Degrees]         `json:"wind_from_deg"`
	GustMps     Maybe[MetresPerSecond] `json:"gust_mps"`
	QNHHPa      Maybe[Hectopascals]    `json:"qnh_hpa"`
	SeaLevelHPa Maybe[Hectopascals]    `json:"sea_level_hpa"`
	StationHPa  Maybe[Hectopascals]    `json:"station_hpa"`
	Rain        Maybe[Rain]            `json:"rain"`
	CloudOktas  Maybe[int]             `json:"cloud_oktas"`
	Thunder     Thunder                `json:"thunder,omitempty"`
	WholeHPa    bool                   `json:"whole_hpa,omitempty"` // QNH came in whole hectopascals, rounded down
	Corrected   bool                   `json:"corrected,omitempty"` // it replaces the report of the same station and time
	LowTrust    bool                   `json:"low_trust,omitempty"` // the station says it needs maintenance, or a value is flagged suspect
	Raw         string                 `json:"raw,omitempty"`
}

// Rain is a depth gathered over a time that ended when it was reported.
type Rain struct {
	Mm    Millimetres `json:"mm"`
	OverH float64     `json:"over_h"`
}

// Forecast is what a grid forecast says for one place, as issued once.
type Forecast struct {
	Source    string    `json:"source"`
	LatDeg    float64   `json:"lat"` // as asked for, at most four decimals
	LonDeg    float64   `json:"lon"`
	IssuedAt  time.Time `json:"issued_at"`
	FetchedAt time.Time `json:"fetched_at"`
	// ConfirmedAt is when the feed last gave this issue, or said that it is
	// still the current one. Its age is what staleness goes by: a feed may
	// rightly serve one run of its model for half a day.
	ConfirmedAt time.Time      `json:"confirmed_at"`
	Hours       []ForecastHour `json:"hours"`
}

// ForecastHour is one step of a forecast. Steps of an hour give way to steps
// of six; StepH says how long this one lasts.
type ForecastHour struct {
	At                 time.Time              `json:"at"`
	StepH              float64                `json:"step_h"`
	AirC               Maybe[Celsius]         `json:"air_temp_c"`
	DewC               Maybe[Celsius]         `json:"dew_point_c"`
	RHPct              Maybe[float64]         `json:"relative_humidity_pct"`
	WindMps            Maybe[MetresPerSecond] `json:"wind_mps"`
	WindFromDeg        Maybe[Degrees]         `json:"wind_from_deg"`
	GustMps            Maybe[MetresPerSecond] `json:"gust_mps"`
	SeaLevelHPa        Maybe[Hectopascals]    `json:"sea_level_hpa"`
	CloudFraction      Maybe[float64]         `json:"cloud_fraction"`
	Rain               Maybe[Rain]            `json:"rain"`                // from At on, over Rain.OverH
	ThunderProbability Maybe[float64]         `json:"thunder_probability"` // 0 to 1
	Thunder            Maybe[bool]            `json:"thunder"`             // the step's symbol shows thunder
}
