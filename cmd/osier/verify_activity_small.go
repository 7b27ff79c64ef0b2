package main

import (
	"errors"
	"fmt"
	"io/fs"
	"math"

	"osier/model/activity"
)

// smallTolerance is of small.json and decisions.json.
const smallTolerance = 1e-6

// smallForecast is what a small record says of one session to come.
type smallForecast struct {
	Mean   float64 `json:"eta_mean"`
	Var    float64 `json:"eta_var"`
	Hours  float64 `json:"hours"`
	Bites  float64 `json:"mean"`
	P0     float64 `json:"p0"`
	Q05    int     `json:"q05"`
	Q25    int     `json:"q25"`
	Median int     `json:"median"`
	Q75    int     `json:"q75"`
	Q95    int     `json:"q95"`
}

// smallProblem is a made-up regression with proper priors.
type smallProblem struct {
	Y       []int     `json:"y"`
	X       []float64 `json:"x"`
	Z       []float64 `json:"z"`
	PriorSD []float64 `json:"prior_sd"`
	Map     []float64 `json:"map"`
	SD      []float64 `json:"sd"`
}

// smallReference is small.json: one angler's first sessions at a known spread.
type smallReference struct {
	Fixed struct {
		Theta    float64 `json:"theta"`
		SDWater  float64 `json:"sd_water"`
		SDAngler float64 `json:"sd_angler"`
		B0Mean   float64 `json:"b0_mean"`
		B0SD     float64 `json:"b0_sd"`
		B1Mean   float64 `json:"b1_mean"`
		B1SD     float64 `json:"b1_sd"`
	} `json:"fixed"`
	NewSession struct {
		LogAppetite float64 `json:"log_appetite"`
		HomeWater   any     `json:"home_water"`
	} `json:"new_session"`
	Cases []struct {
		Name   string             `json:"name"`
		B0     float64            `json:"b0"`
		B1     float64            `json:"b1"`
		Angler float64            `json:"angler"`
		Waters map[string]float64 `json:"waters"`
		Known  smallForecast      `json:"same_angler_home_water"`
		New    smallForecast      `json:"new_angler_new_water"`
	} `json:"cases"`
	Separation smallProblem `json:"separation"`
	Collinear  smallProblem `json:"collinear"`
}

// smallSessions is how many of the sessions in small.csv each case of
// small.json has seen; the last has seen them all as blanks.
var smallSessions = map[string]struct {
	sessions int
	blanks   bool
}{
	"0 sessions":                           {0, false},
	"1 session":                            {1, false},
	"5 sessions":                           {5, false},
	"20 sessions":                          {20, false},
	"20 sessions, every count set to zero": {20, true},
}

// verifySmall holds the inner fit and its forecasts against small.json.
func verifySmall(files fs.FS, _ activitySummary) ([]verifyCheck, error) {
	var want smallReference
	found, err := readReference(files, "small.json", &want)
	if !found {
		return nil, err
	}
	table, err := readTable(files, "small.csv")
	if err != nil {
		return nil, err
	}
	var checks []verifyCheck
	for i := range want.Cases {
		of, err := want.caseChecks(table, i)
		if err != nil {
			return nil, fmt.Errorf("small.json, %s: %w", want.Cases[i].Name, err)
		}
		checks = append(checks, of...)
	}
	ones := make([]float64, len(want.Separation.Y))
	for i := range ones {
		ones[i] = 1
	}
	for _, problem := range []struct {
		name  string
		of    smallProblem
		terms []term
	}{
		{"separation", want.Separation, []term{{"one", ones}, {"x", want.Separation.X}}},
		{"collinear", want.Collinear, []term{{"one", ones}, {"z", want.Collinear.Z}, {"z again", want.Collinear.Z}}},
	} {
		of, err := problem.of.checks(problem.name, problem.terms, want.Fixed.Theta)
		if err != nil {
			return nil, fmt.Errorf("small.json, %s: %w", problem.name, err)
		}
		checks = append(checks, of...)
	}
	return checks, nil
}

