package model

import "time"

// Question is what is asked of a plan.
type Question struct {
	Water      string         `json:"water"`
	Start      time.Time      `json:"start"`
	Hours      float64        `json:"hours"`
	Group      Group          `json:"group"`
	Angler     string         `json:"angler,omitempty"`
	Peg        string         `json:"peg,omitempty"`
	BearingDeg Maybe[Degrees] `json:"cast_bearing_deg"`
	DistanceM  Maybe[Metres]  `json:"distance_m"` // 25 m when not given
	DepthM     Maybe[Metres]  `json:"depth_m"`    // the water's mean depth when not given
	RodMaxG    Maybe[Grams]   `json:"rod_max_g"`
	KnownWater Maybe[bool]    `json:"known_water"` // from the records when not given
	Alone      bool           `json:"alone"`
	Keepnet    bool           `json:"keepnet"`
	Mode       string         `json:"mode"` // match or pleasure
	Try        bool           `json:"try"`  // a feed level drawn at random among those tried often enough
}

// Plan is what an angler reads before leaving home.
type Plan struct {
	// SinceIssued is what clubs decided about the hours since the plan was issued.
	// It is no part of the plan as it is kept: it is added when one is read again.
	SinceIssued []Caution `json:"since_issued,omitempty"`

	ID            string          `json:"plan_id"`
	IssuedAt      time.Time       `json:"issued_at"`
	Question      Question        `json:"question"`
	Water         string          `json:"water"`
	WaterName     string          `json:"water_name"`
	Group         Group           `json:"group"`
	Start         time.Time       `json:"start"`
	Hours         float64         `json:"hours"`
	Fit           string          `json:"fit"`
	Weather       PlanWeather     `json:"weather"`
	Conditions    []ConditionHour `json:"conditions"`
	Cautions      []Caution       `json:"cautions"`
	Feed          FeedPlan        `json:"feed"`
	Feeder        FeederPlan      `json:"feeder"`
	Rhythm        RhythmPlan      `json:"rhythm"`
	HookLengthCm  Span            `json:"hook_length_cm"`
	Bait          BaitPlan        `json:"bait"`
	Tackle        TacklePlan      `json:"tackle"`
	PatienceMin   Span            `json:"patience_min"`
	Take          []string        `json:"take"`
	Activity      *Activity       `json:"activity"`       // null when every hour is struck out
	HoursCompared []HourRate      `json:"hours_compared"` // in clock order
	HoursText     string          `json:"hours_text"`     // which hour stands out, if any does
	Reasons       []Reason        `json:"reasons"`
	Evidence      Evidence        `json:"evidence"`
	Confidence    Confidence      `json:"confidence"`
	Alternatives  []Alternative   `json:"alternatives"`
	WouldChange   []string        `json:"would_change"`
	Notes         []string        `json:"notes"`
	Deferral      string          `json:"deferral"`
	Demo          bool            `json:"demo"`
}

// Span is a range.
type Span struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// PlanWeather says what weather the plan stands on.
type PlanWeather struct {
	Source       string                `json:"source"`
	Version      string                `json:"version"`
	AgeMin       Maybe[float64]        `json:"age_min"`
	Stale        bool                  `json:"stale"`
	MissingHours int                   `json:"missing_hours"`
	Provenance   map[string]Provenance `json:"provenance"` // by variable, for the first hour
	Credits      []string              `json:"credits,omitempty"`
}

// FeedPlan is how much to feed and how to begin.
type FeedPlan struct {
	Level          string       `json:"level"`
	RateGH         GramsPerHour `json:"rate_g_h"`
	WishedRateGH   GramsPerHour `json:"wished_rate_g_h"` // before the feeder and the rhythm bound it
	OpeningFills   int          `json:"opening_fills"`
	OpeningG       Grams        `json:"opening_g"`
	OpeningRelease string       `json:"opening_release"`
	TotalDampG     Grams        `json:"total_damp_g"`
	TotalDryG      Grams        `json:"total_dry_g"`
	MixDryG        Grams        `json:"mix_dry_g"`     // to take and mix, at most
	Cap            string       `json:"cap,omitempty"` // the caution that capped it
	Choice         FeedChoice   `json:"choice"`
}

