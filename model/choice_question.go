package model

import (
	"slices"
	"time"
)

// ChoiceQuestion asks for the same outing at several waters on several days:
// which of my waters, which day. What it does not name is as in a Question.
type ChoiceQuestion struct {
	Waters     []string       `json:"waters"`
	From       string         `json:"from"` // the first day by the calendar at each water, such as 2026-11-28
	Days       int            `json:"days"`
	StartTime  string         `json:"start_time"` // by the clock at each water, such as 07:30; 09:00 when not given
	Hours      float64        `json:"hours"`
	Group      Group          `json:"group"`
	Angler     string         `json:"angler,omitempty"`
	Peg        string         `json:"peg,omitempty"`    // with one water only
	BearingDeg Maybe[Degrees] `json:"cast_bearing_deg"` // with one water only
	DistanceM  Maybe[Metres]  `json:"distance_m"`
	DepthM     Maybe[Metres]  `json:"depth_m"`
	RodMaxG    Maybe[Grams]   `json:"rod_max_g"`
	KnownWater Maybe[bool]    `json:"known_water"` // of all the waters
	Alone      bool           `json:"alone"`
	Keepnet    bool           `json:"keepnet"`
	Mode       string         `json:"mode"`
}

// Limits on what can be asked at once; our choice. Two weeks is as far as any
// forecast reaches.
const (
	mostChoiceWaters = 20
	mostChoiceDays   = 14
)

// usualStartTime is when an outing begins that nobody gave a time for: light
// enough in every month at the latitudes fished, and a common hour to be let in.
// Our choice.
const usualStartTime = "09:00"

// Validate refuses a question that cannot be answered for any water, before
// anything is looked up.
func (q ChoiceQuestion) Validate(now time.Time) error {
	if err := q.validateWaters(); err != nil {
		return err
	}
	if err := q.validateDays(now); err != nil {
		return err
	}
	// What the options share is checked as the plan's question would check it.
	shared := q.with(q.Waters[0], now)
	return shared.Validate(now)
}

func (q ChoiceQuestion) validateWaters() error {
	if len(q.Waters) == 0 || len(q.Waters) > mostChoiceWaters {
		return Invalidf("waters", "name 1 to 20 waters", "%d waters are named", len(q.Waters))
	}
	for i, id := range q.Waters {
		if err := ValidateID("waters", id); err != nil {
			return err
		}
		if slices.Contains(q.Waters[:i], id) {
			return Invalidf("waters", "name each water once", "%s is named twice", id)
		}
	}
	if len(q.Waters) == 1 {
		return nil
	}
	if q.Peg != "" {
		return Invalidf("peg", "leave it out, or name that water alone", "a peg belongs to one water, and %d are named", len(q.Waters))
	}
	if q.BearingDeg.Known {
		return Invalidf("cast_bearing_deg", "leave it out, or name that water alone", "a cast's bearing belongs to one water, and %d are named", len(q.Waters))
	}
	return nil
}

func (q ChoiceQuestion) validateDays(now time.Time) error {
	first, err := time.Parse(time.DateOnly, q.From)
	if err != nil {
		return Invalidf("from", "give the first day, such as 2026-11-28", "%q is no day", shorten(q.From))
	}
	if q.Days < 1 || q.Days > mostChoiceDays {
		return Invalidf("days", "give 1 to 14", "%d days cannot be compared", q.Days)
	}
	const furthestZones = 26 * time.Hour // a day begins and ends this long apart about the world
	if end := first.AddDate(0, 0, q.Days).Add(furthestZones); end.Before(now) {
		return Invalidf("from", "give days from today on", "the days from %s are past", q.From)
	}
	if first.AddDate(0, 0, q.Days).After(now.Add(furthestAhead)) {
		return Invalidf("from", "give days within a year from now", "%s lies too far ahead", q.From)
	}
	if _, err := time.Parse("15:04", q.Plainly().StartTime); err != nil {
		return Invalidf("start_time", "give the time of day by the clock at the water, such as 07:30", "%q is no time of day", shorten(q.StartTime))
	}
	return nil
}

// Plainly writes out what was left to the usual.
func (q ChoiceQuestion) Plainly() ChoiceQuestion {
	if q.StartTime == "" {
		q.StartTime = usualStartTime
	}
	if q.Mode == "" {
		q.Mode = "pleasure"
	}
	return q
}

// Day is one of the days asked about, counted from 0, such as 2026-11-28.
func (q ChoiceQuestion) Day(day int) string {
	first, err := time.Parse(time.DateOnly, q.From)
	if err != nil { // Validate refuses it
		return q.From
	}
	return first.AddDate(0, 0, day).Format(time.DateOnly)
}

// At is the question of one option: a water on one of the days, counted from 0.
// A start that the clocks there never show on that day, or show twice, is
// refused.
func (q ChoiceQuestion) At(w Water, day int) (Question, error) {
	zone, err := w.Location()
	if err != nil {
		return Question{}, err
	}
	start, err := ParseTime("start_time", q.Day(day)+" "+q.Plainly().StartTime, zone)
	if err != nil {
		return Question{}, err
	}
	return q.with(w.ID, start).Plainly(zone), nil
}

// with is the question for a water and a start.
func (q ChoiceQuestion) with(water string, start time.Time) Question {
	return Question{
		Water: water, Start: start, Hours: q.Hours, Group: q.Group, Angler: q.Angler, Peg: q.Peg,
		BearingDeg: q.BearingDeg, DistanceM: q.DistanceM, DepthM: q.DepthM, RodMaxG: q.RodMaxG,
		KnownWater: q.KnownWater, Alone: q.Alone, Keepnet: q.Keepnet, Mode: q.Mode,
	}
}
