package main

import (
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strings"

	"osier/model/air"
)

// pointQuantities are the quantities that point_checks.csv may name, each
// computed from the inputs of its row.
var pointQuantities = map[string]func(*pointInputs) (float64, bool){
	"wind_chill_f": func(in *pointInputs) (float64, bool) { return air.WindChillF(in.get("T", "F"), in.get("V", "mph")) },
	"wind_chill_c": func(in *pointInputs) (float64, bool) { return air.WindChill(in.get("T", "C"), in.get("V", "km/h")) },
	"wind_chill_c_via_f_form": func(in *pointInputs) (float64, bool) {
		chillF, ok := air.WindChillF(in.get("T", "F"), in.get("V", "mph"))
		return air.CelsiusFromFahrenheit(chillF), ok
	},
	"heat_index_f": func(in *pointInputs) (float64, bool) { return air.HeatIndexF(in.get("T", "F"), in.get("RH", "%")) },
	"heat_index_c": func(in *pointInputs) (float64, bool) { return air.HeatIndex(in.get("T", "C"), in.get("RH", "%")) },
	"apparent_temperature_bom_c": func(in *pointInputs) (float64, bool) {
		return air.ApparentTemperature(in.get("T", "C"), in.get("RH", "%"), in.get("ws", "m/s"))
	},
	"sat_vapour_pressure_hpa": func(in *pointInputs) (float64, bool) { return air.SaturationVapourPressure(in.get("T", "C")) },
	"dew_point_c":             func(in *pointInputs) (float64, bool) { return air.DewPoint(in.get("T", "C"), in.get("RH", "%")) },
	"relative_humidity_pct": func(in *pointInputs) (float64, bool) {
		return air.RelativeHumidity(in.get("T", "C"), in.get("Td", "C"))
	},
	"relative_humidity_pct_nws": func(in *pointInputs) (float64, bool) {
		return air.RelativeHumidityNWS(in.get("T", "C"), in.get("Td", "C"))
	},
	"msl_pressure_hpa": func(in *pointInputs) (float64, bool) {
		saturatedHPa, ok := air.SaturationVapourPressure(in.get("T", "C"))
		if !ok {
			return 0, false
		}
		return air.SeaLevelPressure(in.get("Ps", "hPa"), in.get("H", "m"), in.get("T", "C"), in.get("RH", "%")/100*saturatedHPa)
	},
	"station_pressure_from_qnh_hpa": func(in *pointInputs) (float64, bool) {
		return air.StationPressureFromQNH(in.get("QNH", "hPa"), in.get("h", "m"))
	},
	"unit": func(in *pointInputs) (float64, bool) { return in.converted, true },
}

// airPoints checks each row of point_checks.csv. An expected value that is
// empty, "null" or "none" means that the quantity is not defined there.
func airPoints(t airTable, _ *airSummary) ([]verifyCheck, error) {
	cell, err := t.columns("quantity", "inputs", "expected", "tolerance", "source")
	if err != nil {
		return nil, err
	}
	var checks []verifyCheck
	for _, row := range t.rows {
		quantity, inputs := cell(row, "quantity"), cell(row, "inputs")
		compute, known := pointQuantities[quantity]
		if !known {
			names := slices.Sorted(maps.Keys(pointQuantities))
			return nil, t.errorf(row.line, "the quantity is %q; it should be one of %s", quantity, strings.Join(names, ", "))
		}
		in, err := parsePointInputs(quantity, inputs)
		if err != nil {
			return nil, t.errorf(row.line, "inputs: %v", err)
		}
		got, defined := compute(in)
		if in.err != nil {
			return nil, t.errorf(row.line, "inputs: %v", in.err)
		}
		name, source := quantity+" "+inputs, cell(row, "source")
		if meansNoValue(cell(row, "expected")) {
			checks = append(checks, noValueCheck(name, got, defined, source))
			continue
		}
		want, err := t.number(row.line, "expected", cell(row, "expected"))
		if err != nil {
			return nil, err
		}
		tolerance, err := pointTolerance(t, row.line, cell(row, "tolerance"), want)
		if err != nil {
			return nil, err
		}
		checks = append(checks, valueCheck(name, got, defined, want, tolerance, source))
	}
	return checks, nil
}

