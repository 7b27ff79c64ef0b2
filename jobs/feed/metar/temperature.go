package metar

import (
	"strings"

	"osier/model"
)

// The limits stand outside the records for air at a station, -89.2 and 56.7 C
// (WMO archive of extremes, from memory). A value beyond them is a typing
// error. Our choice.
const (
	minAirC = -95.0
	maxAirC = 65.0
)

// readTemperature takes TT/DD (WMO-No. 306, 15.11). Either part may be
// slashes, XX or nothing; M marks minus and MS is an old minus. M00, which
// stands for -0.5 to 0, is 0. A dew point without a temperature is a typing
// error and is dropped (our choice). A pressure group may be stuck to the end.
func (r *Report) readTemperature(group string) bool {
	if len(group) < 3 || r.AirC.Known {
		return false
	}
	air, rest, ok := temperaturePart(group)
	if !ok || len(rest) == len(group) || rest == "" || rest[0] != '/' {
		return false
	}
	dew, rest, ok := temperaturePart(rest[1:])
	if !ok {
		return false
	}
	switch {
	case rest == "":
	case leadingDigits(rest) == len(rest): // 28/222: the dew point is lost
		dew = model.Maybe[int]{}
	case !r.readPressure(rest):
		return false
	}
	if r.AirC = plausibleC(air, 1); r.AirC.Known {
		r.DewC = plausibleC(dew, 1)
		r.observed = true
	}
	return true
}

// temperaturePart reads one side of the stroke. A side may be empty.
func temperaturePart(s string) (degrees model.Maybe[int], rest string, ok bool) {
	if strings.HasPrefix(s, "//") || strings.HasPrefix(s, "XX") {
		return degrees, s[2:], true
	}
	rest, minus := strings.CutPrefix(s, "M")
	if minus {
		rest = strings.TrimPrefix(rest, "S")
	}
	if len(rest) < 2 || !isDigit(rest[0]) || !isDigit(rest[1]) {
		return degrees, rest, rest == "" || rest[0] == '/'
	}
	n := number(rest[:2])
	if minus {
		n = -n
	}
	return model.Known(n), rest[2:], true
}

// plausibleC turns a count of 1/perDegree degrees into Celsius and drops what
// no station can measure. An integer cannot be a negative zero, so neither can
// the result.
func plausibleC(count model.Maybe[int], perDegree int) model.Maybe[model.Celsius] {
	c := float64(count.Value) / float64(perDegree)
	if !count.Known || c < minAirC || c > maxAirC {
		return model.Maybe[model.Celsius]{}
	}
	return model.Known(model.Celsius(c))
}
