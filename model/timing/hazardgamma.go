package timing

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/optimize"
)

// GammaHazardFit is a piecewise-constant hazard whose sessions differ by a gamma
// multiplier of mean 1.
type GammaHazardFit struct {
	// Mean is the hazard of the session of mean luck.
	Mean Hazard
	// Shape is of the multiplier: its variance is 1/Shape.
	Shape float64
	// Kernel is the log-likelihood without terms that no parameter changes.
	Kernel float64
}

// alikeShape is where sessions count as alike; our choice.
const alikeShape = 1e6

// FitGammaHazard maximises the likelihood in its closed form,
// sum k log h + sum over sessions of lgamma(s+D) - lgamma(s) + s log s - (s+D) log(s+H),
// D and H a session's bites and cumulated hazard. It is a second look at how far
// sessions differ, by another law and with no prior. Every piece needs a bite;
// bites that are not timed are spread evenly in time. Sessions that do not differ give
// a very large shape.
func FitGammaHazard(waits []Wait) (GammaHazardFit, error) {
	c, err := newCells(waits)
	if err != nil {
		return GammaHazardFit{}, fmt.Errorf("fit gamma hazard: %w", err)
	}
	c.tally(c.empty()) // no hazard: spread evenly
	bites, minutes := c.totals()
	start := make([]float64, len(bites)+1)
	for j, d := range bites {
		if d == 0 {
			return GammaHazardFit{}, fmt.Errorf("fit gamma hazard: there is no bite from %g to %g min; give more casts", c.startsMin[j], c.end(j))
		}
		start[j] = math.Log(d / minutes[j])
	}
	start[len(bites)] = math.Log(2) // between sessions alike and sessions apart
	problem := optimize.Problem{
		Func: func(x []float64) float64 { return -c.gammaKernel(x, nil) },
		Grad: func(grad, x []float64) { c.gammaKernel(x, grad); negate(grad) },
	}
	found, err := optimize.Minimize(problem, start, &optimize.Settings{GradientThreshold: 1e-8, MajorIterations: 1000}, &optimize.BFGS{})
	if found == nil || !allFinite(found.X) {
		return GammaHazardFit{}, fmt.Errorf("fit gamma hazard: the likelihood has no top: %w", err)
	}
	perMin := make([]float64, len(bites))
	for j := range perMin {
		perMin[j] = math.Exp(found.X[j])
	}
	mean, err := NewHazard(c.startsMin, perMin, c.longestMin)
	if err != nil {
		return GammaHazardFit{}, fmt.Errorf("fit gamma hazard: %w", err)
	}
	return GammaHazardFit{Mean: mean, Shape: min(math.Exp(found.X[len(bites)]), alikeShape), Kernel: -found.F}, nil
}

// gammaKernel is the log-likelihood at x, log hazards and log shape, and its
// gradient where asked for.
func (c *cells) gammaKernel(x, grad []float64) float64 {
	p := len(c.startsMin)
	s := math.Min(math.Exp(x[p]), alikeShape)
	for j := range grad {
		grad[j] = 0
	}
	var sum float64
	for i := range c.sessions {
		var d, h float64
		for j := range p {
			d += c.bites[i][j]
			h += math.Exp(x[j]) * c.exposureMin[i][j]
			sum += c.bites[i][j] * x[j]
		}
		// Rising factorials and log1p keep their digits at large s.
		for k := range int(d) {
			sum += math.Log1p(float64(k) / s)
		}
		rest := d - math.Floor(d)
		if rest > 0 {
			sum += lgamma(s+d) - lgamma(s+math.Floor(d)) - rest*math.Log(s)
		}
		sum -= (s + d) * math.Log1p(h/s)
		if grad == nil {
			continue
		}
		for j := range p {
			grad[j] += c.bites[i][j] - math.Exp(x[j])*c.exposureMin[i][j]*(s+d)/(s+h)
		}
		grad[p] += s * (mathext.Digamma(s+d) - mathext.Digamma(s) - math.Log1p(h/s) + (h-d)/(s+h))
	}
	return sum
}

func lgamma(x float64) float64 {
	value, _ := math.Lgamma(x)
	return value
}

func negate(x []float64) {
	for j := range x {
		x[j] = -x[j]
	}
}

func allFinite(x []float64) bool {
	for _, v := range x {
		if !finite(v) {
			return false
		}
	}
	return true
}
