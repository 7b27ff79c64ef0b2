package water

import (
	"errors"
	"math"
)

const secondsPerDay = 86400

// Lag is a water that follows its equilibrium with a constant coefficient.
type Lag struct {
	TauDays float64 // the time constant
}

// LagResponse gives the lag of a mixed water of the depth (above 0 to 100 m)
// under the coefficient K (above 0 to 1000 W/m2/K); outside, an error. Source:
// Edinger, Duttweiler and Geyer 1968: tau = rho cp h / K.
func LagResponse(depthM, coefficientWm2K float64) (Lag, error) {
	if !(depthM > 0 && depthM <= 100 && coefficientWm2K > 0 && coefficientWm2K <= 1000) {
		return Lag{}, errors.New("a lag needs a depth above 0 to 100 m and a coefficient above 0 to 1000 W/m2/K")
	}
	return Lag{TauDays: densityKgM3 * heatCapacityJKgK * depthM / coefficientWm2K / secondsPerDay}, nil
}

// Step is the share of a step in the equilibrium that is made good after the
// days (0 or more), by the model's own step taken hour by hour.
func (l Lag) Step(days int) float64 {
	share := 0.0
	for range days * 24 {
		change, _ := relax(1-share, 1, 1/(24*l.TauDays))
		share += change
	}
	return share
}

// Sine is what is left of the amplitude of a sine in the equilibrium with the
// period in days, and by how many hours it comes later. Source: the solution of
// the same equation, amplitude 1/sqrt(1+(w tau)^2) and lag atan(w tau)/w.
func (l Lag) Sine(periodDays float64) (amplitude, lagH float64) {
	perDay := 2 * math.Pi / periodDays
	return 1 / math.Hypot(1, perDay*l.TauDays), 24 * math.Atan(perDay*l.TauDays) / perDay
}
