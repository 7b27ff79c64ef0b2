package model

import (
	"encoding/json"
	"time"
)

// Style says how a session was written down, and so what may be learnt from it.
type Style string

// The three styles of record.
const (
	FullLog Style = "full_log" // every cast
	Hourly  Style = "hourly"   // a tally by the hour
	Summary Style = "summary"  // totals at the end of the day
)

// Session is what an angler did and what came of it. Exposure is rod-hours
// fished. A blank is a record.
type Session struct {
	ID        string           `json:"id"`
	Water     string           `json:"water"`
	Angler    string           `json:"angler"` // a handle
	Group     Group            `json:"group"`
	Style     Style            `json:"style"`
	Start     time.Time        `json:"start"` // first baited cast, with its offset
	End       time.Time        `json:"end"`   // last wind-in, with its offset
	BreaksMin float64          `json:"breaks_min"`
	Rods      int              `json:"rods"`
	WrittenAt Maybe[time.Time] `json:"written_at"`
	Peg       string           `json:"peg,omitempty"`

	Bites     Maybe[int]    `json:"bites"`                // true bites
	BitesText string        `json:"bites_text,omitempty"` // words in place of a count, kept as they came
	LineBites Maybe[int]    `json:"line_bites"`           // contact with the line only: never bites
	Fish      map[Group]int `json:"fish"`                 // landed; null when not counted
	Blank     bool          `json:"blank"`                // no fish, said outright
	Weight    Maybe[Weight] `json:"weight"`

	Planned      PlannedFeed         `json:"planned_feed"`
	FeedUsed     FeedUsed            `json:"feed_used"`
	Feeder       FeederUsed          `json:"feeder"`
	Opening      Opening             `json:"opening"`
	RecastMin    Maybe[float64]      `json:"recast_interval_min"`
	CastCount    Maybe[int]          `json:"cast_count"`
	DistanceM    Maybe[Metres]       `json:"clip_distance_m"`
	DepthM       Maybe[Metres]       `json:"depth_m"`
	Groundbait   string              `json:"groundbait,omitempty"`
	Particles    string              `json:"particles,omitempty"`
	HookBait     string              `json:"hook_bait,omitempty"`
	HookLengthCm Maybe[float64]      `json:"hook_length_cm"`
	WaterTemp    Maybe[WaterReading] `json:"water_temp"`
	WaterColour  Colour              `json:"water_colour,omitempty"`
	Ripple       string              `json:"ripple,omitempty"`
	WindFelt     string              `json:"wind_felt,omitempty"`
	Neighbours   string              `json:"neighbours,omitempty"`
	PlanID       string              `json:"plan_id,omitempty"` // the plan that was followed
	Notes        string              `json:"notes,omitempty"`   // never read into numbers

	Intervals []Interval `json:"intervals,omitempty"` // hourly style
	Casts     []Cast     `json:"casts,omitempty"`     // full style

	// SharedWith names the clubs whose officers may read it. It is the angler's to
	// say, and no part of what makes the session one and the same.
	SharedWith []string  `json:"shared_with,omitempty"`
	Queries    []Query   `json:"queries,omitempty"` // doubts raised when it was entered
	EnteredAt  time.Time `json:"entered_at"`
	Demo       bool      `json:"demo"`
}

// Weight is what the fish weighed together.
type Weight struct {
	G   Grams  `json:"g"`
	How string `json:"how"` // weighed or estimated
}

// PlannedFeed is the feed decided before the first cast: the only feed figure
// the activity model may read.
type PlannedFeed struct {
	RateGH    Maybe[GramsPerHour] `json:"rate_g_h"`
	Level     string              `json:"level,omitempty"`
	DecidedAt Maybe[time.Time]    `json:"decided_at"`
}

// FeedUsed is what was really fed, by one of two routes. Bites cause it, so no
// forecast reads it.
type FeedUsed struct {
	MixedDryG Maybe[Grams] `json:"mixed_dry_g"`
	LeftDryG  Maybe[Grams] `json:"left_dry_g"`
	Fills     Maybe[int]   `json:"fills"`
}

// FeederUsed is the feeder on the line.
type FeederUsed struct {
	Type       string             `json:"type,omitempty"`
	CapacityMl Maybe[Millilitres] `json:"capacity_ml"`
	WeightG    Maybe[Grams]       `json:"weight_g"`
}

// Opening is the feed put in before fishing.
type Opening struct {
	Fills   Maybe[int] `json:"fills"`
	Release string     `json:"release,omitempty"` // surface or bottom
}

