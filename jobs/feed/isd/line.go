package isd

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"osier/model"
)

// mandatory is the length of the part that every line has; the first four
// digits say how much follows.
const mandatory = 105

// line is a report of the fixed form.
type line struct {
	text  string
	items string // the optional items
}

// at cuts out the positions first to last, counted from 1 as in the field
// table.
func (l line) at(first, last int) string { return l.text[first-1 : last] }

// newLine checks that a line is as long as it says, so that every position
// means what it should.
func newLine(text string) (line, error) {
	if len(text) < mandatory {
		return line{}, fmt.Errorf("it has %d characters, at least %d are needed", len(text), mandatory)
	}
	more, err := strconv.ParseUint(text[:4], 10, 16)
	if err != nil {
		return line{}, fmt.Errorf("it begins with %q, not with the four digits of its length", text[:4])
	}
	if want := mandatory + int(more); len(text) != want {
		return line{}, fmt.Errorf("it has %d characters and says it has %d", len(text), want)
	}
	return line{text: text, items: optionalItems(text[mandatory:])}, nil
}

// optionalItems is what stands between ADD and the first of the sections that
// hold other things: the raw report, originals of edited values, and marks of
// elements.
func optionalItems(rest string) string {
	rest, found := strings.CutPrefix(rest, "ADD")
	if !found {
		return ""
	}
	for _, section := range []string{"REM", "EQD", "QNN"} {
		rest, _, _ = strings.Cut(rest, section)
	}
	return rest
}

// group cuts fields out of the text under a tag. Nothing parts them there: each
// begins where the one before it ends.
func (l line) group(tag string, widths ...int) ([]string, error) {
	text, found := l.find(tag)
	if !found {
		return nil, nil
	}
	parts := make([]string, 0, len(widths))
	for _, width := range widths {
		if len(text) < width {
			return nil, fmt.Errorf("item %s is cut short", tag)
		}
		parts = append(parts, text[:width])
		text = text[width:]
	}
	return parts, nil
}

// find gives the text after a tag. The mandatory groups have no tag on the line
// and go by their names in the CSV form. Tags of optional items are two letters
// and a digit. Of all values only those of AT, which come with sums of days and
// not with reports, hold such a sequence, so searching does not find a tag
// inside a value.
func (l line) find(tag string) (string, bool) {
	switch tag {
	case "WND":
		return l.at(61, 70), true
	case "TMP":
		return l.at(88, 93), true
	case "DEW":
		return l.at(94, 99), true
	case "SLP":
		return l.at(100, 105), true
	}
	_, rest, found := strings.Cut(l.items, tag)
	return rest, found
}

func (l line) station() string { return l.at(5, 10) + "-" + l.at(11, 15) }

func (l line) kind() string { return strings.TrimSpace(l.at(42, 46)) }

func (l line) raw() string { return l.text }

// time is the time of the report. Old British lines write the midnight that
// ends a day as 2400; it is the first instant of the next day.
func (l line) time() (time.Time, error) {
	day, err := time.Parse("20060102", l.at(16, 23))
	clock, clockErr := time.Parse("1504", l.at(24, 27))
	switch {
	case err != nil || day.Year() < 1900:
		return time.Time{}, fmt.Errorf("%q is no date yyyymmdd", l.at(16, 23))
	case l.at(24, 27) == "2400":
		return day.AddDate(0, 0, 1), nil
	case clockErr != nil:
		return time.Time{}, fmt.Errorf("%q is no time hhmm", l.at(24, 27))
	}
	return day.Add(time.Duration(clock.Hour())*time.Hour + time.Duration(clock.Minute())*time.Minute), nil
}

// place is where the station says it stands.
func (l line) place(r *report) (s model.Station, ok bool) {
	s = model.Station{ID: l.station(), Source: Source}
	var latOK, lonOK bool
	s.LatDeg, latOK = r.value(latitude, l.at(29, 34), noMark)
	s.LonDeg, lonOK = r.value(longitude, l.at(35, 41), noMark)
	s.ElevationM = read[model.Metres](r, elevation, l.at(47, 51), noMark)
	return s, latOK && lonOK
}
