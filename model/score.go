package model

import "time"

// Score is how the expectation of one plan fared, as it was issued, against
// what came of the session that followed it. A corrected session is scored
// anew, and the score of a deleted one goes with it.
type Score struct {
	Session  string    `json:"session"`
	Plan     string    `json:"plan"`
	Fit      string    `json:"fit"` // that the plan stood on
	Water    string    `json:"water"`
	Angler   string    `json:"angler"` // whose session it is; no record of plans tells it
	Group    Group     `json:"group"`
	IssuedAt time.Time `json:"issued_at"`
	Start    time.Time `json:"start"` // of the session
	// RodHours are those really fished, which the expectation is held for.
	RodHours float64       `json:"rod_h"`
	Bites    int           `json:"bites"`
	Fish     Maybe[int]    `json:"fish"` // of the group; not known when not counted
	Basis    ForecastBasis `json:"basis"`
	// Forecast is the plan's own score, References those of simpler forecasts
	// made from what was known when the plan's month began.
	Forecast   CountScore            `json:"forecast"`
	References map[string]CountScore `json:"references"`
	// BlankProbability is what the plan gave for no fish in those hours.
	BlankProbability float64   `json:"blank_probability"`
	Matched          string    `json:"matched"` // how session and plan were brought together
	InputsDigest     string    `json:"inputs_digest"`
	ScoredAt         time.Time `json:"scored_at"`
	// FirstScoredAt stays when a corrected session is scored anew: by it the
	// session has its place in the public record.
	FirstScoredAt time.Time `json:"first_scored_at"`
	Demo          bool      `json:"demo"`
}

// CountScore is how one forecast of a count fared; the smaller a score the
// better.
type CountScore struct {
	// LogScore is not known where the forecast gave the count no chance at all:
	// it is infinite then.
	LogScore Maybe[float64] `json:"log_score"`
	CRPS     float64        `json:"crps"`
	DSS      float64        `json:"dss"`
	PITLow   float64        `json:"pit_low"`  // P(fewer bites)
	PITHigh  float64        `json:"pit_high"` // P(as many bites, or fewer)
	Cover50  bool           `json:"cover50"`
	Cover90  bool           `json:"cover90"`
	Mean     float64        `json:"mean"` // bites that were expected
}

// TrackRecord is how issued plans fared, the bad ones with the good. It tells no
// angler. The public one counts only sessions that may be told of (statistics
// pack 6), and Waiting says what it leaves out; that of the records' owner counts
// all.
type TrackRecord struct {
	AsOf  time.Time `json:"as_of"`
	Water string    `json:"water,omitempty"` // all waters where empty
	Group Group     `json:"group,omitempty"` // all groups where empty
	// Sessions are those that followed a plan and were recorded with their
	// bites: the scored ones.
	Sessions   int `json:"sessions_scored"`
	FishKnown  int `json:"sessions_fish_counted"`
	NoFish     int `json:"sessions_without_fish"`
	Impossible int `json:"sessions_given_no_chance"`
	// Figures are null below FewestFigures sessions.
	Figures       *TrackFigures `json:"figures"`
	FewestFigures int           `json:"figures_from_sessions"`
	Months        []TrackMonth  `json:"months"`
	Waiting       *TrackWaiting `json:"waiting"`  // null where nothing is left out
	Findings      []string      `json:"findings"` // what should worry a reader
	Notes         []string      `json:"notes"`
	Demo          bool          `json:"demo"`
}

// TrackFigures are the figures of many scored sessions. Scores are means, the
// smaller the better.
type TrackFigures struct {
	LogScore  Maybe[float64] `json:"log_score"` // not known where it is infinite
	CRPS      float64        `json:"crps"`
	Cover50   float64        `json:"cover50"` // share of counts inside the interval
	Cover90   float64        `json:"cover90"`
	PITP      float64        `json:"pit_p"` // that counts fall where forecasts say
	PITSeed   int            `json:"pit_seed"`
	MeanRatio Maybe[float64] `json:"mean_expected_over_observed"`
	Blanks    TrackBlanks    `json:"blanks"`
	Skill     []TrackSkill   `json:"skill"`
}

// TrackBlanks holds the sessions without fish against what was expected.
type TrackBlanks struct {
	Sessions int     `json:"sessions"` // of which fish were counted
	Observed int     `json:"observed"`
	Expected float64 `json:"expected"`
	Z        float64 `json:"z"`
	Missing  bool    `json:"missing"` // far fewer than expected: some may go unrecorded
}

// TrackSkill holds the plans against one simpler forecast of the same sessions.
type TrackSkill struct {
	Reference           string           `json:"reference"`
	Sessions            int              `json:"sessions"`
	ImpossibleModel     int              `json:"impossible_model"`
	ImpossibleReference int              `json:"impossible_reference"`
	LogScore            *TrackComparison `json:"log_score"` // null where a score is infinite
	CRPS                *TrackComparison `json:"crps"`
}

// TrackComparison is of one score. The interval is of the gain, the mean
// difference over the same sessions.
type TrackComparison struct {
	Model     float64 `json:"model"`
	Reference float64 `json:"reference"`
	Skill     float64 `json:"skill"` // 1 - model/reference
	Gain      float64 `json:"gain"`
	Low95     float64 `json:"low95"`
	High95    float64 `json:"high95"`
	Verdict   string  `json:"verdict"` // better, worse or cannot be told apart
}

// TrackWaiting are the scored sessions that a public track record does not tell
// of yet.
type TrackWaiting struct {
	Sessions string   `json:"sessions"` // as a band
	Why      []string `json:"why"`
}

// TrackMonth is one month, in UTC. In the public record it is the month by whose
// end its sessions had been scored and could be told of, those of quieter months
// before among them; in the owner's it is the month of their start.
type TrackMonth struct {
	Month    string         `json:"month"`
	Sessions int            `json:"sessions"`
	NoFish   int            `json:"sessions_without_fish"`
	Bites    int            `json:"bites"`          // that came, of all its sessions
	Expected *ExpectedBites `json:"bites_expected"` // by their plans; null where a plan is of before that was kept
	LogScore Maybe[float64] `json:"log_score"`      // these three where the month has sessions enough
	CRPS     Maybe[float64] `json:"crps"`
	Cover90  Maybe[float64] `json:"cover90"`
}

// ExpectedBites are what the plans of many sessions expected together, for the
// hours really fished. The interval is as wide as they allow: as if what they did
// not know had been wrong alike in all of them.
type ExpectedBites struct {
	Mean   float64 `json:"mean"`
	Low90  int     `json:"low90"`
	High90 int     `json:"high90"`
}