// WaterReading is a thermometer reading in the water.
type WaterReading struct {
	C          Celsius          `json:"c"`
	DepthM     Maybe[Metres]    `json:"depth_m"`
	At         Maybe[time.Time] `json:"at"`
	Instrument bool             `json:"instrument"` // a thermometer, not a guess
}

// Interval is one hour, or part of one, of an hourly tally.
type Interval struct {
	Start     time.Time           `json:"start"`
	End       time.Time           `json:"end"`
	Casts     Maybe[int]          `json:"casts"`
	Bites     Maybe[int]          `json:"bites"`
	LineBites Maybe[int]          `json:"line_bites"`
	Fish      Maybe[int]          `json:"fish"`
	Level     string              `json:"level,omitempty"` // at the start of the interval
	RateGH    Maybe[GramsPerHour] `json:"rate_g_h"`        // at the start of the interval
}

// Outcome is how one cast ended.
type Outcome string

// The ways a cast can end.
const (
	NoBite     Outcome = "none"
	LineBite   Outcome = "line_bite"
	MissedBite Outcome = "missed_bite"
	FishLanded Outcome = "fish"
	FishLost   Outcome = "lost"
)

// TrueBite says whether the outcome was a taken hook bait.
func (o Outcome) TrueBite() bool { return o == MissedBite || o == FishLanded || o == FishLost }

// Cast is one cast of a full log.
type Cast struct {
	In      time.Time      `json:"in"`  // the feeder settled
	Out     time.Time      `json:"out"` // wound in
	FillG   Maybe[Grams]   `json:"fill_g"`
	Outcome Outcome        `json:"outcome"`
	BiteMin Maybe[float64] `json:"bite_min"` // minutes from settled to the first true bite
	Group   Group          `json:"group,omitempty"`
	FishG   Maybe[Grams]   `json:"fish_g"`
}

// Query is a doubt about one field of a record: what looks wrong and what was
// done about it. The record is kept; the field, or the record, is kept out of
// fits where Excludes says so.
type Query struct {
	Field    string `json:"field"`
	Text     string `json:"text"`
	Excludes string `json:"excludes,omitempty"` // "field", "session" or nothing
}

// HoursFished is the time between first cast and last wind-in less the breaks,
// in hours, for one rod.
func (s Session) HoursFished() float64 {
	return s.End.Sub(s.Start).Hours() - s.BreaksMin/60
}

// RodHours is the exposure: hours fished times rods.
func (s Session) RodHours() float64 { return s.HoursFished() * float64(max(1, s.Rods)) }

// Excluded says whether a query keeps the whole session, or the named field,
// out of fits.
func (s Session) Excluded(field string) bool {
	for _, q := range s.Queries {
		if q.Excludes == "session" || q.Excludes == "field" && q.Field == field {
			return true
		}
	}
	return false
}

// LagH is how long after the session it was written down, in hours; not known
// when nobody said.
func (s Session) LagH() Maybe[float64] {
	if !s.WrittenAt.Known {
		return Maybe[float64]{}
	}
	return Known(s.WrittenAt.Value.Sub(s.End).Hours())
}

// JoinedSession is a session with the conditions that ruled it, frozen with
// the weather version that made it, and with those that were foreseen before its
// first cast. Values not known stay missing; a count that is in doubt is not
// known.
type JoinedSession struct {
	Session      string           `json:"session"`
	Water        string           `json:"water"`
	Peg          string           `json:"peg,omitempty"`
	Angler       string           `json:"angler"`
	Group        Group            `json:"group"`
	Start        time.Time        `json:"start"`
	End          time.Time        `json:"end"`
	EnteredAt    time.Time        `json:"entered_at"`
	Weight       float64          `json:"weight"` // in a fit, by how late it was written
	Bites        Maybe[int]       `json:"bites"`
	Fish         Maybe[int]       `json:"fish"`
	RodHours     float64          `json:"rod_hours"`
	Use          bool             `json:"use"`                // whether fits read it
	Why          string           `json:"why,omitempty"`      // why not, where not
	Weather      string           `json:"weather"`            // its version, or "no weather"
	Readings     string           `json:"readings,omitempty"` // names the angler's own readings that the water rests on
	InputsDigest string           `json:"inputs_digest"`      // of the session and the weather that made it
	Drivers      Drivers          `json:"drivers"`
	Intervals    []JoinedInterval `json:"intervals,omitempty"` // none where only the whole is known
	JoinedAt     time.Time        `json:"joined_at"`

	// Basis says which weather fits read. Foreseen is that known before the first
	// cast: reports up to then, and for what was to come the forecast of then.
	// Once made it stays, for as long as record and water, which ForeseenFrom
	// names, stay what they are.
	Basis           WeatherBasis `json:"basis"`
	Foreseen        *Drivers     `json:"foreseen,omitempty"`
	ForeseenWeather string       `json:"foreseen_weather,omitempty"` // its version
	ForeseenFrom    string       `json:"foreseen_from"`
}

