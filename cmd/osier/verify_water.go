package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"osier/model/air"
)

// waterLakesFile lists the lakes of a reference folder.
const waterLakesFile = "lakes.json"

// waterToBeat are the errors in C, of daily means over the second half of a
// record, that the model has to stay under: without and with a weekly reading.
// Source: the project's reference pack (water and fish, 2.3). Those of crystal-bog
// rest on weather that is dated two days late (see the test of the lakes' dates).
var waterToBeat = map[string]struct{ zeroC, weeklyC float64 }{
	"iowa-pond-f":  {0.60, 0.61},
	"crystal-bog":  {2.56, 2.22},
	"langtjern":    {1.53, 1.16},
	"lake-suggs":   {1.44, 1.04},
	"lough-feeagh": {0.89, 0.65},
}

const (
	waterPackSource = "figures to beat, reference pack (water and fish, 2.3)"
	roundedC        = 0.005 // half of the last digit printed there
	harmC           = 0.05  // by which readings may at most worsen a lake without a figure. Our choice
)

// waterSummary says how well each lake is met; file names stand for lakes.
type waterSummary struct {
	Lakes  map[string]waterScore `json:"lakes"`
	Checks int                   `json:"formula_checks"`
}

// verifyWater holds model/water against the lakes of a folder, the formula
// checks below its folder checks, or both.
func verifyWater(files fs.FS) (checks []verifyCheck, summary any, err error) {
	checks, err = waterFormulas(files)
	if err != nil {
		return nil, nil, err
	}
	found := waterSummary{Lakes: map[string]waterScore{}, Checks: len(checks)}
	lakes, err := waterLakes(files)
	if err != nil {
		return nil, nil, err
	}
	for _, lake := range lakes {
		name := strings.TrimSuffix(lake.File, ".csv")
		score, err := lake.score(files)
		if err != nil {
			return nil, nil, fmt.Errorf("lake %s: %w", name, err)
		}
		if pack, known := waterToBeat[name]; known {
			score.PackZeroC, score.PackWeeklyC = &pack.zeroC, &pack.weeklyC
		}
		found.Lakes[name] = score
	}
	checks = append(checks, lakeChecks(found.Lakes)...)
	if len(checks) == 0 {
		return nil, nil, fmt.Errorf("there is neither a %s nor a folder checks with tables in it", waterLakesFile)
	}
	return checks, found, nil
}

// lakeChecks holds each lake to its figures to beat, and the known ones together
// to be better on the mean. A lake without figures must not be harmed by its
// readings.
func lakeChecks(lakes map[string]waterScore) (checks []verifyCheck) {
	known, sumC, packC := 0.0, 0.0, 0.0
	for _, name := range slices.Sorted(maps.Keys(lakes)) {
		s := lakes[name]
		if s.PackZeroC == nil {
			checks = append(checks, atMostCheck(name+" rmse_weekly_c", s.RMSEWeeklyC, s.RMSEZeroC, harmC, "a reading does no harm"))
			continue
		}
		known, sumC, packC = known+1, sumC+s.RMSEZeroC, packC+*s.PackZeroC
		checks = append(checks,
			atMostCheck(name+" rmse_zero_c", s.RMSEZeroC, *s.PackZeroC, roundedC, waterPackSource),
			atMostCheck(name+" rmse_weekly_c", s.RMSEWeeklyC, *s.PackWeeklyC, roundedC, waterPackSource))
	}
	if known > 0 {
		mean := atMostCheck("mean rmse_zero_c of the known lakes", sumC/known, packC/known, 0, waterPackSource)
		mean.OK = sumC < packC
		checks = append(checks, mean)
	}
	return checks
}

// atMostCheck passes when got is no more than the tolerance above most.
func atMostCheck(name string, got, most, tolerance float64, source string) verifyCheck {
	return verifyCheck{
		Name: name + ", at most", Got: air.Round(got, 3), Want: air.Round(most, 3), Tolerance: tolerance,
		OK: got <= most+tolerance, Source: source,
	}
}

// waterLakes reads the list of lakes; a folder without one has none.
func waterLakes(files fs.FS) ([]waterLake, error) {
	content, err := fs.ReadFile(files, waterLakesFile)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w", waterLakesFile, err)
	}
	var list struct {
		Lakes []waterLake `json:"lakes"`
	}
	if err := json.Unmarshal(content, &list); err != nil {
		return nil, fmt.Errorf("reading %s: %w", waterLakesFile, err)
	}
	if len(list.Lakes) == 0 {
		return nil, fmt.Errorf("reading %s: it lists no lake; it should hold {\"lakes\": [...]}", waterLakesFile)
	}
	return list.Lakes, nil
}
