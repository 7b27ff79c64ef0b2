package water

import (
	"fmt"
	"math"
)

// Constants of the saturation vapour pressure over water: Bolton 1980,
// equation 10.
const (
	boltonHPa   = 6.112
	boltonSlope = 17.67
	boltonC     = 243.5
)

// The temperatures for which the heat balance is defined, in C. They are wider
// than any weather so that an equilibrium can be looked for between them.
const (
	lowestC  = -100.0
	highestC = 100.0
)

// SaturationVapourHPa gives the pressure in hPa of water vapour that saturates
// air at the temperature, over liquid water, and its slope in hPa/K, from -100
// to 100 C (the formula is good to 0.3 % from -35 to 35); outside, an error.
// Source: Bolton 1980, equation 10.
func SaturationVapourHPa(tempC float64) (pressureHPa, slopeHPaPerK float64, err error) {
	if err := between("temperature", tempC, lowestC, highestC, "C"); err != nil {
		return 0, 0, err
	}
	p := saturationHPa(tempC)
	return p, saturationSlope(tempC, p), nil
}

func saturationHPa(tempC float64) float64 {
	return boltonHPa * math.Exp(boltonSlope*tempC/(tempC+boltonC))
}

// saturationSlope is the derivative at a temperature where the pressure is known.
func saturationSlope(tempC, pressureHPa float64) float64 {
	return pressureHPa * boltonSlope * boltonC / ((tempC + boltonC) * (tempC + boltonC))
}

// between refuses a number that is not finite or lies outside [low, high].
func between(what string, v, low, high float64, unit string) error {
	if v >= low && v <= high {
		return nil
	}
	return fmt.Errorf("%s is %v; give a number from %v to %v %s", what, v, low, high, unit)
}