// WeatherBasis says which weather a fit reads of a session.
type WeatherBasis string

// The bases. As observed is for sessions of times of which no forecast was kept.
const (
	AsForecast WeatherBasis = "as_forecast"
	AsObserved WeatherBasis = "as_observed"
)

// Regressors are what fits read of the session.
func (j JoinedSession) Regressors() Drivers { return foreseenOr(j.Foreseen, j.Drivers) }

func foreseenOr(foreseen *Drivers, observed Drivers) Drivers {
	if foreseen != nil {
		return *foreseen
	}
	return observed
}

// JoinedInterval is an hour or part of one of a joined session, with the
// conditions that ruled it. The bites and rod-hours of the intervals of a
// session add up to its own.
type JoinedInterval struct {
	Start    time.Time  `json:"start"`
	End      time.Time  `json:"end"`
	Bites    Maybe[int] `json:"bites"`
	Fish     Maybe[int] `json:"fish"`
	RodHours float64    `json:"rod_hours"`
	Drivers  Drivers    `json:"drivers"`
	Foreseen *Drivers   `json:"foreseen,omitempty"` // as of its session
}

// Regressors are what fits read of the interval.
func (j JoinedInterval) Regressors() Drivers { return foreseenOr(j.Foreseen, j.Drivers) }

// Drivers are figures that the regression may read, averaged over the hours
// fished where they vary: none of them follows the bites.
type Drivers struct {
	WaterC         Maybe[Celsius]         `json:"water_temp_c"`
	Warming48hC    Maybe[Celsius]         `json:"water_warming_48h_c"`
	WindMps        Maybe[MetresPerSecond] `json:"wind_mps"`
	CloudFraction  Maybe[float64]         `json:"cloud_fraction"`
	RainMm         Maybe[Millimetres]     `json:"rain_mm"`
	Pressure3hHPa  Maybe[Hectopascals]    `json:"pressure_change_3h_hpa"`
	Pressure24hHPa Maybe[Hectopascals]    `json:"pressure_change_24h_hpa"`
	DayOfYear      float64                `json:"day_of_year"`
	MidHour        float64                `json:"mid_hour_h"` // local, middle of the hours fished
	LowLightShare  Maybe[float64]         `json:"low_light_share"`
	PegEffortH     Maybe[float64]         `json:"peg_effort_7d_rod_h"`
	PlannedGH      Maybe[GramsPerHour]    `json:"planned_rate_g_h"`
	StartingGH     Maybe[GramsPerHour]    `json:"starting_rate_g_h"` // the trade's, at that water temperature
	CapacityMl     Maybe[Millilitres]     `json:"feeder_capacity_ml"`
	ChoiceMl       Maybe[Millilitres]     `json:"choice_capacity_ml"` // the trade's choice for the planned rate
}

// FitRecord is a fit as stored: immutable, named by the digest of what made it.
// The body is the numerical fit of each group.
type FitRecord struct {
	ID string `json:"id"`
	// Angler is whose own fit it is, and Public the fit that it adds to; both are
	// empty for a public fit.
	Angler string           `json:"angler,omitempty"`
	Public string           `json:"public,omitempty"`
	MadeAt time.Time        `json:"made_at"`
	CutOff Maybe[time.Time] `json:"cut_off"` // the latest session it read
	// RenewedAt is when its spread was last renewed, RenewedSessions how many
	// sessions there were.
	RenewedAt       time.Time       `json:"renewed_at"`
	RenewedSessions int             `json:"renewed_sessions"`
	Sessions        int             `json:"sessions"`
	AsForecast      int             `json:"sessions_as_forecast"` // of them, by the weather as forecast then
	Anglers         int             `json:"anglers"`
	Admitted        []string        `json:"admitted,omitempty"` // the sessions a public fit read
	Data            string          `json:"data"`               // digest of the sessions read
	Records         string          `json:"records"`            // of their records alone, whatever the weather
	Converged       bool            `json:"converged"`
	Body            json.RawMessage `json:"body"`
}
