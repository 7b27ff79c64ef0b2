package activity

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// normalNodes is how many points stand for a normal distribution; our choice.
const normalNodes = 20

// standardNormalNodes returns points and weights such that the weighted sum of
// g over the points is E[g(Z)] for a standard normal Z, exactly for polynomials
// up to degree 39. It is Gauss-Hermite quadrature (Abramowitz & Stegun 1964,
// table 25.10) moved from the weight exp(-x^2) to the normal density.
func standardNormalNodes() (points, weights []float64) {
	points, weights = make([]float64, normalNodes), make([]float64, normalNodes)
	quad.Hermite{}.FixedLocations(points, weights, math.Inf(-1), math.Inf(1))
	for i := range points {
		points[i] *= math.Sqrt2
		weights[i] /= math.Sqrt(math.Pi)
	}
	return points, weights
}
