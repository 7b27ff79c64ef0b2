package feeder

import (
	"fmt"
	"math"
)

// FieldError says which figure was refused, what was wrong with it and what
// would be right.
type FieldError struct {
	Field   string // Name as users know it, with its unit: depth_m.
	Problem string // What was wrong: is -2.
	Remedy  string // What would be right: give metres from 0 to 100.
}

// Error puts the three parts into one sentence.
func (e *FieldError) Error() string {
	return fmt.Sprintf("%s %s: %s", e.Field, e.Problem, e.Remedy)
}

// within refuses a number that is not finite or lies outside low to high, both
// ends allowed.
func within(field string, got, low, high float64, remedy string) error {
	if math.IsNaN(got) || math.IsInf(got, 0) {
		return &FieldError{Field: field, Problem: "is not a number", Remedy: remedy}
	}
	if got < low || got > high {
		return &FieldError{Field: field, Problem: fmt.Sprintf("is %g", got), Remedy: remedy}
	}
	return nil
}

// zeroOrWithin is within for figures where 0 stands for "not given".
func zeroOrWithin(field string, got, low, high float64, remedy string) error {
	if got == 0 {
		return nil
	}
	return within(field, got, low, high, remedy)
}
