package main

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"math"
	"strings"

	"osier/model/activity"
)

// simulatedTruth is what the generator of invented sessions planted.
type simulatedTruth struct {
	Private float64            `json:"private"`
	Fixed   map[string]float64 `json:"fixed"`
}

// simulatedColumns are the generator's columns, by their name in fits and in
// the truth.
var simulatedColumns = []struct{ fit, truth string }{
	{"(Intercept)", "intercept"},
	{"log_appetite", "log_appetite"},
	{"dtemp24", "dtemp24"},
	{"dpres3", "dpres3"},
	{"dpres24_per10", "dpres24_per10"},
	{"wind_per5", "wind_per5"},
	{"cloudc", "cloud"},
	{"log1p_rain", "log1p_rain"},
	{"season_sin", "season_sin"},
	{"season_cos", "season_cos"},
	{"hour_cos", "hour_cos"},
	{"feed", "feed"},
	{"feed_x_temp", "feed_x_temp"},
	{"feed_sq", "feed_sq"},
}

// simulatedFits are the reference fits that a .fit.json may hold.
var simulatedFits = []struct {
	key     string
	factors []string
	method  activity.CountMethod
}{
	{"all_integrated_water_angler", []string{"water", "angler"}, activity.CountMethod{}},
	{"ml_water_angler", []string{"water", "angler"}, activity.CountMethod{MaximumLikelihood: true}},
	{"all_integrated_water_angler_peg", []string{"water", "angler", "pegw"}, activity.CountMethod{}},
	{"ml_water_angler_peg", []string{"water", "angler", "pegw"}, activity.CountMethod{MaximumLikelihood: true}},
}

// verifySimulated fits every sim-*.csv, holds it against its truth, and against
// another fitter where a .fit.json lies beside it.
func verifySimulated(files fs.FS, of activitySummary) ([]verifyCheck, error) {
	names, err := fs.Glob(files, "sim-*.csv")
	if err != nil {
		return nil, fmt.Errorf("looking for sim-*.csv: %w", err)
	}
	var checks []verifyCheck
	for _, file := range names {
		found, err := verifySimulatedFile(files, strings.TrimSuffix(file, ".csv"), of)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", file, err)
		}
		checks = append(checks, found...)
	}
	return checks, nil
}

func verifySimulatedFile(files fs.FS, name string, of activitySummary) ([]verifyCheck, error) {
	records, table, err := simulatedRecords(files, name+".csv")
	if err != nil {
		return nil, err
	}
	fit, measured, err := measureFit(records)
	if err != nil {
		return nil, err
	}
	of.Fits[name] = measured
	var checks []verifyCheck
	var truth simulatedTruth
	found, err := readReference(files, name+".truth.json", &truth)
	if err != nil {
		return nil, err
	}
	if found {
		checks = truth.checks(name, fit)
	}
	var references map[string]json.RawMessage
	if found, err = readReference(files, name+".fit.json", &references); !found {
		return checks, err
	}
	for _, want := range simulatedFits {
		text, ok := references[want.key]
		if !ok {
			continue
		}
		var reference mixedReference
		if err := json.Unmarshal(text, &reference); err != nil {
			return nil, fmt.Errorf("reading %s.fit.json, %s: %w", name, want.key, err)
		}
		records.Factors = nil
		for _, factor := range want.factors {
			records.Factors = append(records.Factors, activity.NewCountFactor(factor, table.text[factor]))
		}
		fit, err := activity.FitCounts(records, activity.CountPriors{}, want.method)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", want.key, err)
		}
		checks = append(checks, reference.checks(name+" "+want.key, fit, simulatedTolerances, name+".fit.json")...)
	}
	return checks, nil
}

