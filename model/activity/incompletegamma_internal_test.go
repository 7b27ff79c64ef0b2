package activity

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mathext"
)

// Against the library's, which does not take the density along.
func TestTheIncompleteGammaIsThatOfTheLibrary(t *testing.T) {
	for _, a := range []float64{0.01, 0.3, 0.5, 1, 1.8, 4, 20, 100, 400} {
		logGamma, _ := math.Lgamma(a)
		for _, share := range []float64{0, 1e-12, 1e-4, 0.1, 0.5, 0.9, 1, 1.1, 2, 5, 30} {
			x := share * (a + 1)
			front := math.Exp(a*math.Log(x) - x - logGamma)
			if got, want := gammaBelow(a, x, front), mathext.GammaIncReg(a, x); math.Abs(got-want) > 1e-12 {
				t.Errorf("P(%v, %v) is %v, want %v", a, x, got, want)
			}
		}
	}
}

func TestTheIncompleteGammaFarOut(t *testing.T) {
	if low, high := gammaBelow(2, 1e-200, 0), gammaBelow(2, 1e4, 0); low != 0 || high != 1 {
		t.Errorf("%v below next to nothing and %v below nearly all, want 0 and 1", low, high)
	}
}
