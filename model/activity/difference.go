package activity

import (
	"fmt"
	"math"
)

// Difference is the log of the ratio of two sessions' bite rates, a over b, and
// its standard deviation from the fit's own doubt. What the two share (the
// angler, the water, the season) falls out, so it answers whether they can be
// told apart. Luck of the day is no part of it. A value outside its range is an
// error.
func (f Fit) Difference(a Covariates, at Setting, b Covariates, bAt Setting) (mean, sd float64, err error) {
	if err := f.Check(); err != nil {
		return 0, 0, fmt.Errorf("compare two sessions: %w", err)
	}
	rowA, _, err := BuildRow(a)
	if err != nil {
		return 0, 0, fmt.Errorf("compare two sessions: first: %w", err)
	}
	rowB, _, err := BuildRow(b)
	if err != nil {
		return 0, 0, fmt.Errorf("compare two sessions: second: %w", err)
	}
	mean, variance, err := f.Count.Difference(rowA, at.groups(f.Count.Factors), rowB, bAt.groups(f.Count.Factors))
	if err != nil {
		return 0, 0, fmt.Errorf("compare two sessions: %w", err)
	}
	return mean, math.Sqrt(variance), nil
}