// smallAngler is the one angler's name.
const smallAngler = "angler"

func (want smallReference) caseChecks(table referenceTable, i int) ([]verifyCheck, error) {
	of := want.Cases[i]
	seen, ok := smallSessions[of.Name]
	if !ok || seen.sessions > table.rows {
		return nil, errors.New("the case is not known, or small.csv has too few rows")
	}
	records, err := smallRecords(table, seen.sessions, seen.blanks)
	if err != nil {
		return nil, err
	}
	f := want.Fixed
	fit, err := activity.FitCountsAt(records,
		activity.CountPriors{Mean: []float64{f.B0Mean, f.B1Mean}, SD: []float64{f.B0SD, f.B1SD}},
		activity.CountSpread{Alpha: 1 / f.Theta, SDs: []float64{f.SDWater, f.SDAngler}})
	if err != nil {
		return nil, err
	}
	name, source := "small "+of.Name, "small.json"
	checks := []verifyCheck{
		relativeCheck(name+": b0", fit.Coefficients[0], of.B0, smallTolerance, source),
		relativeCheck(name+": b1", fit.Coefficients[1], of.B1, smallTolerance, source),
	}
	for l, water := range fit.Factors[0].Levels {
		checks = append(checks, relativeCheck(name+": water "+water, fit.Factors[0].Effects[l], of.Waters[water], smallTolerance, source))
	}
	for _, angler := range fit.Factors[1].Effects {
		checks = append(checks, relativeCheck(name+": angler", angler, of.Angler, smallTolerance, source))
	}
	for _, to := range []struct {
		name   string
		groups []string
		want   smallForecast
	}{
		{"known", []string{fmt.Sprint(want.NewSession.HomeWater), smallAngler}, of.Known},
		{"new", []string{"another water", "another angler"}, of.New},
	} {
		found, err := to.want.checks(name+", "+to.name, fit, []float64{1, want.NewSession.LogAppetite}, to.groups)
		if err != nil {
			return nil, err
		}
		checks = append(checks, found...)
	}
	return checks, nil
}

// smallRecords are the first sessions of small.csv.
func smallRecords(table referenceTable, sessions int, blanks bool) (activity.CountRecords, error) {
	appetite, err := table.numbers("log_appetite")
	if err != nil {
		return activity.CountRecords{}, err
	}
	hours, err := table.numbers("hours")
	if err != nil {
		return activity.CountRecords{}, err
	}
	bites, err := table.counts("bites")
	if err != nil {
		return activity.CountRecords{}, err
	}
	if blanks {
		clear(bites)
	}
	if len(table.text["water"]) != table.rows {
		return activity.CountRecords{}, fmt.Errorf("%s has no column water", table.name)
	}
	records := activity.CountRecords{Columns: []string{"b0", "b1"}, Counts: bites[:sessions], Hours: hours[:sessions]}
	anglers := make([]string, sessions)
	for i := range anglers {
		anglers[i] = smallAngler
		records.X = append(records.X, 1, appetite[i])
	}
	records.Factors = []activity.CountFactor{
		activity.NewCountFactor("water", table.text["water"][:sessions]), activity.NewCountFactor("angler", anglers),
	}
	return records, nil
}

func (want smallForecast) checks(name string, fit activity.CountFit, x []float64, groups []string) ([]verifyCheck, error) {
	mean, variance, err := fit.Predict(x, groups)
	if err != nil {
		return nil, err
	}
	p, err := activity.NewCountPrediction(mean, variance, want.Hours, fit.Spread.Alpha)
	if err != nil {
		return nil, err
	}
	source := "small.json"
	checks := []verifyCheck{
		relativeCheck(name+": log rate", mean, want.Mean, smallTolerance, source),
		relativeCheck(name+": variance", variance, want.Var, smallTolerance, source),
		relativeCheck(name+": mean count", p.Mean(), want.Bites, smallTolerance, source),
		relativeCheck(name+": no bite", p.Probability(0), want.P0, smallTolerance, source),
	}
	quantiles, err := quantileChecks(name, p, [5]int{want.Q05, want.Q25, want.Median, want.Q75, want.Q95}, source)
	return append(checks, quantiles...), err
}

