package activity

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Baseline is the plain regression that the count model must beat: ordinary
// least squares of log((bites + 0.5) / hours), which knows no groups and no
// priors. It is there to be scored beside the model and for nothing else.
type Baseline struct {
	// Kept are the places of the columns that could be fitted, the first column,
	// the intercept, apart.
	Kept     []int
	Solution Solution
}

// FitBaseline fits rows whose first column is the intercept. A column that is
// constant in these rows, or determined by those before it, is left out. Weights
// and groups are not read. Too few rows for the columns are an error.
func FitBaseline(records CountRecords) (Baseline, error) {
	if err := records.check(); err != nil {
		return Baseline{}, fmt.Errorf("fit baseline: %w", err)
	}
	b := Baseline{}
	for j := 1; j < len(records.Columns); j++ {
		b.Kept = append(b.Kept, j)
	}
	for {
		var err error
		b.Solution, err = b.leastSquares(records)
		var unusable *ColumnError
		if !errors.As(err, &unusable) {
			if err != nil {
				return Baseline{}, fmt.Errorf("fit baseline: %w", err)
			}
			return b, nil
		}
		b.Kept = slices.DeleteFunc(b.Kept, func(j int) bool { return records.Columns[j] == unusable.Column })
	}
}

func (b Baseline) leastSquares(records CountRecords) (Solution, error) {
	names := make([]string, len(b.Kept))
	for k, j := range b.Kept {
		names[k] = records.Columns[j]
	}
	x, y := make([][]float64, len(records.Counts)), make([]float64, len(records.Counts))
	for i, bites := range records.Counts {
		x[i] = b.row(records.X[i*len(records.Columns) : (i+1)*len(records.Columns)])[1:]
		y[i] = math.Log((float64(bites) + 0.5) / records.Hours[i])
	}
	return LeastSquares(x, y, names)
}

// row is the intercept and the columns kept.
func (b Baseline) row(x []float64) []float64 {
	out := []float64{1}
	for _, j := range b.Kept {
		out = append(out, x[j])
	}
	return out
}

// Predict is the forecast of a session's count: the log rate is normal about its
// estimate with the residual's and the coefficients' variance, and the count is
// what whole bites fit into hours (above 0) times the rate, so
// P(Y = k) = Phi((ln((k+1)/h) - m)/s) - Phi((ln(k/h) - m)/s).
func (b Baseline) Predict(x []float64, hours float64) BaselinePrediction {
	row, s := b.row(x), b.Solution
	variance := s.ResidualSD * s.ResidualSD
	var mean float64
	for i := range row {
		mean += s.Coefficients[i] * row[i]
		for j := range row {
			variance += row[i] * row[j] * s.Covariance[i][j]
		}
	}
	return BaselinePrediction{min(max(mean, -30), 30), math.Sqrt(variance), hours}
}
