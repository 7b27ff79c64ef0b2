package timing

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Typical is the hazard of a typical session (the median one) of the angler at
// the water. A name that the fit has not seen, or an empty one, stands for a
// typical angler or water.
func (f HazardFit) Typical(angler, water string) (Hazard, error) {
	return f.hazard(f.logHazards(angler, water))
}

// TypicalDraws are n draws of that hazard from its posterior, which is taken as
// normal on the log scale about the mode. The same seed gives the same draws.
func (f HazardFit) TypicalDraws(angler, water string, n int, seed uint64) ([]Hazard, error) {
	log := f.logHazards(angler, water)
	covariance, err := f.covariance(angler, water)
	if err != nil {
		return nil, fmt.Errorf("draw hazards: %w", err)
	}
	var cholesky mat.Cholesky
	if !cholesky.Factorize(covariance) {
		return nil, fmt.Errorf("draw hazards: the casts leave a hazard without bounds; fit with a prior")
	}
	var root mat.TriDense
	cholesky.LTo(&root)
	random := rand.New(rand.NewPCG(seed, uint64(len(log))))
	out := make([]Hazard, n)
	for i := range out {
		z, draw := mat.NewVecDense(len(log), nil), mat.NewVecDense(len(log), nil)
		for j := range log {
			z.SetVec(j, random.NormFloat64())
		}
		draw.MulVec(&root, z)
		draw.AddVec(draw, mat.NewVecDense(len(log), log))
		if out[i], err = f.hazard(draw.RawVector().Data); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (f HazardFit) hazard(log []float64) (Hazard, error) {
	perMin := make([]float64, len(log))
	for j, v := range log {
		perMin[j] = math.Exp(min(max(v, -30), 30)) // no hazard of casts is near either end
	}
	return NewHazard(f.StartsMin, perMin, f.Tried.HighMin)
}

// logHazards are the log hazards by piece at the mode; a typical session has no
// effect of its own.
func (f HazardFit) logHazards(angler, water string) []float64 {
	var log float64
	for _, factor := range f.Count.Factors {
		name := map[string]string{anglerFactor: angler, waterFactor: water}[factor.Name]
		if at, seen := slices.BinarySearch(factor.Levels, name); seen && name != "" {
			log += factor.Effects[at]
		}
	}
	out := make([]float64, len(f.Count.Coefficients))
	for j, step := range f.Count.Coefficients {
		log += step
		out[j] = log
	}
	return out
}

// covariance is that of the log hazards. The fit answers with variances of single
// pieces and of differences, from which angler and water fall out:
// 2 cov(a, b) = var a + var b - var(a - b).
func (f HazardFit) covariance(angler, water string) (*mat.SymDense, error) {
	p := len(f.StartsMin)
	groups, sessionVariance := make([]string, len(f.Count.Factors)), 0.0
	for k, factor := range f.Count.Factors {
		switch factor.Name {
		case sessionFactor: // the empty name is of no session, which adds this variance
			sessionVariance = f.Count.Spread.SDs[k] * f.Count.Spread.SDs[k]
		case anglerFactor:
			groups[k] = unlessUnnamed(angler)
		case waterFactor:
			groups[k] = unlessUnnamed(water)
		}
	}
	out := mat.NewSymDense(p, nil)
	for j := range p {
		_, variance, err := f.Count.Predict(steps(j, p), groups)
		if err != nil {
			return nil, err
		}
		out.SetSym(j, j, variance-sessionVariance)
	}
	for j := range p {
		for k := range j {
			_, difference, err := f.Count.Difference(steps(j, p), groups, steps(k, p), groups)
			if err != nil {
				return nil, err
			}
			out.SetSym(j, k, (out.At(j, j)+out.At(k, k)-difference)/2)
		}
	}
	return out, nil
}

// unlessUnnamed keeps the empty name, which casts of an unknown angler or water
// share, from standing for one that was asked for.
func unlessUnnamed(name string) string {
	if name == "" {
		return "\x00 none"
	}
	return name
}

// steps is the design row of piece j of p: the first level and every step up to it.
func steps(j, p int) []float64 {
	row := make([]float64, p)
	for k := range j + 1 {
		row[k] = 1
	}
	return row
}
