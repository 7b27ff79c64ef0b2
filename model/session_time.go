package model

import (
	"fmt"
	"strings"
	"time"
)

// localLayouts are the ways a local time may be written: the clock on the
// wall at the water, without an offset.
var localLayouts = []string{"2006-01-02 15:04", "2006-01-02 15:04:05", "2006-01-02T15:04", "2006-01-02T15:04:05"}

// clockLayouts are the ways a time of day may be written.
var clockLayouts = []string{"15:04", "15:04:05"}

const timeForms = "give a time such as 2025-06-14T07:30:00+01:00, or the local time 2025-06-14 07:30"

// ParseTime reads an instant: RFC 3339 with its offset, or a local time of the
// zone. A local time that the clocks passed twice (autumn) or never (spring)
// is refused, and the message asks which was meant. The offset is kept.
// Without a zone only RFC 3339 can be read.
func ParseTime(field, text string, zone *time.Location) (time.Time, error) {
	if t, err := time.Parse(time.RFC3339, text); err == nil {
		return keepOffset(t), nil
	}
	for _, layout := range localLayouts {
		if wall, err := time.Parse(layout, text); err == nil {
			return atWallClock(field, wall, zone)
		}
	}
	return time.Time{}, Invalidf(field, timeForms, "%q is no time", shorten(text))
}

// parseTimeWithin reads what ParseTime reads and also a time of day such as
// 07:30: the first such time at or after the start of the session, in the
// offset that the start was written with, or in the zone where it was local.
func parseTimeWithin(field, text string, start time.Time, clock *time.Location) (time.Time, error) {
	for _, layout := range clockLayouts {
		day, err := time.Parse(layout, text)
		if err != nil {
			continue
		}
		from := start.In(clock)
		wall := time.Date(from.Year(), from.Month(), from.Day(), day.Hour(), day.Minute(), day.Second(), 0, time.UTC)
		if day.Hour()*3600+day.Minute()*60+day.Second() < from.Hour()*3600+from.Minute()*60+from.Second() {
			wall = wall.AddDate(0, 0, 1)
		}
		return atWallClock(field, wall, clock)
	}
	t, err := ParseTime(field, text, clock)
	if err != nil && !strings.ContainsAny(text, "-T") {
		return t, Invalidf(field, timeForms+", or the time of day 07:30", "%q is no time", shorten(text))
	}
	return t, err
}

// atWallClock finds the instant at which the clocks of a zone showed a wall
// time. Offsets lie within 14 h of UTC, so the zone's offsets 16 h either side
// are those before and after any one change of clocks.
func atWallClock(field string, wall time.Time, zone *time.Location) (time.Time, error) {
	if zone == nil {
		return time.Time{}, Invalidf(field, "register its water, or give it with its offset, such as 2025-06-14T07:30:00+01:00", "%q is a local time, and the zone of its water is not known here", wall.Format(localLayouts[0]))
	}
	const margin = 16 * time.Hour
	var found []time.Time
	for _, side := range []time.Duration{-margin, margin} {
		_, offsetS := wall.Add(side).In(zone).Zone()
		t := wall.Add(-time.Duration(offsetS) * time.Second)
		_, there := t.In(zone).Zone()
		if there == offsetS && (len(found) == 0 || !found[0].Equal(t)) {
			found = append(found, keepOffset(t.In(zone)))
		}
	}
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return time.Time{}, Invalidf(field, "check the clock, or give the time with its offset", "the clocks of %s were put forward and never showed %s", zone, wall.Format(localLayouts[0]))
	}
	return time.Time{}, Invalidf(field,
		fmt.Sprintf("say which with the offset: %s or %s", found[0].Format(time.RFC3339), found[1].Format(time.RFC3339)),
		"the clocks of %s were put back and showed %s twice", zone, wall.Format(localLayouts[0]))
}

// keepOffset gives the time a zone that is nothing but its offset, so that it
// reads the same on any machine.
func keepOffset(t time.Time) time.Time {
	_, offsetS := t.Zone()
	return t.In(offsetZone(offsetS))
}

func offsetZone(offsetS int) *time.Location {
	if offsetS == 0 {
		return time.UTC
	}
	return time.FixedZone("", offsetS)
}