// checks holds a regression without groups, priors centred on 0.
func (want smallProblem) checks(name string, terms []term, theta float64) ([]verifyCheck, error) {
	if len(want.Y) == 0 {
		return nil, nil
	}
	if len(want.Map) != len(terms) || len(want.SD) != len(terms) {
		return nil, fmt.Errorf("there are %d modes and %d sds for %d columns", len(want.Map), len(want.SD), len(terms))
	}
	for _, of := range terms {
		if len(of.values) != len(want.Y) {
			return nil, fmt.Errorf("column %s has %d values for %d counts", of.name, len(of.values), len(want.Y))
		}
	}
	records := activity.CountRecords{Counts: want.Y, Hours: terms[0].values}
	for _, of := range terms {
		records.Columns = append(records.Columns, of.name)
	}
	for i := range want.Y {
		for _, of := range terms {
			records.X = append(records.X, of.values[i])
		}
	}
	fit, err := activity.FitCountsAt(records,
		activity.CountPriors{Mean: make([]float64, len(terms)), SD: want.PriorSD}, activity.CountSpread{Alpha: 1 / theta})
	if err != nil {
		return nil, err
	}
	var checks []verifyCheck
	for j := range terms {
		checks = append(checks,
			relativeCheck(name+": "+terms[j].name, fit.Coefficients[j], want.Map[j], smallTolerance, "small.json"),
			relativeCheck(name+": sd of "+terms[j].name, fit.SEs[j], want.SD[j], smallTolerance, "small.json"))
	}
	return checks, nil
}

// verifyChoices holds the asymmetric choice of feed and the E-value against
// decisions.json.
func verifyChoices(files fs.FS, _ activitySummary) ([]verifyCheck, error) {
	var want struct {
		Feed []struct {
			LogMean      float64 `json:"best_feed_log_mean"`
			LogSD        float64 `json:"best_feed_log_sd"`
			CostOver     float64 `json:"cost_over"`
			CostUnder    float64 `json:"cost_under"`
			Quantile     float64 `json:"quantile"`
			RateGH       float64 `json:"feed_gph"`
			Loss         float64 `json:"expected_loss"`
			LossAtMedian float64 `json:"expected_loss_at_median"`
		} `json:"asymmetric_feed"`
		EValue []struct {
			RateRatio float64 `json:"rate_ratio"`
			EValue    float64 `json:"e_value"`
		} `json:"e_value"`
	}
	found, err := readReference(files, "decisions.json", &want)
	if !found {
		return nil, err
	}
	source := "decisions.json"
	var checks []verifyCheck
	for i, of := range want.Feed {
		got, err := activity.ChooseFeed(of.LogMean, of.LogSD, of.CostOver, of.CostUnder)
		if err != nil {
			return nil, fmt.Errorf("decisions.json: %w", err)
		}
		name := fmt.Sprintf("feed choice %d: ", i+1)
		atMedian := activity.ExpectedFeedLoss(math.Exp(of.LogMean), of.LogMean, of.LogSD, of.CostOver, of.CostUnder)
		checks = append(checks,
			relativeCheck(name+"quantile", got.Quantile, of.Quantile, smallTolerance, source),
			relativeCheck(name+"rate", got.RateGH, of.RateGH, smallTolerance, source),
			relativeCheck(name+"loss", got.ExpectedLoss, of.Loss, smallTolerance, source),
			relativeCheck(name+"loss at the median", atMedian, of.LossAtMedian, smallTolerance, source))
	}
	for _, of := range want.EValue {
		got, ok := activity.EValue(of.RateRatio)
		if !ok {
			return nil, fmt.Errorf("decisions.json: a rate ratio is %g; it must be above 0", of.RateRatio)
		}
		checks = append(checks, relativeCheck(fmt.Sprintf("E-value of %g", of.RateRatio), got, of.EValue, smallTolerance, source))
	}
	return checks, nil
}
