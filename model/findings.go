package model

import "time"

// Findings is what the records can tell and what they cannot: the public fit in
// plain words, and how the checks on records fared. Nothing in it tells of one
// angler: counts are bands, and what few people stand behind is withheld.
type Findings struct {
	AsOf     time.Time       `json:"as_of"`
	Fit      string          `json:"fit"`
	MadeAt   time.Time       `json:"fit_made_at"`
	Sessions string          `json:"sessions"` // that the fit read, as a band
	Anglers  string          `json:"anglers"`  // of them, as a band
	Groups   []GroupFindings `json:"groups"`
	// Checked are the records entered before this instant, the start of a month.
	CheckedBefore time.Time     `json:"checked_before"`
	Checked       string        `json:"checked"` // how many, as a band
	Checks        []RecordCheck `json:"checks"`
	Notes         []string      `json:"notes"`
	// Planted are the flaws of the demo's invented records; of nothing else.
	Planted *PlantedTruth `json:"planted,omitempty"`
	Demo    bool          `json:"demo"`
}

// GroupFindings is what the public fit tells of one group of fish.
type GroupFindings struct {
	Group    Group         `json:"group"`
	Sessions string        `json:"sessions"` // as a band
	Drivers  []Finding     `json:"drivers"`
	Feed     []FeedFinding `json:"feed"`
	Notes    []string      `json:"notes"`
}

// Finding is what the records alone say of one driver, the prior taken out.
type Finding struct {
	Driver string `json:"driver"`
	Unit   string `json:"unit"` // what the change is for
	// Learnt is false where the records say too little yet: the rest is then 0.
	Learnt bool `json:"learnt"`
	// Found is true where the 90 % interval leaves out no change.
	Found  bool    `json:"found"`
	Change float64 `json:"change"` // share of bites: 0.12 is 12 % more
	Low90  float64 `json:"low90"`
	High90 float64 `json:"high90"`
}

// FeedFinding is what is believed of one feed rate against the trade's own,
// records and prior together. The ratio is null where the rate was not tried
// often enough to say.
type FeedFinding struct {
	WaterC    Celsius      `json:"water_temp_c"`
	RateGH    GramsPerHour `json:"rate_g_h"`
	AgainstGH GramsPerHour `json:"against_g_h"` // the trade's starting rate there
	Ratio     *RatioRange  `json:"ratio"`       // of bites
	// EValue and EValueOfBound are as in FeedChoice.
	EValue        Maybe[float64] `json:"e_value"`
	EValueOfBound Maybe[float64] `json:"e_value_of_bound"`
	Text          string         `json:"text"`
}

// RecordCheck is how often records were queried about one field.
type RecordCheck struct {
	Field    string   `json:"field"`
	Sessions string   `json:"sessions,omitempty"` // as a band; nothing where withheld
	Withheld []string `json:"withheld,omitempty"` // why it is not shown
}

// PlantedTruth is what the invented records of the demo were made from, so that
// a reader can see what was found of it.
type PlantedTruth struct {
	Truths []PlantedEffect `json:"truths"`
	Flaws  []PlantedFlaw   `json:"flaws"`
}

// PlantedEffect is one rule by which the invented bites were made, and what the
// program found of it.
type PlantedEffect struct {
	What  string `json:"what"`
	Found string `json:"found"`
}

// PlantedFlaw is one kind of error planted in the invented records.
type PlantedFlaw struct {
	Kind     string `json:"kind"`
	Example  string `json:"example"`
	CaughtBy string `json:"caught_by"` // the check that catches it
	Planted  int    `json:"planted"`
	Caught   int    `json:"caught"`
}
