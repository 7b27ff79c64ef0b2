package main

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"slices"

	"osier/model/activity"
)

// The files of real catch records. They are not ours to copy, so the references
// below, from the project's statistics notes, section 9, stand here and the
// records are read from where they lie.
const (
	riverFile = "wa-river-interviews-2021.csv"
	parkFile  = "park-visits.csv"
)

// verifyCatches repeats, on real records of trips, the reference's own models
// to the digits that it prints.
func verifyCatches(files fs.FS, _ activitySummary) ([]verifyCheck, error) {
	var checks []verifyCheck
	for _, of := range []struct {
		file   string
		verify func(referenceTable) ([]verifyCheck, error)
	}{{riverFile, verifyRiver}, {parkFile, verifyPark}} {
		table, err := readTable(files, of.file)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		found, err := of.verify(table)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", of.file, err)
		}
		checks = append(checks, found...)
	}
	return checks, nil
}

// verifyRiver trains on the first 70 % of parties by date and hour and scores
// the last 30 %. Parties of the day of the cut are on both sides, as in the
// reference: its figures are held here, a fairer split is not.
func verifyRiver(table referenceTable) ([]verifyCheck, error) {
	hours, err := table.numbers("angler_hours")
	if err != nil {
		return nil, err
	}
	terms, err := factorTerms(table, "water", "boat", "guided")
	if err != nil {
		return nil, err
	}
	effort, err := effortChecks("river", table, "fish_total", hours, terms, effortReference{exponent: 0.75, se: 0.07, theta: 0.75, thetaFree: true})
	if err != nil {
		return nil, err
	}
	start, err := table.numbers("start_hour")
	if err != nil {
		return nil, err
	}
	order := make([]int, table.rows)
	for i := range order {
		order[i] = i
	}
	date := table.text["date"]
	if len(date) != table.rows {
		return nil, errors.New("there is no column date")
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(date[a], date[b]), cmp.Compare(start[a], start[b])) })
	split := timeSplit{train: order[:table.rows*7/10], test: order[table.rows*7/10:]}
	scores, err := split.checks(table, hours, terms)
	return append(effort, scores...), err
}

// factorTerms are the intercept and the contrasts of the columns, each against
// its first level in the order of the alphabet.
func factorTerms(table referenceTable, columns ...string) ([]term, error) {
	out := []term{table.ones()}
	for _, column := range columns {
		if len(table.text[column]) != table.rows {
			return nil, fmt.Errorf("there is no column %s", column)
		}
		levels := slices.Compact(slices.Sorted(slices.Values(table.text[column])))
		out = append(out, table.dummies(column, levels)...)
	}
	return out, nil
}

// verifyPark fits the visits by bait, persons and children.
func verifyPark(table referenceTable) ([]verifyCheck, error) {
	hours, err := table.numbers("hours")
	if err != nil {
		return nil, err
	}
	terms := []term{table.ones()}
	for _, column := range []string{"livebait", "persons", "child"} {
		values, err := table.numbers(column)
		if err != nil {
			return nil, err
		}
		terms = append(terms, term{column, values})
	}
	return effortChecks("park", table, "fish_caught", hours, terms, effortReference{exponent: 0.61, se: 0.10, theta: 0.51})
}

// effortReference is what the reference prints of one file: the exponent of
// effort, its standard error, and theta, where thetaFree with the exponent free
// and otherwise with it held at 1.
type effortReference struct {
	exponent, se, theta float64
	thetaFree           bool
}

// printed is half of the last digit of a figure printed to so many digits.
func printed(digits int) float64 { return 0.5000001 * math.Pow(10, -float64(digits)) }

func effortChecks(name string, table referenceTable, count string, hours []float64, terms []term, want effortReference) ([]verifyCheck, error) {
	held, _, err := table.regression(terms, count, hours)
	if err != nil {
		return nil, err
	}
	free, ses, err := table.regression(append(slices.Clip(terms), logTerm(hours)), count, nil)
	if err != nil {
		return nil, err
	}
	theta, source, last := 1/held.Spread.Alpha, "statistics notes, section 9", len(terms)
	if want.thetaFree {
		theta = 1 / free.Spread.Alpha
	}
	return []verifyCheck{
		numberCheck(name+": exponent of effort", free.Coefficients[last], want.exponent, printed(2), source),
		numberCheck(name+": se of the exponent of effort", ses[last], want.se, printed(2), source),
		numberCheck(name+": theta", theta, want.theta, printed(2), source),
	}, nil
}

func logTerm(hours []float64) term {
	out := term{"log effort", make([]float64, len(hours))}
	for i, h := range hours {
		out.values[i] = math.Log(h)
	}
	return out
}

// regression is an NB2 fit without groups, with the standard errors by expected
// curvature that the reference prints; hours is nil for an exposure of 1.
func (t referenceTable) regression(terms []term, count string, hours []float64) (activity.CountFit, []float64, error) {
	records, err := t.records(terms, count, hours)
	if err != nil {
		return activity.CountFit{}, nil, err
	}
	fit, err := activity.FitCounts(records, activity.CountPriors{}, activity.CountMethod{MaximumLikelihood: true})
	if err != nil {
		return activity.CountFit{}, nil, err
	}
	ses, err := expectedSEs(records, fit)
	return fit, ses, err
}
