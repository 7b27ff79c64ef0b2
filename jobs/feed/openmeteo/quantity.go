package openmeteo

import (
	"encoding/json"
	"fmt"
	"strconv"

	"osier/model"
	"osier/model/air"
)

// quantity is what is expected of one variable: its name and the older one
// that still answers, the kind of number it is, and the range in the unit of
// storage outside which a value is a fault and not weather.
type quantity struct {
	names     []string
	kind      kind
	low, high float64
}

// kind is the unit a kind of number is stored in, and the way into it from each
// unit that hourly_units may name.
type kind struct {
	stored string
	from   map[string]func(float64) float64
}

func asItIs(v float64) float64 { return v }

func times(factor float64) func(float64) float64 {
	return func(v float64) float64 { return v * factor }
}

// The kinds. Degrees Fahrenheit, knots, miles an hour and inches are not in any
// recording: their names are from memory, the miles an hour in both spellings.
var (
	temperature = kind{"C", map[string]func(float64) float64{"°C": asItIs, "°F": air.CelsiusFromFahrenheit}}
	speed       = kind{"m/s", map[string]func(float64) float64{
		"m/s": asItIs, "km/h": func(v float64) float64 { return v / air.KmhPerMps },
		"kn": times(air.MpsPerKnot), "mp/h": times(air.MpsPerMph), "mph": times(air.MpsPerMph),
	}}
	depth     = kind{"mm", map[string]func(float64) float64{"mm": asItIs, "inch": times(mmPerInch)}}
	pressure  = kind{"hPa", map[string]func(float64) float64{"hPa": asItIs}}
	percent   = kind{"%", map[string]func(float64) float64{"%": asItIs}}
	direction = kind{"degrees", map[string]func(float64) float64{"°": asItIs}}
	code      = kind{"code", map[string]func(float64) float64{"wmo code": asItIs}}
)

const mmPerInch = 25.4 // exact by definition

// The variables read. Ranges lie just outside the extremes on record (WMO World
// Weather and Climate Extremes Archive: -89.2 C, 56.7 C, 870 and 1084 hPa at sea
// level, a gust of 113 m/s; from memory); rain up to 500 mm in an hour is our
// choice.
var (
	airTemperature = quantity{[]string{"temperature_2m"}, temperature, -90, 60}
	dewPoint       = quantity{[]string{"dew_point_2m", "dewpoint_2m"}, temperature, -95, 40}
	humidity       = quantity{[]string{"relative_humidity_2m", "relativehumidity_2m"}, percent, 0, 100}
	windSpeed      = quantity{[]string{"wind_speed_10m", "windspeed_10m"}, speed, 0, 115}
	windDirection  = quantity{[]string{"wind_direction_10m", "winddirection_10m"}, direction, 0, 360}
	gustSpeed      = quantity{[]string{"wind_gusts_10m", "windgusts_10m"}, speed, 0, 115}
	seaLevel       = quantity{[]string{"pressure_msl"}, pressure, 850, 1100}
	cloudCover     = quantity{[]string{"cloud_cover", "cloudcover"}, percent, 0, 100}
	rainDepth      = quantity{[]string{"precipitation"}, depth, 0, 500}
	weatherCode    = quantity{[]string{"weather_code", "weathercode"}, code, 0, 99}

	everyQuantity = []quantity{
		airTemperature, dewPoint, humidity, windSpeed, windDirection,
		gustSpeed, seaLevel, cloudCover, rainDepth, weatherCode,
	}
)

// reader reads the lists of one answer and collects what was wrong.
type reader struct {
	units    map[string]any
	hourly   map[string]json.RawMessage
	when     []string // the times as written, to name a row by
	warnings []string
}

func (r *reader) warn(format string, args ...any) {
	r.warnings = append(r.warnings, fmt.Sprintf(format, args...))
}

// list reads one variable: rows values in the unit of storage, each missing
// where the answer has null or a fault. A variable that is not in the answer is
// missing without a word.
func (r *reader) list(q quantity, rows int) []model.Maybe[float64] {
	values := make([]model.Maybe[float64], rows)
	name, raw := r.find(q)
	if raw == nil {
		return values
	}
	unit, _ := r.units[name].(string)
	convert := q.kind.from[unit]
	if convert == nil {
		r.warn("%s: hourly_units says %.40v, which is not read; the variable is left out", name, r.units[name])
		return values
	}
	var texts []json.RawMessage
	if err := json.Unmarshal(raw, &texts); err != nil {
		r.warn("%s: it is no list; the variable is left out", name)
		return values
	}
	if len(texts) != rows {
		r.warn("%s: it lists %d values for %d times; the variable is left out", name, len(texts), rows)
		return values
	}
	faults, first := 0, ""
	for i, text := range texts {
		if string(text) == "null" {
			continue
		}
		v, err := strconv.ParseFloat(string(text), 64)
		v = convert(v) + 0 // + 0: never -0
		if err == nil && v >= q.low && v <= q.high {
			values[i] = model.Known(v)
			continue
		}
		if faults++; faults == 1 {
			first = fmt.Sprintf("%.40s at %.40s", text, r.when[i])
		}
	}
	if faults > 0 {
		r.warn("%s: %d of %d values left out, the first %s; a number from %v to %v %s would be right", name, faults, rows, first, q.low, q.high, q.kind.stored)
	}
	return values
}

// find is the variable under its name or its older one.
func (r *reader) find(q quantity) (string, json.RawMessage) {
	for _, name := range q.names {
		if raw, there := r.hourly[name]; there {
			return name, raw
		}
	}
	return "", nil
}
