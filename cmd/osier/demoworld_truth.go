package main

import (
	"time"

	"osier/model"
)

// demoTruth is what the invented records were made from, and every flaw that
// was planted in them: the answers at the back of the book.
type demoTruth struct {
	Note         string             `json:"note"`
	Club         string             `json:"club"`
	Demo         bool               `json:"demo"`
	Seed         uint64             `json:"seed"`
	Now          time.Time          `json:"now"`
	YearFrom     time.Time          `json:"year_from"`
	Coefficients demoCoefficients   `json:"coefficients"`
	WaterEffects map[string]float64 `json:"water_effects_log_rate"`
	Anglers      []demoAnglerTruth  `json:"anglers"`
	Spells       []demoSpell        `json:"spells"`
	Closure      demoClosure        `json:"closure"`
	Matches      []demoMatch        `json:"matches"`
	Sessions     []demoSessionTruth `json:"sessions"`
	Flaws        []demoFlaw         `json:"flaws"`
}

// demoAnglerTruth is what the records hide of an angler. Feed biases are the
// mean of ln(planned rate over the trade's starting rate).
type demoAnglerTruth struct {
	Handle        string      `json:"handle"`
	Style         model.Style `json:"style"`
	EffectLogRate float64     `json:"effect_log_rate"`
	FeedBias      float64     `json:"feed_bias"`
	FeedBiasCold  float64     `json:"feed_bias_under_8_c"`
}

// demoClosure is a water that nobody may fish for some days.
type demoClosure struct {
	Water  string    `json:"water"`
	From   time.Time `json:"from"`
	Until  time.Time `json:"until"`
	Reason string    `json:"reason"`
}

type demoMatch struct {
	Water    string    `json:"water"`
	Start    time.Time `json:"start"`
	Sessions []string  `json:"sessions"`
}

// demoSessionTruth is one session as it was, whatever was written down of it.
type demoSessionTruth struct {
	ID          string      `json:"id"`
	Water       string      `json:"water"`
	Angler      string      `json:"angler"`
	Group       model.Group `json:"group"`
	Style       model.Style `json:"style"`
	Start       time.Time   `json:"start"`
	Hours       float64     `json:"hours"`
	Match       bool        `json:"match"`
	WaterC      float64     `json:"water_temp_c"` // at the first cast
	Warming24hC float64     `json:"water_warming_24h_c"`
	FeedZ       float64     `json:"feed_z"` // ln of the planned rate over the trade's
	PlannedGH   float64     `json:"planned_rate_g_h"`
	// RatePerH is the true mean of bites per rod-hour over the session, before
	// the multiplier that makes the counts negative binomial.
	RatePerH   float64 `json:"rate_per_rod_h"`
	Multiplier float64 `json:"multiplier"`
	Bites      int     `json:"bites"`
	LineBites  int     `json:"line_bites"`
	Fish       int     `json:"fish"`
	SentIn     bool    `json:"sent_in"` // false: a blank that was never written down
}

// demoFlaw is one error planted in the records.
type demoFlaw struct {
	Kind     string `json:"kind"`
	Session  string `json:"session"`
	What     string `json:"what"`
	CaughtBy string `json:"caught_by"`
}

// The kinds of flaw.
const (
	flawClock     = "clock not put back"
	flawPounds    = "pounds and ounces as a decimal"
	flawNoPlan    = "no planned feed"
	flawLoads     = "words in place of a count"
	flawLate      = "written days late"
	flawTwice     = "sent twice"
	flawAir       = "air for water temperature"
	flawNoBlanks  = "blanks not written down"
	flawsOfPounds = 4
	flawsOfClock  = 3
	flawsOfLoads  = 6
	flawsOfLate   = 5
)
