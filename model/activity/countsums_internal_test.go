package activity

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Summing gives what the closed forms give.
func TestSummedCountsAreThoseOfTheClosedForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		alpha := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(1e-4, 3)).Draw(t, "alpha")
		m := newCountMixture(
			rapid.Float64Range(-6, 6).Draw(t, "mean"), rapid.Float64Range(0, 1.5).Draw(t, "variance"), alpha,
			rapid.Float64Range(0.5, 24).Draw(t, "rod-hours"), rapid.Float64Range(-2, 2).Draw(t, "logit"), 0.2)
		bites, fish := m.summed(m.bitten), m.summed(m.banked)
		for _, k := range []int{0, 1, 2, 3, 7, 20, 100, mostSummed, mostSummed + 1} {
			if got, want := bites(k), m.bites(k); math.Abs(got-want) > 1e-9 {
				t.Fatalf("P(bites <= %d) is %v, in closed form %v", k, got, want)
			}
			if got, want := max(fish(k), bites(k)), m.fish(k); math.Abs(got-want) > 1e-9 {
				t.Fatalf("P(fish <= %d) is %v, in closed form %v", k, got, want)
			}
		}
	})
}
