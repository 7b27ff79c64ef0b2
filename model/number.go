package model

import "math"

// Between refuses a number that is not finite or lies outside [low, high].
func Between(field string, v, low, high float64, unit string) error {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return Invalidf(field, "give a number in "+unit, "it is not a finite number")
	}
	if v < low || v > high {
		return Invalidf(field, rangeText(low, high, unit), "%v %s is out of range", v, unit)
	}
	return nil
}
