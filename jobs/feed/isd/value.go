package isd

import (
	"fmt"
	"strconv"
	"strings"

	"osier/model"
)

// element is one kind of value: how it is scaled, and the range that the field
// table gives for it, in its unit after scaling.
type element struct {
	name      string
	scale     float64
	low, high float64
	unit      string
}

// The elements read (DS3505 field table; gust and the pressures of MA1 from
// memory of the same table).
var (
	airTemperature  = element{"air temperature", 10, -93.2, 61.8, "C"}
	dewPoint        = element{"dew point", 10, -98.2, 36.8, "C"}
	windSpeed       = element{"wind speed", 10, 0, 90, "m/s"}
	windDirection   = element{"wind direction", 1, 1, 360, "degrees"}
	gustSpeed       = element{"gust", 10, 5, 110, "m/s"}
	seaLevel        = element{"sea-level pressure", 10, 860, 1090, "hPa"}
	altimeter       = element{"altimeter setting", 10, 863.5, 1090.4, "hPa"}
	stationPressure = element{"station pressure", 10, 450, 1090, "hPa"}
	rainHours       = element{"rain period", 1, 1, 98, "h"}
	rainDepth       = element{"rain depth", 10, 0, 999.8, "mm"}
	cloudCover      = element{"cloud cover", 1, 0, 8, "oktas"}
	elevation       = element{"elevation", 1, -400, 8850, "m"}
	latitude        = element{"latitude", 1000, -90, 90, "degrees"}
	longitude       = element{"longitude", 1000, -180, 180, "degrees"}
)

// noMark stands for the quality mark of fields that have none.
const noMark = "1"

// trust says whether a quality mark lets a value be used, and whether it marks
// it suspect. 0 1 4 5 and 9 passed, the letters come from manual work, 2 and 6
// are suspect, 3 and 7 erroneous.
func trust(mark string) (usable, suspect bool) {
	if mark == "2" || mark == "6" {
		return true, true
	}
	return strings.Contains("01459ACIMPRU", mark), false
}

// value reads one field under its quality mark. All nines are missing, and so,
// with a note, is what is no number or outside its range.
func (r *report) value(e element, text, mark string) (float64, bool) {
	usable, suspect := trust(mark)
	if !usable || strings.Trim(text, "+9") == "" {
		return 0, false
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		r.note("%s %q is no number", e.name, text)
		return 0, false
	}
	v := float64(n) / e.scale
	if !r.within(e, v) {
		return 0, false
	}
	r.suspect = r.suspect || suspect
	return v, true
}

// decimal reads a field that the CSV form writes with a decimal point. It is
// missing where nothing stands in it, or the figure that the nines of the fixed
// form come to.
func (r *report) decimal(e element, text string, nines float64) (float64, bool) {
	if text == "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		r.note("%s %q is no number", e.name, text)
		return 0, false
	}
	if v == nines || !r.within(e, v) {
		return 0, false
	}
	return v + 0, true // adding zero turns -0 into 0
}

// within notes a value outside the range of its element.
func (r *report) within(e element, v float64) bool {
	if v >= e.low && v <= e.high { // written so that NaN fails too
		return true
	}
	r.note("%s %v is outside %v to %v %s", e.name, v, e.low, e.high, e.unit)
	return false
}

func (r *report) note(format string, args ...any) {
	r.notes = append(r.notes, fmt.Sprintf(format, args...))
}

// read is value in the type of the field it goes into.
func read[T ~float64](r *report, e element, text, mark string) model.Maybe[T] {
	v, ok := r.value(e, text, mark)
	if !ok {
		return model.Maybe[T]{}
	}
	return model.Known(T(v))
}
