package plan

import (
	"fmt"
	"math"
	"slices"
	"time"

	"osier/model"
	"osier/model/caution"
	"osier/model/feeder"
	"osier/model/solar"
)

// Figures of an outlook; all our choice.
const (
	outlookSessionH = 5.0           // a match round in length, and what a season is told for
	aroundNoon      = 4 * time.Hour // either side of noon, where the sun does not rise
)

// OutlookHours are the hours that an outlook is about on one day at a water: the
// light of that day, sunrise and sunset to the nearest hour, as far as they are not
// over; from 4 h before noon to 4 h after where the sun does not rise, and the
// whole day where it does not set. ok is false
// where less than an hour of them is left. The day is the calendar date of the
// argument by the water's clock.
func OutlookHours(w model.Water, day time.Time, now time.Time) (from, until time.Time, ok bool, err error) {
	zone, err := w.Location()
	if err != nil {
		return from, until, false, err
	}
	date := time.Date(day.Year(), day.Month(), day.Day(), 12, 0, 0, 0, zone)
	sun, known := solar.SunTimes(w.LatDeg, w.LonDeg, date)
	if !known {
		return from, until, false, model.Invalidf("from", "give a day between 1900 and 2100", "the sun is not computed for %s", date.Format(time.DateOnly))
	}
	noon := sun.Noon.Truncate(time.Hour)
	from, until = noon.Add(-aroundNoon), noon.Add(aroundNoon)
	if !sun.DownAllDay {
		from, until = noon.Add(-12*time.Hour), noon.Add(12*time.Hour)
		if !sun.Rise.IsZero() {
			from = sun.Rise.Round(time.Hour)
		}
		if !sun.Set.IsZero() {
			until = sun.Set.Round(time.Hour)
		}
	}
	if begun := now.Truncate(time.Hour); from.Before(begun) {
		from = begun
	}
	return from.In(zone), until.In(zone), until.Sub(from) >= time.Hour, nil
}

// OutlookInput is all that one day of an outlook is made from: one question for
// each group present, over all the hours of OutlookHours, by nobody who is known.
type OutlookInput struct {
	Date   string // 2026-11-28
	Groups []Input
}

// Outlook makes one day of a water's outlook. Feed, feeder and expectation are
// those of the plan for a session in the middle of the longest open stretch; hours
// are compared over the whole day. Cautions come first, as in a plan: where they
// leave no hour there is nothing else.
func Outlook(in OutlookInput) (model.OutlookDay, []model.OutlookBasis, error) {
	if len(in.Groups) == 0 {
		return model.OutlookDay{}, nil, fmt.Errorf("an outlook of %s for no group", in.Date)
	}
	first := in.Groups[0]
	from, until := first.Question.Start, first.Question.End()
	c, err := first.History.Conditions(from, until, first.Around)
	if err != nil {
		return model.OutlookDay{}, nil, err
	}
	day := model.OutlookDay{
		Date: in.Date, From: from, Until: until, Conditions: outlookConditions(c), Groups: []model.OutlookGroup{},
		Cautions: c.Cautions, Confidence: model.NoConfidence(), Weather: c.Version,
	}
	open := openHours(c)
	day.Closed, day.Struck = closedThroughout(c), noneOpen(open)
	var basis []model.OutlookBasis
	if !day.Struck {
		day.Confidence = model.Confidence{Level: "usual", Because: []string{}}
		for _, one := range in.Groups {
			g, p, err := one.outlookGroup(c, open)
			if err != nil {
				return day, nil, fmt.Errorf("%s on %s for %s: %w", one.Question.Water, in.Date, one.Question.Group, err)
			}
			day.Groups = append(day.Groups, g)
			day.Confidence = lessSure(day.Confidence, p.Confidence)
			basis = append(basis, model.OutlookBasis{
				Water: p.Water, Date: in.Date, Group: p.Group, Mean: p.Activity.BitesPerH.Mean, Basis: p.Activity.Basis,
			})
		}
	}
	day.Paragraph = outlookParagraph(day, len(c.Hours))
	return day, basis, nil
}

// outlookGroup plans the session for one group and compares the hours of the day
// at its feed.
func (in Input) outlookGroup(c model.Conditions, open []bool) (model.OutlookGroup, model.Plan, error) {
	start, hours := outlookSession(c, open)
	session := in
	session.Question.Start, session.Question.Hours = start, hours
	p, err := Build(session)
	if err != nil {
		return model.OutlookGroup{}, p, err
	}
	if p.Activity == nil {
		return model.OutlookGroup{}, p, fmt.Errorf("the session from %s is struck out though its hours are open", start.Format(time.RFC3339))
	}
	compared, text, err := in.compareHours(c, open, feeder.Plan{
		Feed: feeder.Feed{RateGH: float64(p.Feed.RateGH)}, Feeder: feeder.Feeder{CapacityMl: float64(p.Feeder.CapacityMl)},
	})
	if err != nil {
		return model.OutlookGroup{}, p, err
	}
	for i, h := range compared {
		if h.BitesPerH != nil {
			rounded := halfBites(*h.BitesPerH)
			compared[i].BitesPerH = &rounded
		}
	}
	return model.OutlookGroup{
		Group: p.Group, From: p.Start, Hours: hours, Level: p.Feed.Level, RateGH: p.Feed.RateGH,
		FeederType: p.Feeder.Type, FeederStep: p.Feeder.Step, CapacityMl: p.Feeder.CapacityMl, WeightG: p.Feeder.WeightG,
		Activity: outlookActivity(p), HoursCompared: compared, HoursText: text, Evidence: outlookEvidence(p.Evidence),
	}, p, nil
}

// outlookSession is the middle of the longest stretch of open hours, the first of
// equals: five hours of it, or all where they are fewer. There is an open hour.
func outlookSession(c model.Conditions, open []bool) (start time.Time, hours float64) {
	first, longest := 0, 0
	for i := 0; i < len(open); i++ {
		n := 0
		for i+n < len(open) && open[i+n] {
			n++
		}
		if n > longest {
			first, longest = i, n
		}
		i += n
	}
	hours = math.Min(outlookSessionH, float64(longest))
	return c.Hours[first].At.Add(time.Duration((longest-int(hours))/2) * time.Hour), hours
}

// closedThroughout says whether clubs have closed the water for all the hours.
func closedThroughout(c model.Conditions) bool {
	var closures []model.Caution
	for _, one := range c.Cautions {
		if one.ID == string(model.WaterClosed) {
			closures = append(closures, one)
		}
	}
	for _, h := range c.Hours {
		if !caution.Struck(closures, h.At) {
			return false
		}
	}
	return len(c.Hours) > 0
}

// lessSure is the lower of two confidences, with the reasons of both.
func lessSure(a, b model.Confidence) model.Confidence {
	levels := []string{"usual", "lowered", "low"}
	if slices.Index(levels, b.Level) > slices.Index(levels, a.Level) {
		a.Level = b.Level
	}
	for _, because := range b.Because {
		if !slices.Contains(a.Because, because) {
			a.Because = append(a.Because, because)
		}
	}
	return a
}
