package activity

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

const (
	// climbTolerance is the gain still promised by the quadratic model at which
	// the climb ends; our choice, far below any tolerance that is checked.
	climbTolerance = 1e-11
	// longestStep bounds one step in each coordinate, all of them logs or
	// coefficients; our choice.
	longestStep = 1.5
	climbRounds = 200
)

// hill is a function to climb: its value and gradient at x. An error ends the
// climb; a value that is not finite is a place to keep away from.
type hill func(x []float64) (value float64, gradient []float64, err error)

// climb finds a maximum by BFGS (Nocedal & Wright 2006, Numerical Optimization,
// 6.1, from memory) from x, with inverse as the first guess of the inverse
// curvature. It is deterministic.
func climb(f hill, x []float64, inverse *mat.SymDense) ([]float64, error) {
	value, gradient, err := f(x)
	if err != nil || len(x) == 0 {
		return x, err
	}
	for range climbRounds {
		step := mat.NewVecDense(len(x), nil)
		step.MulVec(inverse, mat.NewVecDense(len(x), gradient))
		gain := mat.Dot(step, mat.NewVecDense(len(x), gradient))
		if !(gain >= climbTolerance) {
			return x, nil
		}
		for _, v := range step.RawVector().Data {
			if math.Abs(v) > longestStep {
				step.ScaleVec(longestStep/math.Abs(v), step)
			}
		}
		next, nextValue, nextGradient, err := search(f, x, value, gradient, step.RawVector().Data)
		if errors.Is(err, errNoHigher) {
			return x, nil
		}
		if err != nil {
			return nil, err
		}
		update(inverse, x, next, gradient, nextGradient)
		x, value, gradient = next, nextValue, nextGradient
	}
	return nil, errors.New("the fit of theta and the sds did not settle; the records may hold too few groups, so give priors")
}

var errNoHigher = errors.New("no higher place along the step")

// search halves the step until the value rises by a small share of what the
// gradient promises (Armijo's rule); rounding alone may hide the rise at the top.
func search(f hill, x []float64, value float64, gradient, step []float64) (next []float64, nextValue float64, nextGradient []float64, err error) {
	var promise float64
	for j := range step {
		promise += gradient[j] * step[j]
	}
	slack := 1e-13 * (1 + math.Abs(value))
	for share := 1.0; share > 1e-6; share /= 2 {
		next = make([]float64, len(x))
		for j := range x {
			next[j] = x[j] + share*step[j]
		}
		nextValue, nextGradient, err = f(next)
		if err != nil {
			return nil, 0, nil, err
		}
		if isFinite(nextValue) && allFinite(nextGradient) && nextValue-value >= 1e-4*share*promise-slack {
			return next, nextValue, nextGradient, nil
		}
	}
	return nil, 0, nil, errNoHigher
}

// update is the BFGS formula for the inverse curvature of -f; a pair that shows
// no curvature is left out.
func update(inverse *mat.SymDense, from, to, gradientFrom, gradientTo []float64) {
	n := len(from)
	s, y := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
	for j := range from {
		s.SetVec(j, to[j]-from[j])
		y.SetVec(j, gradientFrom[j]-gradientTo[j])
	}
	curvature := mat.Dot(s, y)
	if !(curvature > 1e-12*mat.Norm(s, 2)*mat.Norm(y, 2)) {
		return
	}
	var by mat.VecDense
	by.MulVec(inverse, y)
	inverse.SymRankOne(inverse, (1+mat.Dot(y, &by)/curvature)/curvature, s)
	inverse.RankTwo(inverse, -1/curvature, s, &by)
}