// FeedChoice says how the rate was chosen and what speaks for it.
type FeedChoice struct {
	Basis string `json:"basis"` // trade, records or trial
	Text  string `json:"text"`
	// Against is the rate the plan's is held against: the angler's usual one, or
	// the trade's where that is not known.
	AgainstGH    Maybe[GramsPerHour] `json:"against_g_h"`
	AgainstUsual bool                `json:"against_usual"`
	// RateRatio is of bites at the plan's rate over those at the other.
	RateRatio       *RatioRange    `json:"rate_ratio"`
	ProbabilityMore Maybe[float64] `json:"probability_more"`
	// EValue is how strong an unrecorded cause of both feed and bites would have
	// to be to explain the ratio away, and EValueOfBound the end of its interval
	// nearer 1.
	EValue        Maybe[float64] `json:"e_value"`
	EValueOfBound Maybe[float64] `json:"e_value_of_bound"`
	Sessions      string         `json:"sessions"` // with their feed planned before the first cast, as a band
	// CostOver is what a g/h too much is taken to cost against one too little.
	CostOver  float64    `json:"cost_over"`
	CostUnder float64    `json:"cost_under"`
	Trial     *FeedTrial `json:"trial"` // where a suggestion to try was asked for
}

// FeedTrial is a level drawn at random among those that are tried often enough,
// logged so that what comes of it can be compared (statistics pack 2.6).
type FeedTrial struct {
	Drawn           bool      `json:"drawn"`
	Why             string    `json:"why,omitempty"` // why nothing was drawn
	RateGH          float64   `json:"rate_g_h,omitempty"`
	Probability     float64   `json:"probability,omitempty"` // with which it was drawn
	Arms            []FeedArm `json:"arms"`
	TemperatureBand string    `json:"temperature_band,omitempty"`
	Seed            string    `json:"seed,omitempty"` // 16 hex digits
}

// FeedArm is one level of a trial.
type FeedArm struct {
	HalfSteps   int     `json:"half_steps"` // from the usual level
	RateGH      float64 `json:"rate_g_h"`
	Probability float64 `json:"probability"`
}

// FeederPlan is what to tie on.
type FeederPlan struct {
	Type        string        `json:"type"`
	Step        string        `json:"step"`
	CapacityMl  Millilitres   `json:"capacity_ml"`
	FillFactor  float64       `json:"fill_factor"`
	WeightG     Maybe[Grams]  `json:"weight_g"`      // null where there is no safe cast
	LoadedMassG Maybe[Grams]  `json:"loaded_mass_g"` // feeder and fill
	NoSafeCast  bool          `json:"no_safe_cast"`
	LongestM    Maybe[Metres] `json:"longest_safe_m"` // where there is no safe cast at the distance asked
}

// RhythmPlan is the pace of casting.
type RhythmPlan struct {
	SoakMin   float64 `json:"soak_min"`
	SoakRange Span    `json:"soak_range_min"`
	RecastMin float64 `json:"recast_interval_min"`
	FillsPerH float64 `json:"fills_per_h"`
	Basis     string  `json:"basis"`
}

// BaitPlan is what to feed and what to put on the hook.
type BaitPlan struct {
	Groundbait     string   `json:"groundbait"`
	ParticlesShare Span     `json:"particles_share"`
	HookBaits      []string `json:"hook_baits"`
}

// TacklePlan is the rod and the line.
type TacklePlan struct {
	RodLengthM Span   `json:"rod_length_m"`
	RodRatingG Span   `json:"rod_rating_g"`
	TipOz      Span   `json:"tip_oz"`
	MainLineLb Span   `json:"main_line_lb"`
	LineText   string `json:"line_text"`
	HookLinkLb Span   `json:"hook_link_lb"`
	HookSizes  string `json:"hook_sizes"`
}

