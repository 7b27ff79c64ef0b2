package ghcnh

import (
	"fmt"
	"strconv"
	"strings"

	"osier/model"
)

// element is one kind of value: its column, and the range in which it is
// believed, that of the Integrated Surface Data (DS3505 field table).
type element struct {
	name      string
	low, high float64
	unit      string
}

var (
	airTemperature  = element{"temperature", -93.2, 61.8, "C"}
	dewPoint        = element{"dew_point_temperature", -98.2, 36.8, "C"}
	stationPressure = element{"station_level_pressure", 450, 1090, "hPa"}
	seaLevel        = element{"sea_level_pressure", 860, 1090, "hPa"}
	altimeter       = element{"altimeter", 863.5, 1090.4, "hPa"}
	windDirection   = element{"wind_direction", 0, 360, "degrees"}
	windSpeed       = element{"wind_speed", 0, 90, "m/s"}
	windGust        = element{"wind_gust", 0, 110, "m/s"}
)

// everyTable are the elements that every table has columns for.
var everyTable = []string{
	airTemperature.name, dewPoint.name, stationPressure.name, seaLevel.name, altimeter.name,
	windDirection.name, windSpeed.name, windGust.name, rainPeriods[0].name,
}

// someTables are those that not every version of the archive has.
var someTables = append([]string{
	"pres_wx_MW1", "pres_wx_MW2", "pres_wx_MW3",
	"pres_wx_AU1", "pres_wx_AU2", "pres_wx_AU3",
	"pres_wx_AW1", "pres_wx_AW2", "pres_wx_AW3",
}, rainNames(rainPeriods[1:])...)

// entry is what a row says of one element.
type entry struct{ value, measurement, quality, source string }

// code is the measurement code without its words, which are cut to what fits
// into ten characters: 9 of "9-Missing", C of "C-Calm".
func (e entry) code() string {
	code, _, _ := strings.Cut(e.measurement, "-")
	return code
}

// trust says whether the quality code lets the value be used, and whether it
// makes it suspect. The digits are those of the Integrated Surface Data: 2 and 6
// suspect, 3 and 7 erroneous. So are the letters of values that came from it,
// which tell of manual work; of other sources a letter names a check that the
// value failed. No code is no complaint.
func (e entry) trust() (usable, suspect bool) {
	switch {
	case e.quality == "2" || e.quality == "6":
		return true, true
	case e.quality == "" || len(e.quality) == 1 && strings.Contains("01459", e.quality):
		return true, false
	}
	return len(e.quality) == 1 && strings.Contains("ACIMPRU", e.quality) && e.fromISD(), false
}

// fromISD says whether the source is one of those that make up the Integrated
// Surface Data: 313 to 348 (as users of the archive describe it; not checked).
func (e entry) fromISD() bool {
	n, err := strconv.Atoi(e.source)
	return err == nil && n >= 313 && n <= 348
}

// entry looks an element up; what the table does not have is empty.
func (r *row) entry(name string) entry {
	c, ok := r.heading.elements[name]
	if !ok {
		return entry{}
	}
	return entry{value: r.cells[c.value], measurement: r.cells[c.measurement], quality: r.cells[c.quality], source: r.cells[c.source]}
}

// value reads one element. Nothing is missing, and so, with a note, is what is
// no number or outside its range.
func (r *row) value(e element) (float64, bool) {
	from := r.entry(e.name)
	usable, suspect := from.trust()
	if !usable || from.value == "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(from.value, 64)
	if err != nil {
		r.note("%s %q is no number", e.name, from.value)
		return 0, false
	}
	if !(v >= e.low && v <= e.high) { // written so that NaN fails too
		r.note("%s %v is outside %v to %v %s", e.name, v, e.low, e.high, e.unit)
		return 0, false
	}
	r.suspect = r.suspect || suspect
	return v + 0, true // adding zero turns -0 into 0
}

func (r *row) note(format string, args ...any) {
	r.notes = append(r.notes, fmt.Sprintf(format, args...))
}

// read is value in the type of the field it goes into.
func read[T ~float64](r *row, e element) model.Maybe[T] {
	v, ok := r.value(e)
	if !ok {
		return model.Maybe[T]{}
	}
	return model.Known(T(v))
}
