package activity

import (
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// curvatureStep is the step of the differences that give the curvature of the
// maximum likelihood; our choice.
const curvatureStep = 1e-4

// maximumLikelihood climbs over coefficients and spread with the effects alone
// integrated, from the fit with everything integrated, and ends with two
// Newton steps on the differences of the gradient.
func (f *countFitter) maximumLikelihood(start CountFit) (CountFit, error) {
	m := f.laplace(0)
	hill := func(x []float64) (float64, []float64, error) {
		split := len(x) - f.rows.columns
		copy(m.beta, x[split:])
		spread := f.unpack(x[:split])
		value, err := f.at(m, spread)
		if err != nil {
			return 0, nil, err
		}
		gradient, all := f.slope(m, spread)
		return value, append(gradient, all.beta...), nil
	}
	x := append(f.pack(start.Spread), start.Coefficients...)
	x, err := climb(hill, x, f.firstInverseWith(start))
	if err != nil {
		return CountFit{}, err
	}
	var covariance *mat.SymDense
	for range 2 {
		if x, covariance, err = polish(hill, x); err != nil {
			return CountFit{}, err
		}
	}
	value, _, err := hill(x)
	if err != nil {
		return CountFit{}, err
	}
	split := len(x) - f.rows.columns
	fit := f.result(m, f.unpack(x[:split]), value)
	fit.SEs = make([]float64, f.rows.columns)
	for j := range fit.SEs {
		fit.SEs[j] = math.Sqrt(covariance.At(split+j, split+j))
	}
	return fit, nil
}

// firstInverseWith adds the coefficients' covariance to the guess.
func (f *countFitter) firstInverseWith(start CountFit) *mat.SymDense {
	spread := f.firstInverse()
	split, p := 0, f.rows.columns
	if !spread.IsEmpty() {
		split = spread.SymmetricDim()
	}
	size := p + f.rows.groups
	out := mat.NewSymDense(split+p, nil)
	for j := range split {
		out.SetSym(j, j, spread.At(j, j))
	}
	for j := range p {
		for k := range j + 1 {
			out.SetSym(split+j, split+k, start.Core[j*size+k])
		}
	}
	return out
}

// polish takes one Newton step and returns the covariance it used.
func polish(f hill, x []float64) ([]float64, *mat.SymDense, error) {
	n := len(x)
	curvature := mat.NewSymDense(n, nil)
	for j := range x {
		var ends [2][]float64
		for e, step := range []float64{curvatureStep, -curvatureStep} {
			moved := slices.Clone(x)
			moved[j] += step
			_, gradient, err := f(moved)
			if err != nil {
				return nil, nil, err
			}
			ends[e] = gradient
		}
		for k := range x {
			half := (ends[1][k] - ends[0][k]) / (4 * curvatureStep)
			curvature.SetSym(j, k, curvature.At(j, k)+half)
			if j == k {
				curvature.SetSym(j, j, 2*half)
			}
		}
	}
	_, gradient, err := f(x)
	if err != nil {
		return nil, nil, err
	}
	var factor mat.Cholesky
	if !factor.Factorize(curvature) {
		return nil, nil, errors.New("the likelihood has no curvature at its maximum; an sd may be 0")
	}
	var step mat.VecDense
	if err := factor.SolveVecTo(&step, mat.NewVecDense(n, gradient)); err != nil {
		return nil, nil, err
	}
	out := slices.Clone(x)
	for j := range out {
		out[j] += step.AtVec(j)
	}
	covariance := mat.NewSymDense(n, nil)
	if err := factor.InverseTo(covariance); err != nil {
		return nil, nil, err
	}
	return out, covariance, nil
}
