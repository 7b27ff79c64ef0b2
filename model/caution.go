package model

import "time"

// CautionLevel says what a caution asks of the reader.
type CautionLevel string

// The levels, and the honest "not checked" where an input is missing.
const (
	Stop       CautionLevel = "stop"        // do not fish then or there
	Care       CautionLevel = "care"        // change what you do
	NotChecked CautionLevel = "not checked" // an input is missing; nothing is cleared
	Note       CautionLevel = "note"        // worth knowing
)

// Caution is a warning with its reason. Cautions are computed first, apart from
// the activity model, and outrank it.
type Caution struct {
	ID        string             `json:"id"`
	Level     CautionLevel       `json:"level"`
	From      time.Time          `json:"from"`
	Until     time.Time          `json:"until"`
	Inputs    map[string]float64 `json:"inputs"`
	Threshold string             `json:"threshold"`
	Source    string             `json:"source"`
	Text      string             `json:"text"`

	// AdviseClosure tells a club's officer that closing the water should be
	// considered. Nobody else ever sees it.
	AdviseClosure bool `json:"advise_closure,omitempty"`
}

// Deferral is shown with every plan and outlook. Its words are fixed by the
// cautions pack, section 1.
const Deferral = "This is a planning aid. The water's owner, club and bailiff, local byelaws and official warnings come first; hold the licence and permission you need, and use your own judgement on the bank."

// Report is what somebody saw at a water. It outranks what is computed.
type Report struct {
	ID    string     `json:"id"`
	Water string     `json:"water"`
	Kind  ReportKind `json:"kind"`
	At    time.Time  `json:"at"`
	By    string     `json:"by,omitempty"`
	Note  string     `json:"note,omitempty"`
}

// ReportKind is what was seen.
type ReportKind string

// What can be reported.
const (
	SawIce       ReportKind = "ice"
	SawBloom     ReportKind = "bloom"
	SawDistress  ReportKind = "distress"
	SawSpawning  ReportKind = "spawning"
	HeardThunder ReportKind = "thunder"
	SawInvasive  ReportKind = "invasive" // a species or disease that must not be carried on
)

// Validate refuses a report of a kind that nothing would act on.
func (r Report) Validate() error {
	switch r.Kind {
	case SawIce, SawBloom, SawDistress, SawSpawning, HeardThunder, SawInvasive:
		return nil
	}
	return Invalidf("kind", "give ice, bloom, distress, spawning, thunder or invasive", "%q is nothing that can be reported", shorten(string(r.Kind)))
}
