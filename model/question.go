package model

import (
	"math"
	"time"
)

// Limits on what can be asked of a plan.
const (
	shortestHours = 0.5
	longestHours  = 24
	furthestAhead = 366 * 24 * time.Hour
)

// Validate refuses a question that no plan can answer, before anything is
// looked up.
func (q Question) Validate(now time.Time) error {
	if err := ValidateID("water", q.Water); err != nil {
		return err
	}
	if err := q.Group.Validate("group"); err != nil {
		return err
	}
	if q.Start.IsZero() {
		return Invalidf("start", "give a time with its offset, such as 2026-11-28T08:00:00Z", "no start was given")
	}
	if q.Start.After(now.Add(furthestAhead)) {
		return Invalidf("start", "give a start within a year from now", "%s lies too far ahead", q.Start.Format(time.RFC3339))
	}
	if math.IsNaN(q.Hours) || q.Hours < shortestHours || q.Hours > longestHours {
		return Invalidf("hours", "give the hours to fish, 0.5 to 24", "%v hours cannot be planned", q.Hours)
	}
	if q.Mode != "" && q.Mode != "match" && q.Mode != "pleasure" {
		return Invalidf("mode", "give match or pleasure", "%q is no mode", shorten(q.Mode))
	}
	return q.validateMeasures()
}

func (q Question) validateMeasures() error {
	if d := float64(q.BearingDeg.Or(0)); math.IsNaN(d) || d < 0 || d >= 360 {
		return Invalidf("cast_bearing_deg", "give degrees true from 0 up to but not including 360", "%v is no direction", d)
	}
	if err := Between("distance_m", float64(q.DistanceM.Or(25)), 1, 150, "m"); err != nil {
		return err
	}
	if err := Between("depth_m", float64(q.DepthM.Or(2)), 0.2, 60, "m"); err != nil {
		return err
	}
	return Between("rod_max_g", float64(q.RodMaxG.Or(60)), 5, 300, "g")
}

// End is the end of the hours asked for.
func (q Question) End() time.Time {
	return q.Start.Add(time.Duration(q.Hours * float64(time.Hour)))
}

// Plainly writes a question the one way, so that the same question in other
// words is the same question: the start by the clock at the water, and the mode
// that nobody named by its name.
func (q Question) Plainly(zone *time.Location) Question {
	q.Start = q.Start.In(zone)
	if q.Mode == "" {
		q.Mode = "pleasure"
	}
	return q
}
