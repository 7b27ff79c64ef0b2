package activity

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mathext"
	"pgregory.net/rapid"
)

// bisected is the quantile found by halving alone.
func bisected(m countMixture, p float64) float64 {
	low, high := -60.0, 40.0
	for high-low > 1e-9 {
		middle := (low + high) / 2
		var below float64
		for _, n := range m.bitten {
			below += n.weight * mathext.GammaIncReg(m.theta, m.theta*math.Exp(middle)/n.rate)
		}
		if below < p {
			low = middle
		} else {
			high = middle
		}
	}
	return math.Exp(high)
}

// Going by the density finds the very number that halving finds.
func TestQuantilesAreThoseOfBisection(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := newCountMixture(
			rapid.Float64Range(-12, 8).Draw(t, "mean"), math.Pow(10, rapid.Float64Range(-6, 1).Draw(t, "log10 variance")),
			math.Pow(10, rapid.Float64Range(-3, 2).Draw(t, "log10 alpha")), 4, 0, 0.2)
		if m.theta > finestTheta {
			return
		}
		for _, p := range []float64{0.05, 0.25, 0.5, 0.75, 0.95} {
			if got, want := m.rateQuantile(p), bisected(m, p); got != want {
				t.Fatalf("quantile %v is %v, by halving %v", p, got, want)
			}
		}
	})
}
