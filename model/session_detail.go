package model

import (
	"fmt"
	"time"
)

// longestInterval is one clock hour: a longer one would be a summary written
// as a tally.
const longestInterval = time.Hour

// validateStyle sees to it that a record holds what its style promises and
// nothing that belongs to another.
func (s Session) validateStyle() error {
	for _, d := range []struct {
		field string
		n     int
		owner Style
	}{
		{"intervals", len(s.Intervals), Hourly},
		{"casts", len(s.Casts), FullLog},
	} {
		switch {
		case s.Style == d.owner && d.n == 0:
			return Invalidf(d.field, fmt.Sprintf("give the %s, or call the session a summary", d.field), "a session of style %s needs them, and there are none", s.Style)
		case s.Style != d.owner && d.n > 0:
			return Invalidf(d.field, fmt.Sprintf("leave them out, or give the style %s", d.owner), "a session of style %s cannot have %s", s.Style, d.field)
		case d.n > mostCount:
			return Invalidf(d.field, "give at most 5000 in a session", "there are %d", d.n)
		}
	}
	if err := s.validateIntervals(); err != nil {
		return err
	}
	if err := s.validateCasts(); err != nil {
		return err
	}
	_, err := s.withTotals()
	return err
}

func (s Session) validateIntervals() error {
	for i, v := range s.Intervals {
		at := fmt.Sprintf("intervals[%d]", i)
		if err := s.validateInside(at+".start", at+".end", v.Start, v.End); err != nil {
			return err
		}
		if v.End.Sub(v.Start) > longestInterval {
			return Invalidf(at+".end", "give one interval for each hour or part of one", "the interval lasts %.0f min", v.End.Sub(v.Start).Minutes())
		}
		if i > 0 && v.Start.Before(s.Intervals[i-1].End) {
			return Invalidf(at+".start", "give the hours in order, each once", "it starts before the interval before it ends")
		}
		for _, c := range []struct {
			field string
			n     Maybe[int]
		}{{".casts", v.Casts}, {".bites", v.Bites}, {".line_bites", v.LineBites}, {".fish", v.Fish}} {
			if err := validateCount(at+c.field, c.n); err != nil {
				return err
			}
		}
		if err := Between(at+".rate_g_h", float64(v.RateGH.Or(0)), 0, 5000, "g/h"); err != nil {
			return err
		}
		if err := oneOfOrEmpty(at+".level", v.Level, feedLevels); err != nil {
			return err
		}
	}
	return nil
}

func (s Session) validateInside(startField, endField string, start, end time.Time) error {
	for _, t := range []struct {
		field string
		at    time.Time
	}{{startField, start}, {endField, end}} {
		if err := validateInstant(t.field, t.at); err != nil {
			return err
		}
		if t.at.Before(s.Start) || t.at.After(s.End) {
			return Invalidf(t.field, fmt.Sprintf("give a time from %s to %s", s.Start.Format(time.RFC3339), s.End.Format(time.RFC3339)), "%s lies outside the session", t.at.Format(time.RFC3339))
		}
	}
	if !end.After(start) {
		return Invalidf(endField, "give a time later than "+start.Format(time.RFC3339), "it ends at %s, not after it began", end.Format(time.RFC3339))
	}
	return nil
}

// validateCasts allows as many casts in the water at once as there are rods.
func (s Session) validateCasts() error {
	var inWater []time.Time // when each line that is still out comes in
	for i, c := range s.Casts {
		at := fmt.Sprintf("casts[%d]", i)
		if err := s.validateInside(at+".in", at+".out", c.In, c.Out); err != nil {
			return err
		}
		if i > 0 && c.In.Before(s.Casts[i-1].In) {
			return Invalidf(at+".in", "give the casts in the order they were made", "it was made before the cast before it")
		}
		stillOut := inWater[:0]
		for _, out := range inWater {
			if out.After(c.In) {
				stillOut = append(stillOut, out)
			}
		}
		if len(stillOut) >= s.Rods {
			return Invalidf(at+".in", "wind in before casting again, or give the number of rods", "%d casts are in the water at once with %d rods", len(stillOut)+1, s.Rods)
		}
		inWater = append(stillOut, c.Out)
		if err := c.validate(at); err != nil {
			return err
		}
	}
	return nil
}

func (c Cast) validate(at string) error {
	if err := oneOf(at+".outcome", c.Outcome, outcomes); err != nil {
		return err
	}
	if err := Between(at+".fill_g", float64(c.FillG.Or(0)), 0, 500, "g"); err != nil {
		return err
	}
	if err := Between(at+".fish_g", float64(c.FishG.Or(0)), 0, 60000, "g"); err != nil {
		return err
	}
	if c.BiteMin.Known {
		if !c.Outcome.TrueBite() {
			return Invalidf(at+".bite_min", "leave it empty where there was no true bite", "there was no true bite to time, the outcome is %s", c.Outcome)
		}
		// A bite timed by rounding up to the whole minute may pass the end.
		if err := Between(at+".bite_min", c.BiteMin.Value, 0, c.Out.Sub(c.In).Minutes()+1, "min"); err != nil {
			return err
		}
	}
	if c.Outcome != FishLanded && (c.Group != "" || c.FishG.Known) {
		return Invalidf(at+".outcome", "give the outcome fish, or leave the fish out", "a fish is described, and the outcome is %s", c.Outcome)
	}
	if c.Group != "" {
		return c.Group.Validate(at + ".group")
	}
	return nil
}
