package model

import "time"

// Outlook is what a club tells of its waters for some days: built by the
// schedule, edited and published by an officer, never changed once published.
// What is wrong in it is put right by another that supersedes it.
type Outlook struct {
	// These four are told beside an outlook when it is read, and are no part of it
	// as it is kept.
	SupersededBy   string         `json:"superseded_by,omitempty"`   // of a published one: the outlook that followed it
	SincePublished []OutlookSince `json:"since_published,omitempty"` // what clubs decided about its hours since
	NewerDraft     string         `json:"newer_draft,omitempty"`     // of a draft: one built since, with newer figures
	Scores         []OutlookScore `json:"scores,omitempty"`          // of a published one: how its days fared

	ID       string          `json:"outlook_id"`
	Club     string          `json:"club"`
	ClubName string          `json:"club_name"`
	Zone     string          `json:"zone"`
	State    OutlookState    `json:"state"`
	From     string          `json:"from"` // first day, 2026-11-28, by the club's zone
	Days     int             `json:"days"`
	BuiltAt  time.Time       `json:"built_at"`
	Fit      string          `json:"fit"` // the public fit it stands on
	Waters   []OutlookWater  `json:"waters"`
	Note     string          `json:"note,omitempty"` // the club's own words, for all waters
	Edits    []OutlookEdit   `json:"edits,omitempty"`
	Publish  *OutlookPublish `json:"published"` // null while it is a draft
	Follows  string          `json:"supersedes,omitempty"`
	Notes    []string        `json:"notes"` // how its figures are to be read, and which are rounded
	Credits  []string        `json:"credits,omitempty"`
	Deferral string          `json:"deferral"`
	Demo     bool            `json:"demo"`
}

// OutlookState says whether an outlook may still change.
type OutlookState string

// The states. One that was superseded stays as it was published: what followed
// it is told beside it, never in it.
const (
	OutlookDraft     OutlookState = "draft"
	OutlookPublished OutlookState = "published"
)

// Validate refuses what is no state; an empty one is both.
func (s OutlookState) Validate() error {
	if s == "" || s == OutlookDraft || s == OutlookPublished {
		return nil
	}
	return Invalidf("state", "give draft or published, or leave it out", "%q is no state of an outlook", shorten(string(s)))
}

// OutlookPublish is who published an outlook, and when.
type OutlookPublish struct {
	At time.Time `json:"at"`
	By string    `json:"by"` // a role or a handle, never a real name
}

// OutlookEdit is one change that an officer made to a draft.
type OutlookEdit struct {
	At   time.Time `json:"at"`
	By   string    `json:"by"`
	What string    `json:"what"`
}

// OutlookSince is one restriction that an outlook does not say: made since, or
// lifted since.
type OutlookSince struct {
	Water       string      `json:"water"`
	WaterName   string      `json:"water_name"`
	Restriction Restriction `json:"restriction"`
	Text        string      `json:"text"`
}

// OutlookWater is one water of an outlook.
type OutlookWater struct {
	Water        string        `json:"water"`
	Name         string        `json:"name"`
	Zone         string        `json:"zone"`
	Restrictions []Restriction `json:"restrictions"` // in force in any part of the days, when it was built or last edited
	Days         []OutlookDay  `json:"days"`
	Note         string        `json:"note,omitempty"` // the club's own words, for this water
}

// OutlookDay is one water on one day: one paragraph and one table.
type OutlookDay struct {
	Date       string            `json:"date"` // by the water's zone
	From       time.Time         `json:"from"` // of the hours it is about: the light of that day that was still to come
	Until      time.Time         `json:"until"`
	Closed     bool              `json:"closed"`    // by a club, for all of those hours
	Struck     bool              `json:"struck"`    // no hour may be fished: closed, or a caution of level stop
	Paragraph  string            `json:"paragraph"` // closures and cautions, conditions, activity, in sentences
	Conditions OutlookConditions `json:"conditions"`
	Groups     []OutlookGroup    `json:"groups"` // those present in the water; none where no hour may be fished
	Cautions   []Caution         `json:"cautions"`
	Confidence Confidence        `json:"confidence"` // of level none where nothing is expected
	Weather    string            `json:"weather_version"`
}

// OutlookConditions sums up the weather of the day's hours.
type OutlookConditions struct {
	AirLowC        Maybe[Celsius]         `json:"air_temp_low_c"`
	AirHighC       Maybe[Celsius]         `json:"air_temp_high_c"`
	FeelsLikeLowC  Maybe[Celsius]         `json:"feels_like_low_c"`
	WindMps        Maybe[MetresPerSecond] `json:"wind_mps"` // strongest hourly mean
	GustMps        Maybe[MetresPerSecond] `json:"gust_mps"`
	RainMm         Maybe[Millimetres]     `json:"rain_mm"`             // over the hours
	PressureHPa    Maybe[Hectopascals]    `json:"pressure_hpa"`        // in the middle of the hours
	PressureChange Maybe[Hectopascals]    `json:"pressure_change_hpa"` // from the first hour to the last
	PressureText   string                 `json:"pressure_text"`
	WaterC         WaterEstimate          `json:"water_temp_c"` // in the middle of the hours
	MissingHours   int                    `json:"missing_hours"`
}

// OutlookGroup is what to feed for one group, and what to expect. Everything in
// it but the hours compared is for one session in the middle of the longest open
// stretch of the day, by somebody who is not known: it stands on the water's
// public fit. Activity is null only where a closure made since the outlook was
// published has withdrawn it.
type OutlookGroup struct {
	Group         Group            `json:"group"`
	From          time.Time        `json:"from"` // of that session
	Hours         float64          `json:"hours"`
	Level         string           `json:"level"`
	RateGH        GramsPerHour     `json:"rate_g_h"`
	FeederType    string           `json:"feeder_type"`
	FeederStep    string           `json:"feeder_step"`
	CapacityMl    Millilitres      `json:"capacity_ml"`
	WeightG       Maybe[Grams]     `json:"weight_g"`
	Activity      *OutlookActivity `json:"activity"`
	HoursCompared []HourRate       `json:"hours_compared"` // of the day, in clock order, rates rounded as in activity
	HoursText     string           `json:"hours_text"`
	Evidence      string           `json:"evidence"` // others' sessions as a band
}

// OutlookActivity is what to expect of the session, rounded for publication:
// rates to half a bite an hour and the ends of their intervals outward, so that
// an interval is never told narrower than it is; chances to one in twenty. The
// word for the activity stands in the sentence and nowhere else.
type OutlookActivity struct {
	BitesPerH        RateRange  `json:"bites_per_h"`
	Bites            CountRange `json:"bites"` // the count over the session's open hours
	Fish             FishRange  `json:"fish"`
	BlankProbability float64    `json:"blank_probability"` // no fish
	HoursCounted     float64    `json:"hours_counted"`
	Sentence         string     `json:"sentence"`
}