// checks holds a fit within four standard errors of the truth. The pegs are not
// in the fit: theta then comes out some 5 % low, which 0.06 in its log allows.
// The standard error of theta's log is taken as 2.5/sqrt(rows).
func (truth simulatedTruth) checks(name string, fit activity.CountFit) []verifyCheck {
	source := name + ".truth.json"
	var checks []verifyCheck
	for j, column := range simulatedColumns {
		if truth.Private != 0 && strings.HasPrefix(column.truth, "feed") {
			continue // a private tip drives plan and bites together: feed cannot be recovered
		}
		checks = append(checks, numberCheck(name+" truth: "+column.fit, fit.Coefficients[j], truth.Fixed[column.truth], 4*fit.SEs[j], source))
	}
	for k, factor := range fit.Factors {
		want := truth.Fixed["sd_"+factor.Name]
		checks = append(checks, numberCheck(name+" truth: sd of "+factor.Name, fit.Spread.SDs[k], want, 4*spreadSE(fit, k, want), source))
	}
	allowed := 4*2.5/math.Sqrt(float64(fit.Rows)) + 0.06
	return append(checks, numberCheck(name+" truth: log theta", -math.Log(fit.Spread.Alpha), math.Log(truth.Fixed["theta"]), allowed, source))
}

// spreadSE is about the standard error of a factor's sd: the information in its
// log is 2 for each level, less as the square of what the records say of the
// level falls short of all there is to know. An sd fitted as about 0 has the
// planted one's, as if one level were known.
func spreadSE(fit activity.CountFit, k int, planted float64) float64 {
	sd := max(fit.Spread.SDs[k], planted)
	var information float64
	for _, s := range fit.EffectSDs(k) {
		known := max(0, 1-s*s/(fit.Spread.SDs[k]*fit.Spread.SDs[k]))
		information += 2 * known * known
	}
	return sd / math.Sqrt(max(information, 2))
}

// simulatedRecords builds the generator's columns from its file.
func simulatedRecords(files fs.FS, name string) (activity.CountRecords, referenceTable, error) {
	table, err := readTable(files, name)
	if err != nil {
		return activity.CountRecords{}, table, err
	}
	raw := map[string][]float64{}
	for _, column := range []string{"doy", "start", "hours", "water_temp", "dtemp24", "dpres3", "dpres24", "wind", "cloud", "rain", "plan_feed_gph"} {
		if raw[column], err = table.numbers(column); err != nil {
			return activity.CountRecords{}, table, err
		}
	}
	terms := make([]term, len(simulatedColumns))
	for j, column := range simulatedColumns {
		terms[j] = term{column.fit, make([]float64, table.rows)}
	}
	for i := range table.rows {
		for j, v := range simulatedRow(raw, i) {
			terms[j].values[i] = v
		}
	}
	pegs, of := make([]string, table.rows), table.text["peg"]
	if len(of) != table.rows || len(table.text["water"]) != table.rows {
		return activity.CountRecords{}, table, fmt.Errorf("%s has no column water or none named peg", name)
	}
	for i, water := range table.text["water"] {
		pegs[i] = water + "/" + of[i]
	}
	table.text["pegw"] = pegs
	records, err := table.records(terms, "bites", raw["hours"], "water", "angler")
	return records, table, err
}

// simulatedRow is one row in the order of simulatedColumns.
func simulatedRow(raw map[string][]float64, i int) [14]float64 {
	waterC := raw["water_temp"][i]
	width := 7.0
	if waterC >= 18 {
		width = 5
	}
	z, year := math.Log(raw["plan_feed_gph"][i]/350), 2*math.Pi*raw["doy"][i]/365.25
	distance := (waterC - 18) / width
	return [14]float64{
		1, max(-3, -distance*distance/2), raw["dtemp24"][i], raw["dpres3"][i], raw["dpres24"][i] / 10,
		(raw["wind"][i] - 5) / 5, raw["cloud"][i] - 0.5, math.Log1p(raw["rain"][i]), math.Sin(year), math.Cos(year),
		math.Cos(2 * math.Pi * (raw["start"][i] + raw["hours"][i]/2 - 6) / 24), z, z * (waterC - 12) / 5, z * z,
	}
}
