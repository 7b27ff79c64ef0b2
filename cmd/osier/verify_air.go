package main

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strconv"

	"osier/model/air"
)

// airSummary says what the reference folder held.
type airSummary struct {
	ChecksByFile   map[string]int `json:"checks_by_file"`
	Absent         []string       `json:"absent"`
	KnownMisprints []airMisprint  `json:"known_misprints"`
}

// airMisprint is a printed figure that is known to be wrong and is not checked.
type airMisprint struct {
	File     string  `json:"file"`
	AirF     float64 `json:"air_f"`
	RHPct    float64 `json:"relative_humidity_pct"`
	Printed  float64 `json:"printed_f"`
	Computed float64 `json:"computed_f"`
}

// The one cell of the printed heat index chart that is not the regression
// rounded: the regression gives 92.49, the chart prints 93.
const (
	misprintAirF  = 90
	misprintRHPct = 45
	misprintF     = 93
)

// airFiles are the files of a reference folder and what checks each of them.
var airFiles = []struct {
	name  string
	check func(airTable, *airSummary) ([]verifyCheck, error)
}{
	{"windchill_c_kmh.csv", windChillChart},
	{"windchill_f_mph.csv", windChillChartF},
	{"heat_index_f.csv", heatIndexChart},
	{"point_checks.csv", airPoints},
	{"sun_checks.csv", sunRows},
	{"pressure_tendency_cases.csv", tendencyRows},
	{"beaufort.csv", beaufortRows},
}

// verifyAir holds model/air and model/solar against every reference file it
// finds. A file that is not there is listed in the summary; that none is there
// is an error, as is a row that cannot be read.
func verifyAir(files fs.FS) (checks []verifyCheck, summary any, err error) {
	found := airSummary{ChecksByFile: map[string]int{}, Absent: []string{}, KnownMisprints: []airMisprint{}}
	for _, f := range airFiles {
		table, err := readAirTable(files, f.name)
		if errors.Is(err, fs.ErrNotExist) {
			found.Absent = append(found.Absent, f.name)
			continue
		}
		if err != nil {
			return nil, nil, err
		}
		made, err := f.check(table, &found)
		if err != nil {
			return nil, nil, err
		}
		found.ChecksByFile[f.name] = len(made)
		checks = append(checks, made...)
	}
	if len(found.Absent) == len(airFiles) {
		return nil, nil, fmt.Errorf("no reference file here; there should be some of %v", found.Absent)
	}
	return checks, found, nil
}

func windChillChart(t airTable, _ *airSummary) ([]verifyCheck, error) {
	return chartChecks(t, `wind_kmh\air_c`, func(windKmh, airC, printed float64) (verifyCheck, bool) {
		got, known := air.WindChill(airC, windKmh)
		name := fmt.Sprintf("wind chill chart, %v C at %v km/h, C", airC, windKmh)
		return chartCheck(name, got, known, printed, "Environment Canada wind chill chart (JAG/TI 2001)"), true
	})
}

func windChillChartF(t airTable, _ *airSummary) ([]verifyCheck, error) {
	return chartChecks(t, `wind_mph\air_f`, func(windMph, airF, printed float64) (verifyCheck, bool) {
		got, known := air.WindChillF(airF, windMph)
		name := fmt.Sprintf("wind chill chart, %v F at %v mph, F", airF, windMph)
		return chartCheck(name, got, known, printed, "NWS wind chill chart, November 2001 (JAG/TI 2001)"), true
	})
}

func heatIndexChart(t airTable, found *airSummary) ([]verifyCheck, error) {
	return chartChecks(t, `air_f\rh_pct`, func(airF, rhPct, printed float64) (verifyCheck, bool) {
		got, known := air.HeatIndexChartF(airF, rhPct)
		if airF == misprintAirF && rhPct == misprintRHPct && printed == misprintF {
			found.KnownMisprints = append(found.KnownMisprints, airMisprint{t.file, airF, rhPct, printed, air.Round(got, 2)})
			return verifyCheck{}, false
		}
		name := fmt.Sprintf("heat index chart, %v F at %v %%, F", airF, rhPct)
		return chartCheck(name, got, known, printed, "NWS heat index chart (Rothfusz 1990)"), true
	})
}

// chartChecks runs over the cells of a chart: the first row and the first
// column are the two quantities that the corner names, an empty cell is not
// printed. cell returns false for a cell that is not to be checked.
func chartChecks(t airTable, corner string, cell func(rowHead, columnHead, printed float64) (verifyCheck, bool)) ([]verifyCheck, error) {
	if t.header[0] != corner {
		return nil, t.errorf(t.headerLine, "the first column is %q; it should be %q", t.header[0], corner)
	}
	heads := make([]float64, len(t.header))
	for i, text := range t.header[1:] {
		v, err := t.number(t.headerLine, "column head", text)
		if err != nil {
			return nil, err
		}
		heads[i+1] = v
	}
	var checks []verifyCheck
	for _, row := range t.rows {
		rowHead, err := t.number(row.line, corner, row.cells[0])
		if err != nil {
			return nil, err
		}
		for i := 1; i < len(row.cells); i++ {
			if row.cells[i] == "" {
				continue
			}
			printed, err := t.number(row.line, "column "+t.header[i], row.cells[i])
			if err != nil {
				return nil, err
			}
			if check, ok := cell(rowHead, heads[i], printed); ok {
				checks = append(checks, check)
			}
		}
	}
	return checks, nil
}

// chartCheck compares the value to whole degrees, as charts are printed.
func chartCheck(name string, got float64, known bool, printed float64, source string) verifyCheck {
	return valueCheck(name, air.Round(got, 0), known, printed, 0, source)
}

// noValue is what a check shows where a quantity is not defined.
const noValue = "no value"

// valueCheck compares a computed value, if there is one, with a number.
func valueCheck(name string, got float64, known bool, want, tolerance float64, source string) verifyCheck {
	if !known {
		return textCheck(name, noValue, strconv.FormatFloat(want, 'g', -1, 64), source)
	}
	return numberCheck(name, got, want, tolerance, source)
}

// noValueCheck passes when there is no value.
func noValueCheck(name string, got float64, known bool, source string) verifyCheck {
	shown := noValue
	if known {
		shown = strconv.FormatFloat(got, 'g', -1, 64)
	}
	return textCheck(name, shown, noValue, source)
}

// meansNoValue are the texts that a table uses for "none".
func meansNoValue(text string) bool { return slices.Contains([]string{"", "null", "none"}, text) }
