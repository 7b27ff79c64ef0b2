package locationforecast

import (
	"encoding/json"
	"fmt"
	"strconv"

	"osier/model"
)

// quantity is what is expected of one variable: the unit that meta.units must
// name, and the range outside which a value is a fault and not weather.
type quantity struct {
	name      string
	unit      string
	low, high float64
}

// The variables read. Ranges lie just outside the extremes on record (WMO World
// Weather and Climate Extremes Archive: -89.2 C, 56.7 C, 870 and 1084 hPa at sea
// level, a gust of 113 m/s; from memory); rain up to 500 mm in a step is our
// choice.
var (
	airTemperature = quantity{"air_temperature", "celsius", -90, 60}
	dewPoint       = quantity{"dew_point_temperature", "celsius", -95, 40}
	humidity       = quantity{"relative_humidity", "%", 0, 100}
	windSpeed      = quantity{"wind_speed", "m/s", 0, 115}
	windDirection  = quantity{"wind_from_direction", "degrees", 0, 360}
	gustSpeed      = quantity{"wind_speed_of_gust", "m/s", 0, 115}
	seaLevel       = quantity{"air_pressure_at_sea_level", "hPa", 850, 1100}
	cloudCover     = quantity{"cloud_area_fraction", "%", 0, 100}
	rainDepth      = quantity{"precipitation_amount", "mm", 0, 500}
	thunderChance  = quantity{"probability_of_thunder", "%", 0, 100}
)

// details are the values of one instant or period, read one by one, so that a
// wrong one takes no other with it.
type details map[string]json.RawMessage

// reader reads values in the units of one answer and collects what was wrong.
type reader struct {
	units    map[string]any
	unitSaid map[string]bool
	warnings []string
}

func (r *reader) warn(format string, args ...any) {
	r.warnings = append(r.warnings, fmt.Sprintf(format, args...))
}

// value reads one variable. Absent and null are missing without a word:
// variables differ by region.
func (r *reader) value(when string, d details, q quantity) (float64, bool) {
	raw, there := d[q.name]
	if !there || string(raw) == "null" {
		return 0, false
	}
	if unit := r.units[q.name]; unit != q.unit {
		if !r.unitSaid[q.name] {
			r.unitSaid[q.name] = true
			r.warn("%s: meta.units says %v, only %q is read; the variable is left out", q.name, unit, q.unit)
		}
		return 0, false
	}
	v, err := strconv.ParseFloat(string(raw), 64)
	if err != nil {
		r.warn("%s: %s: %.40s is not a finite number; left out", when, q.name, raw)
		return 0, false
	}
	if v < q.low || v > q.high {
		r.warn("%s: %s: %v is outside %v to %v %s; left out", when, q.name, v, q.low, q.high, q.unit)
		return 0, false
	}
	return v + 0, true // + 0: never -0
}

// read is value in the type of the field it goes into.
func read[T ~float64](r *reader, when string, d details, q quantity) model.Maybe[T] {
	v, ok := r.value(when, d, q)
	if !ok {
		return model.Maybe[T]{}
	}
	return model.Known(T(v))
}

// share reads a variable given in per cent as a fraction.
func (r *reader) share(when string, d details, q quantity) model.Maybe[float64] {
	v, ok := r.value(when, d, q)
	if !ok {
		return model.Maybe[float64]{}
	}
	return model.Known(v / 100)
}
