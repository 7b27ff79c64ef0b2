package model

import "time"

// OfficialWarning is a warning that a weather, health or environment service
// has given out. It outranks every threshold of ours, upwards and downwards: it
// is shown first and never softened.
type OfficialWarning struct {
	ID       string           `json:"id"`     // the service's own
	Source   string           `json:"source"` // the feed it came by
	Sender   string           `json:"sender"` // the service, in its own words
	Hazard   Hazard           `json:"hazard"`
	Event    string           `json:"event"`    // the service's word for it
	Severity Severity         `json:"severity"` // as given
	Headline string           `json:"headline"` // as given
	From     time.Time        `json:"from"`
	Until    Maybe[time.Time] `json:"until"` // not known until the service says
	// The place asked about: a warning counts for the waters of that cell.
	LatDeg    float64   `json:"lat"`
	LonDeg    float64   `json:"lon"`
	FetchedAt time.Time `json:"fetched_at"`
}

// Hazard is what a warning is about, as far as an angler's day goes.
type Hazard string

// The hazards; anything else is Other, and is shown all the same.
const (
	HazardThunder Hazard = "thunder"
	HazardHeat    Hazard = "heat"
	HazardCold    Hazard = "cold"
	HazardWind    Hazard = "wind"
	HazardFlood   Hazard = "flood"
	HazardIce     Hazard = "ice"
	HazardOther   Hazard = "other"
)

// Severity is a warning's severity in the words of the Common Alerting Protocol
// (OASIS, CAP 1.2, 2010, element severity).
type Severity string

// The severities.
const (
	Extreme         Severity = "Extreme"
	Severe          Severity = "Severe"
	Moderate        Severity = "Moderate"
	Minor           Severity = "Minor"
	UnknownSeverity Severity = "Unknown"
)
