package main

import (
	"fmt"
	"io/fs"
	"math"

	"osier/model/activity"
)

// certifiedDigits is how many digits the worst coefficient must have right: one
// below what scaled columns solved by QR reach.
var certifiedDigits = []struct {
	set    string
	digits float64
}{
	{"norris", 12.3},
	{"longley", 12.3},
	{"wampler1", 8.2},
	{"wampler2", 12.1},
	{"wampler3", 8.1},
	{"wampler4", 7.5},
	{"wampler5", 5.4},
}

// verifyCertified holds least squares against NIST's certified coefficients.
// NoInt1 has no intercept, which this least squares always adds.
func verifyCertified(files fs.FS, _ activitySummary) ([]verifyCheck, error) {
	var sets map[string]struct {
		Certified struct {
			Coef []float64 `json:"coef"`
		} `json:"certified"`
		Source string `json:"source"`
	}
	found, err := readReference(files, "strd/certified.json", &sets)
	if !found {
		return nil, err
	}
	var checks []verifyCheck
	for _, want := range certifiedDigits {
		set, ok := sets[want.set]
		if !ok {
			continue
		}
		table, err := readTable(files, "strd/"+want.set+".csv")
		if err != nil {
			return nil, err
		}
		got, err := certifiedFit(table, len(set.Certified.Coef)-1)
		if err != nil {
			return nil, err
		}
		if len(got) != len(set.Certified.Coef) {
			return nil, fmt.Errorf("strd/certified.json: %s has %d coefficients for %d columns", want.set, len(set.Certified.Coef), len(got))
		}
		digits := rightDigits(got, set.Certified.Coef)
		checks = append(checks, verifyCheck{
			Name: "strd " + want.set + ": right digits, at least", Got: digits, Want: want.digits, OK: digits >= want.digits, Source: set.Source,
		})
	}
	return checks, nil
}

// certifiedFit fits y to the other columns; one x with more coefficients is a
// polynomial.
func certifiedFit(table referenceTable, columns int) ([]float64, error) {
	y, err := table.numbers("y")
	if err != nil {
		return nil, err
	}
	x := make([][]float64, table.rows)
	var names []string
	for _, name := range table.order {
		if name == "y" {
			continue
		}
		values, err := table.numbers(name)
		if err != nil {
			return nil, err
		}
		names = append(names, name)
		for i, v := range values {
			x[i] = append(x[i], v)
		}
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("%s has no column beside y", table.name)
	}
	for power := len(names) + 1; power <= columns; power++ {
		names = append(names, fmt.Sprintf("%s^%d", names[0], power))
		for i := range x {
			x[i] = append(x[i], math.Pow(x[i][0], float64(power)))
		}
	}
	solution, err := activity.LeastSquares(x, y, names)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", table.name, err)
	}
	return solution.Coefficients, nil
}

// rightDigits is -log10 of the worst relative error, at most 16.
func rightDigits(got, want []float64) float64 {
	worst := 1e-16
	for i, w := range want {
		worst = max(worst, math.Abs(got[i]-w)/math.Abs(w))
	}
	return -math.Log10(worst)
}
