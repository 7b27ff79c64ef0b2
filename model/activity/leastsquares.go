package activity

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

const (
	// libraryRowLimit is the most rows the regression library is given: it
	// forms an n-by-n matrix, so 2,000 rows already take some 200 MiB and seconds.
	libraryRowLimit = 500
	// collinearTolerance is the share of a standardised column that must be
	// left after the columns before it have explained what they can; our
	// choice, far below any real overlap and far above rounding.
	collinearTolerance = 1e-8
	// constantTolerance is the spread, relative to the size of the values,
	// under which a column counts as constant; our choice.
	constantTolerance = 1e-12
)

// Solution is the result of one least-squares fit. Index 0 of Coefficients and
// Covariance is the intercept.
type Solution struct {
	Coefficients []float64 `json:"coefficients"`
	// Covariance of the coefficients, residual variance included.
	Covariance [][]float64 `json:"covariance"`
	// ResidualSD is the root of the residual sum of squares over the degrees
	// of freedom, in units of the response.
	ResidualSD       float64 `json:"residual_sd"`
	DegreesOfFreedom int     `json:"degrees_of_freedom"`
	Rows             int     `json:"rows"`
	// Condition is the condition number of the standardised design.
	Condition float64 `json:"condition"`
	// Solver names what computed the coefficients.
	Solver string `json:"solver"`
}

// ColumnError says that a column can have no coefficient of its own.
type ColumnError struct {
	Column  string
	Problem string
}

func (e *ColumnError) Error() string {
	return fmt.Sprintf("column %s is %s; leave it out", e.Column, e.Problem)
}

// LeastSquares fits y = b0 + b1 x1 + ... by ordinary least squares. Each row of
// x holds the columns without the intercept, which is added here; names has one
// name for each column. Units are the caller's. Input is copied, never changed.
//
// It refuses: rows of unequal length, values that are not finite, fewer than
// three rows or no more rows than coefficients, and, as a *ColumnError, the
// first column that is constant or determined by those before it.
//
// Columns are centred and scaled and the response is centred before solving, and
// the result is taken back, which keeps the digits that ill-conditioned columns
// would cost. Up to 500 rows the regression library solves, above that gonum's QR
// does; rank, standard errors and condition always come from gonum's QR (Golub &
// Van Loan, Matrix Computations, 5.3).
func LeastSquares(x [][]float64, y []float64, names []string) (Solution, error) {
	if err := checkSystem(x, y, names); err != nil {
		return Solution{}, fmt.Errorf("least squares: %w", err)
	}
	z := standardise(x, y, len(names))
	if err := z.check(names); err != nil {
		return Solution{}, fmt.Errorf("least squares: %w", err)
	}
	var qr mat.QR
	qr.Factorize(z.design)
	var r mat.Dense
	qr.RTo(&r)
	if err := collinearColumn(&r, len(x), names); err != nil {
		return Solution{}, fmt.Errorf("least squares: %w", err)
	}
	coefficients, solver, err := solve(&qr, z.design, z.response)
	if err != nil {
		return Solution{}, fmt.Errorf("least squares: %w", err)
	}
	residualSD := z.residualSD(coefficients)
	covariance, err := z.covariance(&r, residualSD)
	if err != nil {
		return Solution{}, fmt.Errorf("least squares: %w", err)
	}
	s := Solution{
		Coefficients:     z.unscale(coefficients),
		Covariance:       covariance,
		ResidualSD:       residualSD,
		DegreesOfFreedom: len(x) - len(coefficients),
		Rows:             len(x),
		Condition:        qr.Cond(),
		Solver:           solver,
	}
	if !s.finite() {
		return Solution{}, errors.New("least squares: the numbers are too large to compute with; give them in larger units")
	}
	return s, nil
}

// checkSystem refuses shapes and values that no fit can use.
func checkSystem(x [][]float64, y []float64, names []string) error {
	if len(x) != len(y) {
		return fmt.Errorf("there are %d rows and %d responses; there must be one response for each row", len(x), len(y))
	}
	coefficients := len(names) + 1
	if len(x) < 3 || len(x) <= coefficients {
		return fmt.Errorf("%d rows are too few for %d coefficients; at least %d are needed",
			len(x), coefficients, max(3, coefficients+1))
	}
	for i, row := range x {
		if len(row) != len(names) {
			return fmt.Errorf("row %d has %d columns; there are %d names", i+1, len(row), len(names))
		}
		if !isFinite(y[i]) {
			return fmt.Errorf("row %d: the response is %g; it must be a finite number", i+1, y[i])
		}
		for j, v := range row {
			if !isFinite(v) {
				return fmt.Errorf("row %d: column %s is %g; it must be a finite number", i+1, names[j], v)
			}
		}
	}
	return nil
}

// collinearColumn finds the first column that those before it determine. The
// j-th diagonal entry of R is what is left of column j once they are taken
// out; every standardised column is sqrt(rows) long.
func collinearColumn(r *mat.Dense, rows int, names []string) error {
	for j, name := range names {
		left := math.Abs(r.At(j+1, j+1)) / math.Sqrt(float64(rows))
		if !(left > collinearTolerance) {
			return &ColumnError{Column: name, Problem: "determined by the columns before it"}
		}
	}
	return nil
}

// finite tells whether every number of the solution is.
func (s Solution) finite() bool {
	for _, row := range s.Covariance {
		if !allFinite(row) {
			return false
		}
	}
	return allFinite(s.Coefficients) && isFinite(s.ResidualSD) && isFinite(s.Condition)
}
