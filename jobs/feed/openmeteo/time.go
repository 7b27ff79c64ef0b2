package openmeteo

import (
	"encoding/json"
	"errors"
	"slices"
	"strconv"
	"time"

	"osier/model"
)

// moment is one time of the answer and the place it has in every list.
type moment struct {
	at  time.Time
	row int
}

// longestOffsetS is a little more than any zone on earth is from UTC.
const longestOffsetS = 15 * 3600

// moments reads hourly.time in the form that hourly_units names. Times that
// cannot be read or were there before are left out, with a warning, and the
// rest come back in order. rows is the length of the list as it was.
func (r *reader) moments(a answer) (good []moment, rows int, err error) {
	var texts []json.RawMessage
	if err := json.Unmarshal(a.Hourly["time"], &texts); err != nil || len(texts) == 0 {
		return nil, 0, model.Invalidf("hourly.time", "it should list the hours", "it is missing, empty or no list")
	}
	read, err := timeReader(a)
	if err != nil {
		return nil, 0, err
	}
	for row, text := range texts {
		r.when = append(r.when, string(text))
		at, err := read(text)
		if err != nil || at.Year() < 1900 || at.Year() > 2200 {
			r.warn("hourly.time[%d]: %.40s is no time that can be read; the hour is left out", row, text)
			continue
		}
		good = append(good, moment{at, row})
	}
	if len(good) == 0 {
		return nil, 0, model.Invalidf("hourly.time", "a forecast lists hours with their time", "no time in it can be read")
	}
	return r.inOrder(good), len(texts), nil
}

// timeReader is the way to read the answer's kind of time. Unix time is true
// UTC whatever the answer's zone; a local time is the answer's one offset away
// from it, in every hour of the answer.
func timeReader(a answer) (func(json.RawMessage) (time.Time, error), error) {
	switch unit := a.HourlyUnits["time"]; unit {
	case "unixtime":
		return unixTime, nil
	case "iso8601":
		offset := a.UTCOffsetSeconds
		if !offset.Known {
			return nil, model.Invalidf("utc_offset_seconds", "times without an offset need it", "it is missing")
		}
		if err := model.Between("utc_offset_seconds", offset.Value, -longestOffsetS, longestOffsetS, "s"); err != nil {
			return nil, err
		}
		return func(text json.RawMessage) (time.Time, error) {
			local, err := localTime(text)
			return local.Add(-time.Duration(offset.Value) * time.Second), err
		}, nil
	default:
		return nil, model.Invalidf("hourly_units.time", "it should be unixtime or iso8601", "%.40v is neither", unit)
	}
}

func unixTime(text json.RawMessage) (time.Time, error) {
	seconds, err := strconv.ParseInt(string(text), 10, 64)
	return time.Unix(seconds, 0).UTC(), err
}

func localTime(text json.RawMessage) (time.Time, error) {
	var s string
	if err := json.Unmarshal(text, &s); err != nil {
		return time.Time{}, errors.New("it is no text")
	}
	return time.Parse("2006-01-02T15:04", s)
}

func (r *reader) inOrder(moments []moment) []moment {
	byTime := func(a, b moment) int { return a.at.Compare(b.at) }
	if !slices.IsSortedFunc(moments, byTime) {
		r.warn("hourly.time: the times are out of order; they were sorted")
		slices.SortStableFunc(moments, byTime)
	}
	return slices.CompactFunc(moments, func(first, again moment) bool {
		same := first.at.Equal(again.at)
		if same {
			r.warn("hourly.time: %.40s comes twice; the first hour holds", r.when[again.row])
		}
		return same
	})
}
