package metar

import (
	"time"

	"osier/model"
)

// clockSkew is how far ahead of the reference a report may be dated, and
// staleAfter how old a report of a live feed may be. Our choice, as the
// reference pack has it.
const (
	clockSkew  = 15 * time.Minute
	staleAfter = 24 * time.Hour
)

// readTime reads ddhhmmZ; the Z is sometimes absent.
func (r *Report) readTime(group string) error {
	digits := group
	if len(group) == 7 && group[6] == 'Z' {
		digits = group[:6]
	}
	if !allDigits(digits, 6) {
		return model.Invalidf("time", "the station is followed by day, hour and minute, as in 180750Z",
			"%q after %s is no time", shorten(group), r.Station)
	}
	r.Day, r.Hour, r.Minute = number(digits[:2]), number(digits[2:4]), number(digits[4:])
	return validTime(r.Day, r.Hour, r.Minute)
}

func validTime(day, hour, minute int) error {
	switch {
	case day < 1 || day > 31:
		return model.Invalidf("time", "a day is 1 to 31", "day %d does not exist", day)
	case hour < 0 || hour > 23:
		return model.Invalidf("time", "an hour is 0 to 23", "hour %d does not exist", hour)
	case minute < 0 || minute > 59:
		return model.Invalidf("time", "a minute is 0 to 59", "minute %d does not exist", minute)
	}
	return nil
}

// ResolveTime finds the month and the year of a report: the latest day of that
// number that exists and is not later than the reference and a quarter of an
// hour. For a live feed the reference is the present; for an archive the date
// of the file or the bulletin. The result is UTC. A day, hour or minute that
// no month has is an error.
func ResolveTime(day, hour, minute int, reference time.Time) (time.Time, error) {
	if err := validTime(day, hour, minute); err != nil {
		return time.Time{}, err
	}
	reference = reference.UTC()
	latest := reference.Add(clockSkew)
	// Day 31 is never more than two months back, and one of the months may be
	// barred because the hour is still to come.
	for month := reference.Month() + 1; month >= reference.Month()-3; month-- {
		at := time.Date(reference.Year(), month, day, hour, minute, 0, 0, time.UTC)
		if at.Day() == day && !at.After(latest) {
			return at, nil
		}
	}
	return time.Time{}, model.Invalidf("time", "give a day of the months before the reference",
		"day %d was in none of the four months up to %s", day, reference.Format(time.DateOnly))
}

// Stale says whether a report of a live feed is too old to describe the
// present: more than 24 hours.
func Stale(at, now time.Time) bool { return now.Sub(at) > staleAfter }
