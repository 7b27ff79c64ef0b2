package activity_test

import (
	"math"
	"testing"

	"osier/model/activity"
)

func TestQuadratureNodes(t *testing.T) {
	// Abramowitz & Stegun 1964, table 25.10, n = 20, positive half.
	points := []float64{
		0.2453407083009, 0.7374737285454, 1.2340762153953, 1.7385377121166, 2.2549740020893,
		2.7888060584281, 3.3478545673832, 3.9447640401156, 4.6036824495507, 5.3874808900112,
	}
	weights := []float64{
		4.622436696006e-1, 2.866755053628e-1, 1.090172060200e-1, 2.481052088746e-2, 3.243773342238e-3,
		2.283386360163e-4, 7.802556478532e-6, 1.086069370769e-7, 4.399340992273e-10, 2.229393645534e-13,
	}
	gotPoints, gotWeights := activity.StandardNormalNodes()
	for i, x := range points {
		var found bool
		for j, g := range gotPoints {
			if near(g/math.Sqrt2, x, 1e-11) {
				found = true
				if !near(gotWeights[j]*math.Sqrt(math.Pi)/weights[i], 1, 1e-10) {
					t.Errorf("weight at %v is %v, want %v", x, gotWeights[j]*math.Sqrt(math.Pi), weights[i])
				}
			}
		}
		if !found {
			t.Errorf("node %v is missing", x)
		}
	}
	// Moments of a standard normal: 1, 0, 1, 3, 15, 105.
	for power, want := range map[float64]float64{0: 1, 1: 0, 2: 1, 4: 3, 6: 15, 8: 105} {
		var got float64
		for i, x := range gotPoints {
			got += gotWeights[i] * math.Pow(x, power)
		}
		if math.Abs(got-want) > 1e-11*max(1, want) {
			t.Errorf("moment %v is %v, want %v", power, got, want)
		}
	}
}
