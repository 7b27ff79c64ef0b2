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
	From     time.Time        `json:"from"`     // zero where the service does not say: in force already
	Until    Maybe[time.Time] `json:"until"`    // not known until the service says
}

// WarningsAnswer is what a feed of official warnings last answered for a place:
// all that are in force or announced there, and none besides.
type WarningsAnswer struct {
	Source   string
	LatDeg   float64
	LonDeg   float64
	AskedAt  time.Time // when it last answered, or stood by its answer
	Warnings []OfficialWarning
}

// WarningsStand is how long after a feed last answered it is known which
// warnings are in force: four rounds of asking. Our choice.
const WarningsStand = 2 * time.Hour

// Stands says whether an answer is still the last word at an instant. One from
// further ahead than it could stand was written while a clock was wrong.
func (a WarningsAnswer) Stands(at time.Time) bool {
	return !a.AskedAt.IsZero() && at.Sub(a.AskedAt).Abs() <= WarningsStand
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
