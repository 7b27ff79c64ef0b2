package activity

import (
	"fmt"
	"math"

	"github.com/sajari/regression"
	"gonum.org/v1/gonum/mat"
)

// solve returns the coefficients of the standardised design, intercept first,
// and the name of what computed them.
func solve(qr *mat.QR, design *mat.Dense, y []float64) (b []float64, solver string, err error) {
	if len(y) <= libraryRowLimit {
		solver = "sajari/regression"
		b, err = solveByLibrary(design, y)
	} else {
		solver = "gonum QR"
		b, err = solveByQR(qr, y)
	}
	if err != nil {
		return nil, "", err
	}
	b, err = refine(qr, design, y, b)
	return b, solver, err
}

// refine takes one step of iterative refinement (Golub & Van Loan, Matrix
// Computations, 5.3): what the coefficients leave of y is fitted once more. It
// wins back the last digits where an intercept is small beside the response.
func refine(qr *mat.QR, design *mat.Dense, y, b []float64) ([]float64, error) {
	left := make([]float64, len(y))
	for i, v := range y {
		for j, d := range design.RawRowView(i) {
			v = math.FMA(-b[j], d, v)
		}
		left[i] = v
	}
	step, err := solveByQR(qr, left)
	if err != nil {
		return nil, err
	}
	refined := make([]float64, len(b))
	for j := range b {
		refined[j] = b[j] + step[j]
	}
	return refined, nil
}

// solveByLibrary hands copies of the rows to the regression library and takes
// only the coefficients out. The library adds its own intercept, so the first
// column of the design stays behind. Nothing else of it is used: it checks no
// rank, its String prints, and its Predict may write into the caller's slice.
func solveByLibrary(design *mat.Dense, y []float64) ([]float64, error) {
	var r regression.Regression
	for i, v := range y {
		row := mat.Row(nil, i, design)
		r.Train(regression.DataPoint(v, row[1:]))
	}
	if err := r.Run(); err != nil {
		return nil, fmt.Errorf("the regression library refused: %w", err)
	}
	return r.GetCoeffs(), nil
}

// solveByQR solves with the factorisation that the rank check has made already.
func solveByQR(qr *mat.QR, y []float64) ([]float64, error) {
	var b mat.VecDense
	if err := qr.SolveVecTo(&b, false, mat.NewVecDense(len(y), append([]float64(nil), y...))); err != nil {
		return nil, fmt.Errorf("solve by QR: %w", err)
	}
	return b.RawVector().Data, nil
}
