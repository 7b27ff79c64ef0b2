package model

import "time"

// BankAdvice is what to do now, in a session that goes on: cautions that came up
// since the plan first, then one thing, then the rest.
type BankAdvice struct {
	Session  string        `json:"session"`
	At       time.Time     `json:"at"`
	Ended    bool          `json:"ended"`
	Plan     string        `json:"plan_id,omitempty"` // as issued; empty where none was followed
	Cautions []Caution     `json:"cautions"`
	Advice   []AdvicePiece `json:"advice"`
	State    *BankState    `json:"state"` // null once a caution stops fishing, and after the end
	Soak     BankSoak      `json:"soak"`
	Deferral string        `json:"deferral"`
	Demo     bool          `json:"demo"`
}

// AdvicePiece is one thing to do, or to leave alone, in a plain sentence.
type AdvicePiece struct {
	Act    string `json:"act"`
	Reason string `json:"reason"`
	Text   string `json:"text"`
	Why    string `json:"why"`
	Sure   string `json:"sure"` // how sure it is, in words; empty where there is nothing to be sure of
}

// BankState is what the session has taught about the line fished now.
type BankState struct {
	FishedMin          float64 `json:"fished_min"` // pauses left out
	Bites              int     `json:"bites"`
	LineBites          int     `json:"line_bites"`
	FeedingProbability float64 `json:"feeding_probability"`
	PresentProbability float64 `json:"present_probability"`
	PlanBitesPerH      float64 `json:"plan_bites_per_h"`
	BitesPerH          float64 `json:"bites_per_h"` // now, feeding or not
	IfFeedingLow90     float64 `json:"bites_per_h_if_feeding_low90"`
	IfFeedingHigh90    float64 `json:"bites_per_h_if_feeding_high90"`
	// BiteWithin10 is the chance of a bite in the next ten minutes, and
	// NextBiteMin when the next comes if fish feed: the middle half of the wait.
	BiteWithin10 float64 `json:"bite_within_10_min_probability"`
	NextBiteMin  *Span   `json:"next_bite_if_feeding_min"`
	Text         string  `json:"text"`
}

// BankSoak is how long to leave a cast without a bite.
type BankSoak struct {
	Min   Span   `json:"soak_range_min"`
	Basis string `json:"basis"` // trade_range, best_soak or no_best_soak
	Casts int    `json:"casts"` // that it rests on, of the angler's own
	Text  string `json:"text"`
}
