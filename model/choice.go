package model

import "time"

// Choice holds the same outing at several waters and days against each other.
// Its options are not plans as issued: nothing is kept and nothing is scored.
// It gives no order but that of time.
type Choice struct {
	IssuedAt    time.Time          `json:"issued_at"`
	Question    ChoiceQuestion     `json:"question"`
	Fit         string             `json:"fit"`     // empty where every option is refused
	Summary     string             `json:"summary"` // which options cannot be told apart
	Options     []ChoiceOption     `json:"options"` // by start, and at one start as the waters were named
	Comparisons []ChoiceComparison `json:"comparisons"`
	Refused     []ChoiceRefusal    `json:"refused"` // in the order of the options
	Notes       []string           `json:"notes"`
	Credits     []string           `json:"credits,omitempty"` // what the feeds' licences ask to be said
	Deferral    string             `json:"deferral"`
	Demo        bool               `json:"demo"`
}

// ChoiceOption is one water on one day: what the plan for it would say, in
// short.
type ChoiceOption struct {
	Water      string          `json:"water"`
	WaterName  string          `json:"water_name"`
	Start      time.Time       `json:"start"` // by the clock at the water
	Hours      float64         `json:"hours"`
	Struck     bool            `json:"struck"`      // a caution strikes every hour out: no activity, and no comparison
	Cautions   []ChoiceCaution `json:"cautions"`    // of the levels stop and care
	CautionIDs []string        `json:"caution_ids"` // of every level, each once
	NotChecked []string        `json:"not_checked"` // identifiers of cautions that lack an input
	Feed       ChoiceFeed      `json:"feed"`
	Feeder     ChoiceFeeder    `json:"feeder"`
	Activity   *Activity       `json:"activity"` // null where struck
	WaterC     ChoiceWater     `json:"water_temp_c"`
	Weather    ChoiceWeather   `json:"weather"`
	Evidence   Evidence        `json:"evidence"`
	Confidence Confidence      `json:"confidence"`
	Plan       Question        `json:"plan"` // what to ask for the whole plan
}

// ChoiceCaution is a caution in short; the plan has its figures and source.
type ChoiceCaution struct {
	ID    string       `json:"id"`
	Level CautionLevel `json:"level"`
	Text  string       `json:"text"`
}

// ChoiceFeed is how much would be fed.
type ChoiceFeed struct {
	Level  string       `json:"level"`
	RateGH GramsPerHour `json:"rate_g_h"` // 0 where struck
}

// ChoiceFeeder is the feeder that would be tied on.
type ChoiceFeeder struct {
	Step       string      `json:"step"`
	CapacityMl Millilitres `json:"capacity_ml"`
}

// ChoiceWater is the water temperature where the feeder lies, the mean of the
// hours, with the mean ends of its 80 % interval.
type ChoiceWater struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// ChoiceWeather says what weather an option stands on.
type ChoiceWeather struct {
	Source       string         `json:"source"`
	Version      string         `json:"version"`
	AgeMin       Maybe[float64] `json:"age_min"`
	Stale        bool           `json:"stale"`
	MissingHours int            `json:"missing_hours"`
}

// ChoiceComparison holds one option against the one with the most bites
// expected, both named by water and start.
type ChoiceComparison struct {
	Water     string        `json:"water"`
	Start     time.Time     `json:"start"`
	Against   ChoiceOutline `json:"against"`
	RateRatio RatioRange    `json:"rate_ratio"` // of bites an hour
	ToldApart bool          `json:"told_apart"`
	Text      string        `json:"text"`
}

// ChoiceOutline names an option.
type ChoiceOutline struct {
	Water string    `json:"water"`
	Start time.Time `json:"start"`
}

// ChoiceRefusal is an option that nothing can be said about, and why.
type ChoiceRefusal struct {
	Water     string `json:"water"`
	WaterName string `json:"water_name"`
	Day       string `json:"day"` // such as 2026-11-28
	Field     string `json:"field"`
	Wrong     string `json:"wrong"`
	Right     string `json:"right"`
}
