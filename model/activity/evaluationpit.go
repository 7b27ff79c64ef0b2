package activity

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"
)

// pitSeed is the stored seed of the randomised PIT; any would do.
const pitSeed = 20250301

// randomisedPIT draws the point between the ends. The draw belongs to the
// session's name, so that neither its place in a list nor another session
// changes it.
func randomisedPIT(id string, p PIT) float64 {
	h := fnv.New64a()
	_, _ = h.Write([]byte(id)) // a hash takes every write
	return p.Randomised(rand.New(rand.NewPCG(pitSeed, h.Sum64())).Float64())
}

// kolmogorovSmirnov is the p value of values being uniform on 0 to 1: the limit
// of Kolmogorov (1933) at the scaled distance of Stephens (1970), both from
// memory. No value gives 1.
func kolmogorovSmirnov(values []float64) float64 {
	n := float64(len(values))
	var distance float64
	for i, v := range slices.Sorted(slices.Values(values)) {
		distance = max(distance, v-float64(i)/n, float64(i+1)/n-v)
	}
	return kolmogorovTail(distance * (math.Sqrt(n) + 0.12 + 0.11/math.Sqrt(n)))
}

// kolmogorovTail is 2 sum over j of (-1)^(j-1) exp(-2 j^2 x^2).
func kolmogorovTail(x float64) float64 {
	if !(x > 0.2) { // the series is 1 to twelve digits here, and slow
		return 1
	}
	var sum float64
	sign := 1.0
	for j := 1.0; j <= 100; j++ {
		sum += sign * math.Exp(-2*j*j*x*x)
		sign = -sign
	}
	return min(max(2*sum, 0), 1)
}
