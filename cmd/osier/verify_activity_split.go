package main

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"osier/model/activity"
)

// timeSplit is the rows to train on and those to score.
type timeSplit struct{ train, test []int }

// checks hold the mean log scores of the reference's forecasts.
func (s timeSplit) checks(table referenceTable, hours []float64, terms []term) ([]verifyCheck, error) {
	ones := table.ones().values
	var checks []verifyCheck
	for _, of := range []struct {
		name    string
		terms   []term
		hours   []float64
		poisson bool
		want    float64
	}{
		{"one rate", terms[:1], hours, false, 0.976},
		{"Poisson", terms, hours, true, 1.173},
		{"NB2", terms, hours, false, 0.967},
		{"NB2 with a free exponent of effort", append(slices.Clip(terms), logTerm(hours)), ones, false, 0.965},
	} {
		records, err := table.records(of.terms, "fish_total", of.hours)
		if err != nil {
			return nil, err
		}
		got, err := s.countScore(records, of.poisson)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", of.name, err)
		}
		checks = append(checks, scoreCheck(of.name, got, of.want))
	}
	records, err := table.records(terms, "fish_total", hours)
	if err != nil {
		return nil, err
	}
	got, err := s.leastSquaresScore(records)
	if err != nil {
		return nil, fmt.Errorf("OLS: %w", err)
	}
	return append(checks, scoreCheck("OLS log rate", got, 1.151)), nil
}

func scoreCheck(name string, got, want float64) verifyCheck {
	return numberCheck("river, last 30 % by time: mean log score of "+name, got, want, printed(3), "statistics notes, section 9")
}

// rowsOf picks rows of records without groups.
func rowsOf(of activity.CountRecords, chosen []int) activity.CountRecords {
	p := len(of.Columns)
	out := activity.CountRecords{Columns: of.Columns}
	for _, i := range chosen {
		out.X = append(out.X, of.X[i*p:(i+1)*p]...)
		out.Counts, out.Hours = append(out.Counts, of.Counts[i]), append(out.Hours, of.Hours[i])
	}
	return out
}

// countScore is the mean log score of the fitted rate, plugged in.
func (s timeSplit) countScore(records activity.CountRecords, poisson bool) (float64, error) {
	fit, err := activity.FitCounts(rowsOf(records, s.train), activity.CountPriors{}, activity.CountMethod{MaximumLikelihood: true, Poisson: poisson})
	if err != nil {
		return 0, err
	}
	test, p, sum := rowsOf(records, s.test), len(records.Columns), 0.0
	for i, y := range test.Counts {
		forecast, err := activity.NewCountPrediction(floats.Dot(test.X[i*p:(i+1)*p], fit.Coefficients), 0, test.Hours[i], fit.Spread.Alpha)
		if err != nil {
			return 0, err
		}
		score, _ := forecast.LogScore(y)
		sum += score
	}
	return sum / float64(len(s.test)), nil
}

// leastSquaresScore is the mean log score of the plain baseline: least squares
// of log((count + 0.5)/hours) by its residual sd, cut into whole counts.
func (s timeSplit) leastSquaresScore(records activity.CountRecords) (float64, error) {
	train, test, p := rowsOf(records, s.train), rowsOf(records, s.test), len(records.Columns)
	x, y := make([][]float64, len(train.Counts)), make([]float64, len(train.Counts))
	for i, count := range train.Counts {
		x[i], y[i] = train.X[i*p+1:(i+1)*p], math.Log((float64(count)+0.5)/train.Hours[i])
	}
	fit, err := activity.LeastSquares(x, y, records.Columns[1:])
	if err != nil {
		return 0, err
	}
	var sum float64
	for i, count := range test.Counts {
		mean := floats.Dot(test.X[i*p:(i+1)*p], fit.Coefficients)
		below := func(count int) float64 {
			return math.Erfc(-(math.Log(float64(count)/test.Hours[i])-mean)/fit.ResidualSD/math.Sqrt2) / 2
		}
		sum -= math.Log(below(count+1) - below(count))
	}
	return sum / float64(len(s.test)), nil
}
