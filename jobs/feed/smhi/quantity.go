package smhi

import (
	"encoding/json"
	"fmt"
	"strconv"

	"osier/model"
)

// quantity is what is expected of one variable: its name, its name and unit in
// the older shape, and the range outside which a value is a fault and not
// weather.
type quantity struct {
	name, oldName, oldUnit string
	low, high              float64
}

// The variables read. Ranges lie just outside the extremes on record (WMO World
// Weather and Climate Extremes Archive: -89.2 C, 56.7 C, 870 and 1084 hPa at sea
// level, a gust of 113 m/s; from memory); rain up to 500 mm in a step, or in an
// hour where it is a rate, is our choice.
var (
	airTemperature = quantity{"air_temperature", "t", "Cel", -90, 60}
	humidity       = quantity{"relative_humidity", "r", "percent", 0, 100}
	windSpeed      = quantity{"wind_speed", "ws", "m/s", 0, 115}
	windDirection  = quantity{"wind_from_direction", "wd", "degree", 0, 360}
	gustSpeed      = quantity{"wind_speed_of_gust", "gust", "m/s", 0, 115}
	seaLevel       = quantity{"air_pressure_at_mean_sea_level", "msl", "hPa", 850, 1100}
	cloudCover     = quantity{"cloud_area_fraction", "tcc_mean", "octas", 0, 8}
	thunderChance  = quantity{"thunderstorm_probability", "tstm", "percent", 0, 100}
	rainAmount     = quantity{"precipitation_amount_mean", "pmean", "kg/m2/h", 0, 500}
	symbol         = quantity{"symbol_code", "Wsymb2", "category", 1, 27}
)

// missing stands for a value that there is none of.
const missing = 9999

// reader reads the values of one answer and collects what was wrong.
type reader struct {
	said     map[string]bool // what has been warned of and need not be again
	warnings []string
}

func (r *reader) warn(format string, args ...any) {
	r.warnings = append(r.warnings, fmt.Sprintf(format, args...))
}

// value reads one variable. Absent, null and 9999 are missing without a word.
func (r *reader) value(e *entry, q quantity) (float64, bool) {
	raw := r.find(e, q)
	if raw == nil || string(raw) == "null" {
		return 0, false
	}
	v, err := strconv.ParseFloat(string(raw), 64)
	switch {
	case err != nil:
		r.warn("%s: %s: %.40s is not a finite number; left out", e.Time, q.name, raw)
		return 0, false
	case v == missing:
		return 0, false
	case v < q.low || v > q.high:
		r.warn("%s: %s: %v is outside %v to %v; left out", e.Time, q.name, v, q.low, q.high)
		return 0, false
	}
	return v + 0, true // + 0: never -0
}

// find is a variable's value as written, nil where there is none.
func (r *reader) find(e *entry, q quantity) json.RawMessage {
	if e.Data != nil {
		return e.Data[q.name]
	}
	for _, p := range e.Parameters {
		if p.Name != q.oldName || len(p.Values) == 0 {
			continue
		}
		if p.Unit == q.oldUnit {
			return p.Values[0]
		}
		if !r.said[p.Name] {
			r.said[p.Name] = true
			r.warn("%s: the unit is %.40q, only %q is read; the variable is left out", p.Name, p.Unit, q.oldUnit)
		}
		return nil
	}
	return nil
}

// read is value in the type of the field it goes into.
func read[T ~float64](r *reader, e *entry, q quantity) model.Maybe[T] {
	v, ok := r.value(e, q)
	return model.Maybe[T]{Value: T(v), Known: ok}
}

// share reads a variable as a fraction of its whole.
func (r *reader) share(e *entry, q quantity) model.Maybe[float64] {
	v, ok := r.value(e, q)
	return model.Maybe[float64]{Value: v / q.high, Known: ok}
}
