package activity

import (
	"fmt"
	"math"
)

// Difference is the log of the ratio of two sessions' bite rates, a over b, and
// its standard deviation from the fit's own doubt about its coefficients. What
// the two share (the angler, the water, the day's own luck) falls out, so it
// answers whether they can be told apart. A value outside its range is an
// error.
func (f Fit) Difference(a, b Covariates) (mean, sd float64, err error) {
	rowA, _, err := BuildRow(a)
	if err != nil {
		return 0, 0, fmt.Errorf("compare two sessions: first: %w", err)
	}
	rowB, _, err := BuildRow(b)
	if err != nil {
		return 0, 0, fmt.Errorf("compare two sessions: second: %w", err)
	}
	for i := range rowA {
		rowA[i] -= rowB[i]
	}
	mean, variance := f.logRate(rowA)
	return mean, math.Sqrt(max(0, variance)), nil
}