// pointTolerance reads "0.001" or "1e-6 relative".
func pointTolerance(t airTable, line int, text string, want float64) (float64, error) {
	share, relative := strings.CutSuffix(text, " relative")
	tolerance, err := t.number(line, "tolerance", share)
	if err != nil {
		return 0, err
	}
	if tolerance < 0 {
		return 0, t.errorf(line, "tolerance is %q; it should not be negative", text)
	}
	if relative {
		tolerance *= math.Abs(want)
	}
	return tolerance, nil
}

// pointInputs are the inputs of one row. The first input that is missing or in
// a unit of another kind is kept as the error.
type pointInputs struct {
	values    map[string]measure
	converted float64
	err       error
}

type measure struct {
	value float64
	unit  string
}

// get is the named input in the given unit.
func (in *pointInputs) get(name, unit string) float64 {
	given, ok := in.values[name]
	if !ok {
		return in.fail(fmt.Errorf("%s is missing", name))
	}
	v, ok := convertUnit(given.value, given.unit, unit)
	if !ok {
		return in.fail(fmt.Errorf("%s is in %q; it should be in %s", name, given.unit, unit))
	}
	return v
}

func (in *pointInputs) fail(err error) float64 {
	if in.err == nil {
		in.err = err
	}
	return 0
}

var (
	// pointInput is "T=-3C" or "RH=48.1%".
	pointInput = regexp.MustCompile(`^([A-Za-z]+)=([-+]?[0-9.]+(?:[eE][-+]?[0-9]+)?)([A-Za-z%]\S*)$`)
	// unitInput is "1 kt kt->m/s".
	unitInput = regexp.MustCompile(`^(\S+) (\S+) (\S+)->(\S+)$`)
)

func parsePointInputs(quantity, text string) (*pointInputs, error) {
	if quantity == "unit" {
		return parseUnitInput(text)
	}
	in := &pointInputs{values: map[string]measure{}}
	// The one remark that occurs says what our formula takes for granted.
	for _, word := range strings.Fields(strings.TrimSuffix(text, " over water")) {
		m := pointInput.FindStringSubmatch(word)
		if m == nil {
			return nil, fmt.Errorf("%q should be a name, a number and a unit, such as T=-3C", word)
		}
		v, err := parseFinite(m[2])
		if err != nil {
			return nil, err
		}
		in.values[m[1]] = measure{v, m[3]}
	}
	return in, nil
}

func parseUnitInput(text string) (*pointInputs, error) {
	m := unitInput.FindStringSubmatch(text)
	if m == nil || m[2] != m[3] {
		return nil, fmt.Errorf("%q should be a number, its unit and the conversion, such as 1 kt kt->m/s", text)
	}
	v, err := parseFinite(m[1])
	if err != nil {
		return nil, err
	}
	converted, ok := convertUnit(v, m[3], m[4])
	if !ok {
		return nil, fmt.Errorf("%s cannot become %s", m[3], m[4])
	}
	return &pointInputs{converted: converted}, nil
}

// unitFactors are the units of the reference files: what each measures, and how
// many of the first unit of that kind it is.
var unitFactors = map[string]struct {
	kind   string
	factor float64
}{
	"m/s":  {"speed", 1},
	"kt":   {"speed", air.MpsPerKnot},
	"mph":  {"speed", air.MpsPerMph},
	"km/h": {"speed", 1 / air.KmhPerMps},
	"hPa":  {"pressure", 1},
	"inHg": {"pressure", air.HPaPerInHg},
	"mmHg": {"pressure", air.HPaPerMmHg},
	"m":    {"length", 1},
	"ft":   {"length", air.MetresPerFoot},
	"SM":   {"length", air.MetresPerMile},
	"%":    {"share", 1},
}

// convertUnit is false for units that are not known or not of one kind, and for
// a result too large to be a number.
func convertUnit(v float64, from, to string) (float64, bool) {
	a, knownFrom := unitFactors[from]
	b, knownTo := unitFactors[to]
	switch {
	case from == to && (knownFrom || from == "C" || from == "F"):
		return v, true
	case from == "C" && to == "F":
		v = air.FahrenheitFromCelsius(v)
	case from == "F" && to == "C":
		v = air.CelsiusFromFahrenheit(v)
	case knownFrom && knownTo && a.kind == b.kind:
		v = v * a.factor / b.factor
	default:
		return 0, false
	}
	return v, !math.IsInf(v, 0)
}
