package timing

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Law is a law of waiting times in closed form: survival, mean minutes waited
// when cut short at soakMin, and hazard per minute. ok is false for parameters
// or times out of range. Laws are what simulations are drawn from and checked
// against; what is learnt from casts is a Hazard.
type Law interface {
	At(soakMin float64) (survival, soakedMin, perMin float64, ok bool)
}

// Weibull has survival exp(-(t/scale)^shape); both above 0.
type Weibull struct{ ScaleMin, Shape float64 }

// At holds for times above 0.
func (w Weibull) At(soakMin float64) (survival, soakedMin, perMin float64, ok bool) {
	if !positive(w.ScaleMin, w.Shape, soakMin) {
		return 0, 0, 0, false
	}
	x := math.Pow(soakMin/w.ScaleMin, w.Shape)
	soakedMin = w.ScaleMin / w.Shape * math.Gamma(1/w.Shape) * mathext.GammaIncReg(1/w.Shape, x)
	return math.Exp(-x), soakedMin, w.Shape / w.ScaleMin * math.Pow(soakMin/w.ScaleMin, w.Shape-1), true
}

// LogLogistic has survival 1/(1 + (t/scale)^shape); the scale above 0, the shape
// above 1.
type LogLogistic struct{ ScaleMin, Shape float64 }

// At holds for times above 0.
func (l LogLogistic) At(soakMin float64) (survival, soakedMin, perMin float64, ok bool) {
	if !positive(l.ScaleMin, l.Shape-1, soakMin) {
		return 0, 0, 0, false
	}
	x := math.Pow(soakMin/l.ScaleMin, l.Shape)
	a, b := 1/l.Shape, 1-1/l.Shape
	soakedMin = l.ScaleMin / l.Shape * math.Gamma(a) * math.Gamma(b) * mathext.RegIncBeta(a, b, x/(1+x))
	return 1 / (1 + x), soakedMin, l.Shape / soakMin * x / (1 + x), true
}

// GammaMixture is what casts pooled over sessions follow when each session has a
// constant hazard of its own and the hazards are Gamma(shape, rate in minutes):
// survival (rate/(rate + t))^shape. The rate is above 0, the shape above 1.
type GammaMixture struct{ RateMin, Shape float64 }

// At holds for times above 0.
func (g GammaMixture) At(soakMin float64) (survival, soakedMin, perMin float64, ok bool) {
	if !positive(g.RateMin, g.Shape-1, soakMin) {
		return 0, 0, 0, false
	}
	logRatio := math.Log1p(soakMin / g.RateMin)
	soakedMin = g.RateMin / (g.Shape - 1) * -math.Expm1((1-g.Shape)*logRatio)
	return math.Exp(-g.Shape * logRatio), soakedMin, g.Shape / (g.RateMin + soakMin), true
}

// positive says whether all are finite and above 0.
func positive(values ...float64) bool {
	for _, v := range values {
		if !(v > 0) || math.IsInf(v, 1) {
			return false
		}
	}
	return true
}

const (
	// lawPoints and shortestMin are how finely, and from where, the turns of a
	// law's rate are looked for; our choice.
	lawPoints   = 4000
	shortestMin = 1e-3
)

// BestSoakOf is the best soak under a law up to longestMin. The rate turns where
// the hazard crosses it (with equal handling; in general where its slope is 0).
func BestSoakOf(law Law, handling Handling, longestMin float64) (BestSoak, error) {
	if err := handling.check(); err != nil {
		return BestSoak{}, fmt.Errorf("best soak: %w", err)
	}
	if _, _, _, ok := law.At(longestMin); !ok || longestMin <= shortestMin {
		return BestSoak{}, fmt.Errorf("best soak: the law %+v has no value at %g min; give a law and a longest soak in range", law, longestMin)
	}
	rising := func(t float64) bool {
		survival, soaked, h, _ := law.At(t)
		return h*handling.CycleMin(survival, soaked) > (1-survival)*(1+(handling.BiteMin-handling.BlankMin)*h)
	}
	rate := func(t float64) float64 {
		survival, soaked, _, ok := law.At(t)
		if !ok {
			return 0 // at no soak at all
		}
		return (1 - survival) / handling.CycleMin(survival, soaked)
	}
	turns, before := []float64{0}, shortestMin
	for i := range lawPoints {
		t := shortestMin * math.Pow(longestMin/shortestMin, float64(i+1)/lawPoints)
		if was := rising(before); rising(t) != was {
			turns = append(turns, boundary(func(x float64) bool { return rising(x) == was }, before, t))
		}
		before = t
	}
	return topOf(rate, append(turns, longestMin)), nil
}