// Activity is what to expect, from the model.
type Activity struct {
	BitesPerH         RateRange  `json:"bites_per_h"` // the rate
	Bites             CountRange `json:"bites"`       // the count over the hours that are not struck out
	Fish              FishRange  `json:"fish"`
	BlankProbability  float64    `json:"blank_probability"` // no fish
	NoBiteProbability float64    `json:"no_bite_probability"`
	Step              string     `json:"step"`
	HoursCounted      float64    `json:"hours_counted"`
	Sentence          string     `json:"sentence"`
	// Basis is what these figures are computed from, kept so that the plan can be
	// scored for whatever length the session had.
	Basis ForecastBasis `json:"basis"`
}

// ForecastBasis is the log rate of bites, normal, the spread of a session's own
// luck, and the logit of the share landed.
type ForecastBasis struct {
	LogRateMean         float64 `json:"log_rate_mean"`
	LogRateVariance     float64 `json:"log_rate_variance"`
	Alpha               float64 `json:"alpha"`
	LandedLogitMean     float64 `json:"landed_logit_mean"`
	LandedLogitVariance float64 `json:"landed_logit_variance"`
}

// RateRange is a rate with its intervals.
type RateRange struct {
	Mean   float64 `json:"mean"`   // above the median, since a few sessions are very good
	Median float64 `json:"median"` // as many such sessions below it as above; the step goes by it
	Low50  float64 `json:"low50"`
	High50 float64 `json:"high50"`
	Low90  float64 `json:"low90"`
	High90 float64 `json:"high90"`
}

// CountRange is the intervals of a count.
type CountRange struct {
	Low50  int `json:"low50"`
	High50 int `json:"high50"`
	Low90  int `json:"low90"`
	High90 int `json:"high90"`
}

// FishRange is fish landed.
type FishRange struct {
	Mean   float64 `json:"mean"`
	Low90  int     `json:"low90"`
	High90 int     `json:"high90"`
}

// HourRate is one hour's expected rate.
type HourRate struct {
	At        time.Time  `json:"at"`
	Struck    bool       `json:"struck"` // a caution of level stop: no activity is shown
	BitesPerH *RateRange `json:"bites_per_h"`
}

// Reason is one driver's share of the log rate.
type Reason struct {
	Factor        string         `json:"factor"`
	Value         Maybe[float64] `json:"value"`
	Unit          string         `json:"unit,omitempty"`
	EffectLogRate float64        `json:"effect_log_rate"`
	Text          string         `json:"text"`
}

// Evidence says what records stand behind the plan.
type Evidence struct {
	Sessions EvidenceCount `json:"sessions"`
	Similar  EvidenceCount `json:"similar_sessions"` // here, in water like this
	Anglers  string        `json:"anglers"`          // other than the asker, as a band
	Basis    string        `json:"basis"`            // records, prior or both
	Text     string        `json:"text"`
}

// EvidenceCount tells the asker's own sessions exactly and other people's as a
// band, so that no plan tells what one of them did.
type EvidenceCount struct {
	Own    int    `json:"own"`
	Others string `json:"others"`
}

// Confidence says in words how far to trust the plan and what lowers it.
type Confidence struct {
	Level   string   `json:"level"` // usual, lowered or low
	Because []string `json:"because"`
}

// Alternative is another choice that was weighed.
type Alternative struct {
	Text      string              `json:"text"`
	Level     string              `json:"level,omitempty"`
	RateGH    Maybe[GramsPerHour] `json:"rate_g_h"`
	RateRatio *RatioRange         `json:"rate_ratio"` // of bites, against the plan
	EValue    Maybe[float64]      `json:"e_value"`    // as in FeedChoice
}

// RatioRange is a ratio with its 90 % interval.
type RatioRange struct {
	Mean   float64 `json:"mean"`
	Low90  float64 `json:"low90"`
	High90 float64 `json:"high90"`
}
