package activity

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

const (
	// rowsPerColumn is how many sessions each column must be paid for with,
	// the intercept first; our choice.
	rowsPerColumn = 10
	// priorWeightRows is how many sessions the prior is worth; our choice.
	priorWeightRows = 20
)

// SessionRow is one finished session: its conditions, its true bites in total
// and its rod-hours. Blanks belong in as much as any other session.
type SessionRow struct {
	Covariates Covariates `json:"covariates"`
	// Bites is the number of true bites; 0 to 100,000.
	Bites int `json:"bites"`
	// RodHours is the exposure; above 0, at most 200.
	RodHours float64 `json:"rod_h"`
}

// FitBaseline fits the plain baseline to one group's sessions: ordinary least
// squares of log((bites + 0.5) / rod-hours), then blended with the prior.
//
// Columns are taken in the order of Columns, at most floor(n/10) of them, the
// intercept first; under 10 sessions the answer is the prior. A column that is
// constant in these rows or determined by those before it is left out with its
// reason. Whatever is not fitted keeps its prior and enters the least squares
// as a known offset at its prior mean: otherwise the intercept would soak up,
// say, a cold season's low appetite and a forecast would count it twice. With
// every column fitted there is no offset.
//
// For fitted columns, with w = n/(n+20),
//
//	estimate   = prior + w (least squares - prior)
//	covariance = (1-w)^2 prior + w^2 least squares
//
// the second being the error variance of the first when prior and records err
// independently. Least squares estimates a mean log rate while the prior's
// intercept is the log of a mean rate, so E[ln G] = digamma(theta) - ln theta
// at theta 1.2, about -0.47, is added to the prior's intercept before blending.
// The log-scale sd of one session is blended by the same weight from the
// prior's (water, angler, peg and multiplier) to the residual sd. So weight 0
// is as wide as the prior and weight 1 is plain least squares.
//
// A value that is not known stands at its column's centre, in the least squares
// as in a forecast. Rows are sorted first: their order changes nothing, to the last digit. A row
// with a wrong value is an error that names it.
func FitBaseline(group string, rows []SessionRow) (Fit, error) {
	fit, err := PriorFit(group)
	if err != nil {
		return Fit{}, fmt.Errorf("fit baseline: %w", err)
	}
	sessions, err := trainingSessions(rows)
	if err != nil {
		return Fit{}, fmt.Errorf("fit baseline: %w", err)
	}
	fit.Rows = len(rows)
	if len(rows) < rowsPerColumn {
		return fit, nil
	}
	if err := fit.learn(sessions); err != nil {
		return Fit{}, fmt.Errorf("fit baseline: %w", err)
	}
	return fit, nil
}

// trainingSession is one row of the design with its response, the log rate.
type trainingSession struct {
	row     []float64
	logRate float64
}

// trainingSessions checks and builds every row and puts them into an order
// that depends on their content alone. Rows equal in content are interchangeable.
func trainingSessions(rows []SessionRow) ([]trainingSession, error) {
	out := make([]trainingSession, len(rows))
	for i, r := range rows {
		if r.Bites < 0 || r.Bites > 100_000 {
			return nil, fmt.Errorf("row %d: bites is %d; it must be from 0 to 100000", i+1, r.Bites)
		}
		if !(r.RodHours > 0 && r.RodHours <= maxRodHours) {
			return nil, fmt.Errorf("row %d: rod-hours is %g; it must be above 0 and at most %d", i+1, r.RodHours, maxRodHours)
		}
		row, _, err := BuildRow(r.Covariates)
		if err != nil {
			return nil, fmt.Errorf("row %d: %w", i+1, err)
		}
		out[i] = trainingSession{row, math.Log((float64(r.Bites) + 0.5) / r.RodHours)}
	}
	slices.SortFunc(out, func(a, b trainingSession) int {
		return cmp.Or(slices.Compare(a.row, b.row), cmp.Compare(a.logRate, b.logRate))
	})
	return out, nil
}

// learn moves a prior fit towards the sessions. It is called on a fresh fit only.
func (f *Fit) learn(sessions []trainingSession) error {
	chosen := make([]int, 0, len(f.Columns))
	for j := 1; j < min(len(sessions)/rowsPerColumn, len(f.Columns)); j++ {
		chosen = append(chosen, j)
	}
	for {
		solution, err := f.leastSquares(sessions, chosen)
		var unusable *ColumnError
		if !errors.As(err, &unusable) {
			if err != nil {
				return err
			}
			f.blend(solution, append([]int{0}, chosen...))
			return nil
		}
		chosen = slices.DeleteFunc(chosen, func(j int) bool {
			if f.Columns[j].Name != unusable.Column {
				return false
			}
			f.Columns[j].NotFitted = unusable.Problem + " in these records"
			return true
		})
	}
}

// leastSquares fits the chosen columns to what the prior means of the other
// columns, the intercept apart, leave of the response.
func (f *Fit) leastSquares(sessions []trainingSession, chosen []int) (Solution, error) {
	names := make([]string, len(chosen))
	for k, j := range chosen {
		names[k] = f.Columns[j].Name
	}
	x := make([][]float64, len(sessions))
	y := make([]float64, len(sessions))
	for i, s := range sessions {
		x[i] = make([]float64, len(chosen))
		for k, j := range chosen {
			x[i][k] = s.row[j]
		}
		y[i] = s.logRate
		for j := 1; j < len(f.Columns); j++ {
			if !slices.Contains(chosen, j) {
				y[i] -= f.Columns[j].PriorMean * s.row[j]
			}
		}
	}
	return LeastSquares(x, y, names)
}

// blend combines the prior, which f still holds, with the solution for the
// fitted columns.
func (f *Fit) blend(s Solution, fitted []int) {
	w := float64(f.Rows) / float64(f.Rows+priorWeightRows)
	f.Weight = w
	f.LogRateSD = (1-w)*f.LogRateSD + w*s.ResidualSD
	f.ResidualSD, f.DegreesOfFreedom, f.Condition, f.Solver = s.ResidualSD, s.DegreesOfFreedom, s.Condition, s.Solver
	for k, j := range fitted {
		c := &f.Columns[j]
		c.Fitted, c.NotFitted = true, ""
		c.RecordsEstimate, c.RecordsSE = s.Coefficients[k], math.Sqrt(s.Covariance[k][k])
		c.Estimate += w * (s.Coefficients[k] - c.Estimate)
		c.TrainingLow, c.TrainingHigh = 1, 1
		if k > 0 {
			c.TrainingLow, c.TrainingHigh = s.Low[k-1], s.High[k-1]
		}
		for l, m := range fitted {
			f.Covariance[j][m] = (1-w)*(1-w)*f.Covariance[j][m] + w*w*s.Covariance[k][l]
		}
		c.SD = math.Sqrt(f.Covariance[j][j])
	}
}
