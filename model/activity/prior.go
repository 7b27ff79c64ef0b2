package activity

import (
	"fmt"
	"math"
)

// The figures that hold before any record does.
const (
	// interceptSD is the prior sd of the log mean rate; our choice.
	interceptSD = 0.8
	// priorTheta is the shape of a session's Gamma multiplier G, mean 1, the
	// median of a log-normal(ln 1.2, 0.8); our choice.
	priorTheta = 1.2
	// priorEffectSD is the sd on the log scale of a water, of an angler and of
	// a peg, each the median of a log-normal(ln 0.4, 0.6); our choice.
	priorEffectSD = 0.4
)

// priorIntercept is the log of the mean number of true bites per rod-hour with
// every other column at its centre (common practice and our choice, no source).
func priorIntercept(group string) (float64, error) {
	switch group {
	case "silver":
		return math.Log(6), nil
	case "bream":
		return math.Log(3), nil
	case "carp":
		return math.Log(2.5), nil
	}
	return 0, fmt.Errorf("group %q is not known; it must be silver, bream or carp", group)
}
