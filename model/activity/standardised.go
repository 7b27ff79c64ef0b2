package activity

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// standardised is a copy of the columns, each centred on its mean and divided
// by its sd, behind a column of ones, and of the response, centred.
type standardised struct {
	design       *mat.Dense
	response     []float64
	responseMean float64
	mean, sd     []float64
	low, high    []float64
}

// standardise copies x, which has p columns and finite values, and y.
func standardise(x [][]float64, y []float64, p int) standardised {
	s := standardised{
		design: mat.NewDense(len(x), p+1, nil), response: make([]float64, len(y)),
		mean: make([]float64, p), sd: make([]float64, p),
		low: make([]float64, p), high: make([]float64, p),
	}
	for _, v := range y {
		s.responseMean += v / float64(len(y))
	}
	for i, v := range y {
		s.design.Set(i, 0, 1)
		s.response[i] = v - s.responseMean
	}
	for j := range p {
		s.column(x, j)
	}
	return s
}

// column fills column j and its summaries.
func (s standardised) column(x [][]float64, j int) {
	n := float64(len(x))
	s.low[j], s.high[j] = math.Inf(1), math.Inf(-1)
	for _, row := range x {
		s.low[j] = min(s.low[j], row[j])
		s.high[j] = max(s.high[j], row[j])
		s.mean[j] += row[j] / n
	}
	var squares float64
	for _, row := range x {
		d := row[j] - s.mean[j]
		squares += d * d
	}
	s.sd[j] = math.Sqrt(squares / n)
	for i, row := range x {
		s.design.Set(i, j+1, (row[j]-s.mean[j])/s.sd[j])
	}
}

// check names the first column without any spread, or with more of it than can
// be squared.
func (s standardised) check(names []string) error {
	for j, name := range names {
		size := max(math.Abs(s.low[j]), math.Abs(s.high[j]))
		if s.high[j]-s.low[j] <= constantTolerance*size {
			return &ColumnError{Column: name, Problem: "constant"}
		}
		if !isFinite(s.sd[j]) {
			return fmt.Errorf("column %s reaches from %g to %g, too far to compute with; give it in larger units", name, s.low[j], s.high[j])
		}
	}
	return nil
}

// residualSD is the residual sd of the standardised coefficients.
func (s standardised) residualSD(coefficients []float64) float64 {
	var squares float64
	for i, v := range s.response {
		row := s.design.RawRowView(i)
		for j, b := range coefficients {
			v -= b * row[j]
		}
		squares += v * v
	}
	return math.Sqrt(squares / float64(len(s.response)-len(coefficients)))
}

// unscale takes standardised coefficients back to the caller's units.
func (s standardised) unscale(coefficients []float64) []float64 {
	out := make([]float64, len(coefficients))
	out[0] = s.responseMean
	for j := range s.mean {
		out[j+1] = coefficients[j+1] / s.sd[j]
		// One rounding instead of two: the terms may nearly cancel.
		out[0] = math.FMA(-out[j+1], s.mean[j], out[0])
	}
	out[0] += coefficients[0]
	return out
}

// covariance is residual variance times (X'X)^-1 in the caller's units. With
// b = T c, where c are the standardised coefficients and R their triangle, it
// is the product of s T R^-1 with its own transpose, so symmetric by making.
func (s standardised) covariance(r *mat.Dense, residualSD float64) ([][]float64, error) {
	p := len(s.mean) + 1
	triangle := mat.NewTriDense(p, mat.Upper, nil)
	for i := range p {
		for j := i; j < p; j++ {
			triangle.SetTri(i, j, r.At(i, j))
		}
	}
	var inverse mat.TriDense
	if err := inverse.InverseTri(triangle); err != nil {
		return nil, fmt.Errorf("covariance: %w", err)
	}
	back := mat.NewDense(p, p, nil)
	back.Set(0, 0, residualSD)
	for j := range s.mean {
		back.Set(0, j+1, -residualSD*s.mean[j]/s.sd[j])
		back.Set(j+1, j+1, residualSD/s.sd[j])
	}
	var half, whole mat.Dense
	half.Mul(back, &inverse)
	whole.Mul(&half, half.T())
	out := make([][]float64, p)
	for i := range out {
		out[i] = mat.Row(nil, i, &whole)
	}
	return out, nil
}
