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

// line is one report while it is read.
type line struct {
	text    string
	items   string // the optional items
	suspect bool
	notes   []string
}

// at cuts out the positions first to last, counted from 1 as in the field
// table.
func (l *line) at(first, last int) string { return l.text[first-1 : last] }

// mark is the quality mark, or type, at a position counted from 1.
func (l *line) mark(position int) byte { return l.text[position-1] }

// newLine checks that a line is as long as it says, so that every position
// means what it should.
func newLine(text string) (*line, error) {
	if len(text) < mandatory {
		return nil, fmt.Errorf("it has %d characters, at least %d are needed", len(text), mandatory)
	}
	more, err := strconv.ParseUint(text[:4], 10, 16)
	if err != nil {
		return nil, fmt.Errorf("it begins with %q, not with the four digits of its length", text[:4])
	}
	if want := mandatory + int(more); len(text) != want {
		return nil, fmt.Errorf("it has %d characters and says it has %d", len(text), want)
	}
	return &line{text: text, items: optionalItems(text[mandatory:])}, nil
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

// item finds an optional item and returns the length characters after its tag.
// Tags are two letters and a digit. Of all values only those of AT, which come
// with sums of days and not with reports, hold such a sequence, so searching
// does not find a tag inside a value.
func (l *line) item(tag string, length int) (string, bool) {
	_, rest, found := strings.Cut(l.items, tag)
	if !found {
		return "", false
	}
	if len(rest) < length {
		l.note("item %s is cut short", tag)
		return "", false
	}
	return rest[:length], true
}

// station is who reports, by USAF and WBAN number.
func (l *line) station() string { return l.at(5, 10) + "-" + l.at(11, 15) }

// time is the time of the report. Old British lines write the midnight that
// ends a day as 2400; it is the first instant of the next day.
func (l *line) time() (time.Time, error) {
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
func (l *line) place() (s model.Station, ok bool) {
	s = model.Station{ID: l.station(), Source: Source}
	var latOK, lonOK bool
	s.LatDeg, latOK = l.value(latitude, l.at(29, 34), noMark)
	s.LonDeg, lonOK = l.value(longitude, l.at(35, 41), noMark)
	s.ElevationM = read[model.Metres](l, elevation, l.at(47, 51), noMark)
	return s, latOK && lonOK
}

// observation reads the line.
func (l *line) observation(at time.Time) model.Observation {
	o := model.Observation{
		Station:     l.station(),
		Source:      Source,
		At:          at,
		AirC:        read[model.Celsius](l, airTemperature, l.at(88, 92), l.mark(93)),
		DewC:        read[model.Celsius](l, dewPoint, l.at(94, 98), l.mark(99)),
		SeaLevelHPa: read[model.Hectopascals](l, seaLevel, l.at(100, 104), l.mark(105)),
		GustMps:     l.gust(),
		Rain:        l.rain(),
		CloudOktas:  l.cloud(),
		Thunder:     l.thunder(),
		Raw:         printable(l.text),
	}
	o.WindMps, o.WindFromDeg = l.wind()
	o.QNHHPa, o.StationHPa = l.pressures()
	o.WholeHPa = o.QNHHPa.Known && o.QNHHPa.Value == model.Hectopascals(int(o.QNHHPa.Value))
	o.LowTrust = l.suspect
	return o
}

// wind reads speed and direction. A speed of zero is a calm whatever its type;
// a missing speed is missing even where the type says calm, which many old
// lines do. A variable wind and a calm have no direction.
func (l *line) wind() (speed model.Maybe[model.MetresPerSecond], from model.Maybe[model.Degrees]) {
	speed = read[model.MetresPerSecond](l, windSpeed, l.at(66, 69), l.mark(70))
	kind := l.mark(65)
	if kind == 'C' || kind == 'V' || speed == model.Known[model.MetresPerSecond](0) {
		return speed, from
	}
	from = read[model.Degrees](l, windDirection, l.at(61, 63), l.mark(64))
	if from.Value == 360 {
		from.Value = 0
	}
	return speed, from
}

// printable keeps a raw line fit for any store: control characters become
// spaces and broken characters go.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, ""))
}
