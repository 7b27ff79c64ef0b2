package brightsky

import (
	"fmt"
	"math"
	"strconv"

	"osier/model"
	"osier/model/air"
)

// quantity is what is expected of one variable: the range, in the feed's unit,
// outside which a value is a fault and not weather, and the places it goes to.
type quantity struct {
	name       string
	low, high  float64
	observed   func(*model.Observation, float64) // nil where an observation has no place for it
	forecasted func(*model.ForecastHour, float64)
}

// The variables read, in C, %, km/h, degrees, hPa and mm. Ranges lie just
// outside the extremes on record (WMO World Weather and Climate Extremes
// Archive: -89.2 C, 56.7 C, 870 and 1084 hPa at sea level, a gust of 113 m/s;
// from memory); rain up to 500 mm in an hour is our choice.
var quantities = []quantity{
	{
		"temperature", -90, 60,
		func(o *model.Observation, v float64) { o.AirC = model.Known(model.Celsius(v)) },
		func(h *model.ForecastHour, v float64) { h.AirC = model.Known(model.Celsius(v)) },
	},
	{
		"dew_point", -95, 40,
		func(o *model.Observation, v float64) { o.DewC = model.Known(model.Celsius(v)) },
		func(h *model.ForecastHour, v float64) { h.DewC = model.Known(model.Celsius(v)) },
	},
	{
		"relative_humidity", 0, 100,
		nil,
		func(h *model.ForecastHour, v float64) { h.RHPct = model.Known(v) },
	},
	{
		"wind_speed", 0, fastestKmh,
		func(o *model.Observation, v float64) { o.WindMps = mps(v) },
		func(h *model.ForecastHour, v float64) { h.WindMps = mps(v) },
	},
	{
		"wind_direction", 0, 360,
		func(o *model.Observation, v float64) { o.WindFromDeg = from(v) },
		func(h *model.ForecastHour, v float64) { h.WindFromDeg = from(v) },
	},
	{
		"wind_gust_speed", 0, fastestKmh,
		func(o *model.Observation, v float64) { o.GustMps = mps(v) },
		func(h *model.ForecastHour, v float64) { h.GustMps = mps(v) },
	},
	{
		"pressure_msl", 850, 1100,
		func(o *model.Observation, v float64) { o.SeaLevelHPa = model.Known(model.Hectopascals(v)) },
		func(h *model.ForecastHour, v float64) { h.SeaLevelHPa = model.Known(model.Hectopascals(v)) },
	},
	{
		"cloud_cover", 0, 100,
		func(o *model.Observation, v float64) { o.CloudOktas = model.Known(int(math.Round(v / pctPerOkta))) },
		func(h *model.ForecastHour, v float64) { h.CloudFraction = model.Known(v / 100) },
	},
	{
		"precipitation", 0, 500,
		func(o *model.Observation, v float64) { o.Rain = hourOfRain(v) },
		func(h *model.ForecastHour, v float64) { h.Rain = hourOfRain(v) },
	},
}

const (
	fastestKmh = 115 * air.KmhPerMps
	pctPerOkta = 12.5 // the service writes oktas as whole per cent, cut down: 87 is seven of eight
)

func mps(kmh float64) model.Maybe[model.MetresPerSecond] {
	return model.Known(model.MetresPerSecond(kmh / air.KmhPerMps))
}

func from(deg float64) model.Maybe[model.Degrees] {
	if deg == 360 {
		deg = 0
	}
	return model.Known(model.Degrees(deg))
}

func hourOfRain(mm float64) model.Maybe[model.Rain] {
	return model.Known(model.Rain{Mm: model.Millimetres(mm), OverH: 1})
}

// reader reads the values of one answer and collects what was wrong.
type reader struct {
	sources  map[int64]source
	order    []string // the stations' numbers as listed, the nearest first
	unknown  map[int64]bool
	warnings []string
}

func (r *reader) warn(format string, args ...any) {
	r.warnings = append(r.warnings, fmt.Sprintf(format, args...))
}

// value reads one variable. Absent and null are missing without a word.
func (r *reader) value(h row, q quantity) (float64, bool) {
	raw, there := h.values[q.name]
	if !there || string(raw) == "null" {
		return 0, false
	}
	v, err := strconv.ParseFloat(string(raw), 64)
	if err != nil {
		r.warn("%s: %s: %.40s is not a finite number; left out", h.Timestamp, q.name, raw)
		return 0, false
	}
	if v < q.low || v > q.high {
		r.warn("%s: %s: %v is outside %v to %v; left out", h.Timestamp, q.name, v, q.low, q.high)
		return 0, false
	}
	return v + 0, true // + 0: never -0
}

// otherUnits says whether an hour's temperature is plainly in kelvin or its
// pressure in pascals.
func otherUnits(h row) bool {
	kelvin, _ := strconv.ParseFloat(string(h.values["temperature"]), 64)
	pascals, _ := strconv.ParseFloat(string(h.values["pressure_msl"]), 64)
	return kelvin >= 180 && kelvin <= 340 || pascals >= 85000 && pascals <= 110000
}
