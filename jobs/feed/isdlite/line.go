package isdlite

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"osier/model"
)

// A line is the hour, yyyy mm dd hh, and eight values right-aligned in columns
// of six characters.
const (
	hourWidth   = 13
	columnWidth = 6
	columns     = 8
	lineWidth   = hourWidth + columns*columnWidth
)

// element is one kind of value: the column it stands in, counted from 0, how it
// is scaled, and the range that the full form of the archive gives for it
// (DS3505 field table), in its unit after scaling.
type element struct {
	name      string
	column    int
	scale     float64
	low, high float64
	unit      string
}

var (
	airTemperature = element{"air temperature", 0, 10, -93.2, 61.8, "C"}
	dewPoint       = element{"dew point", 1, 10, -98.2, 36.8, "C"}
	seaLevel       = element{"sea-level pressure", 2, 10, 860, 1090, "hPa"}
	windDirection  = element{"wind direction", 3, 1, 0, 360, "degrees"}
	windSpeed      = element{"wind speed", 4, 10, 0, 90, "m/s"}
	skyCode        = element{"sky code", 5, 1, 0, 19, "of its table"}
	rainOneHour    = element{"rain of one hour", 6, 10, -0.1, 999.8, "mm"}
	rainSixHours   = element{"rain of six hours", 7, 10, -0.1, 999.8, "mm"}
)

// line is one report while it is read.
type line struct {
	text  string
	notes []string
}

// observation reads a line.
func observation(text string) (model.Observation, []string, error) {
	if len(text) != lineWidth {
		return model.Observation{}, nil, fmt.Errorf("it has %d characters, %d are right", len(text), lineWidth)
	}
	at, err := time.Parse("2006 01 02 15", text[:hourWidth])
	if err != nil || at.Year() < 1900 {
		return model.Observation{}, nil, fmt.Errorf("%q is no hour yyyy mm dd hh", text[:hourWidth])
	}
	l := &line{text: text}
	o := model.Observation{
		Source:      Source,
		At:          at,
		AirC:        read[model.Celsius](l, airTemperature),
		DewC:        read[model.Celsius](l, dewPoint),
		SeaLevelHPa: read[model.Hectopascals](l, seaLevel),
		Rain:        l.rain(),
		CloudOktas:  l.cloud(),
		Raw:         printable(text),
	}
	o.WindMps, o.WindFromDeg = l.wind()
	return o, l.notes, nil
}

// value reads one column. -9999 is missing, and so, with a note, is what is no
// number or outside its range.
func (l *line) value(e element) (float64, bool) {
	const missing = -9999
	start := hourWidth + e.column*columnWidth
	text := strings.TrimSpace(l.text[start : start+columnWidth])
	n, err := strconv.Atoi(text)
	if err != nil {
		l.note("%s %q is no number", e.name, text)
		return 0, false
	}
	if n == missing {
		return 0, false
	}
	v := float64(n) / e.scale
	if v < e.low || v > e.high {
		l.note("%s %v is outside %v to %v %s", e.name, v, e.low, e.high, e.unit)
		return 0, false
	}
	return v, true
}

func (l *line) note(format string, args ...any) {
	l.notes = append(l.notes, fmt.Sprintf(format, args...))
}

// read is value in the type of the field it goes into.
func read[T ~float64](l *line, e element) model.Maybe[T] {
	v, ok := l.value(e)
	if !ok {
		return model.Maybe[T]{}
	}
	return model.Known(T(v))
}

// wind reads speed and direction. The direction 0 is that of a calm, which has
// none; north is 360. A missing speed stays missing even where the direction
// says calm.
func (l *line) wind() (speed model.Maybe[model.MetresPerSecond], from model.Maybe[model.Degrees]) {
	speed = read[model.MetresPerSecond](l, windSpeed)
	from = read[model.Degrees](l, windDirection)
	if from.Value == 0 || speed == model.Known[model.MetresPerSecond](0) {
		return speed, model.Maybe[model.Degrees]{}
	}
	if from.Value == 360 {
		from.Value = 0
	}
	return speed, from
}

// cloud reads the sky code: 0 to 8 are oktas. 9 (sky not to be seen), 10 (partly
// hidden) and 11 to 19 (the words of old airfield reports) are no amount.
func (l *line) cloud() model.Maybe[int] {
	code, ok := l.value(skyCode)
	if !ok || code > 8 {
		return model.Maybe[int]{}
	}
	return model.Known(int(code))
}

// rain reads the depth of the shorter period that is given, since it says most
// about the hour. -1 is a trace: less than can be measured.
func (l *line) rain() model.Maybe[model.Rain] {
	const oneHour, sixHours = 1, 6
	if mm, ok := l.value(rainOneHour); ok {
		return model.Known(model.Rain{Mm: max(0, model.Millimetres(mm)), OverH: oneHour})
	}
	if mm, ok := l.value(rainSixHours); ok {
		return model.Known(model.Rain{Mm: max(0, model.Millimetres(mm)), OverH: sixHours})
	}
	return model.Maybe[model.Rain]{}
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
