package activity_test

import (
	"flag"
	"math"
	"strconv"
	"testing"

	"osier/model/activity"
)

// long adds the slow figures: go test ./model/activity -v -args -long.
var long = flag.Bool("long", false, "add the slow figures of the count model")

func onlyLong(t *testing.T) {
	t.Helper()
	if !*long {
		t.Skip("NOT CHECKED: a slow figure; run go run ./cmd/check -long")
	}
}

// productPriors are the priors of the product's own columns, brought to the
// units of the invented sessions' columns; the intercept's is bream's.
func productPriors() activity.CountPriors {
	return activity.CountPriors{
		Mean:   []float64{math.Log(3), 0.6, 0.05 / 2, 0, 0, 0.05 * 5 / 3, 0, 0, 0, 0, 0, 0, 0, -0.4},
		SD:     []float64{0.8, 0.25, 0.08 / 2, 0.05 / 1.2, 0.05 * 10 / 6, 0.10 * 5 / 3, 0.10 / 0.3, 0.10, 0.2, 0.2, 0.2, 0.15, 0.1, 0.3},
		Spread: activity.ZeroAvoidingPrior(),
	}
}

// forecaster makes the forecast of a session after it has seen the training ones.
type forecaster func(inventedSession) (countForecast, error)

func trainOrFail(t *testing.T, records activity.CountRecords, priors activity.CountPriors, method activity.CountMethod) activity.CountFit {
	t.Helper()
	fit, err := activity.FitCounts(records, priors, method)
	if err != nil {
		t.Fatal(err)
	}
	return fit
}

// regression is a fit without groups at the maximum of its likelihood.
func regression(t *testing.T, records activity.CountRecords, poisson bool) activity.CountFit {
	t.Helper()
	best := trainOrFail(t, records, activity.CountPriors{}, activity.CountMethod{MaximumLikelihood: true, Poisson: poisson})
	fit, err := activity.FitCountsAt(records, activity.CountPriors{}, best.Spread)
	if err != nil {
		t.Fatal(err)
	}
	return fit
}

// integrated forecasts with the doubt about the log rate; without it, it plugs
// the rate in.
func integrated(fit activity.CountFit, withDoubt bool) forecaster {
	return func(s inventedSession) (countForecast, error) {
		groups := []string{strconv.Itoa(s.water), strconv.Itoa(s.angler)}[:len(fit.Factors)]
		mean, variance, err := fit.Predict(s.row()[:len(fit.Columns)], groups)
		if err != nil {
			return nil, err
		}
		if !withDoubt {
			variance = 0
		}
		return activity.NewCountPrediction(mean, variance, s.hours, fit.Spread.Alpha)
	}
}

// withoutGroups drops the factors and keeps the first columns.
func withoutGroups(records activity.CountRecords, columns int) activity.CountRecords {
	all := len(records.Columns)
	out := activity.CountRecords{Columns: records.Columns[:columns], Counts: records.Counts, Hours: records.Hours}
	for i := range records.Counts {
		out.X = append(out.X, records.X[i*all:i*all+columns]...)
	}
	return out
}

func leastSquaresForecaster(t *testing.T, train []inventedSession) forecaster {
	t.Helper()
	x, y := make([][]float64, len(train)), make([]float64, len(train))
	for i, s := range train {
		x[i], y[i] = s.row()[1:], math.Log((float64(s.bites)+0.5)/s.hours)
	}
	solution, err := activity.LeastSquares(x, y, simulatedColumns)
	if err != nil {
		t.Fatal(err)
	}
	return func(s inventedSession) (countForecast, error) {
		row, variance, mean := s.row(), solution.ResidualSD*solution.ResidualSD, 0.0
		for i := range row {
			mean += solution.Coefficients[i] * row[i]
			for j := range row {
				variance += row[i] * row[j] * solution.Covariance[i][j]
			}
		}
		return discretised{mean, math.Sqrt(variance), s.hours}, nil
	}
}

// outOfSample trains each forecaster on the first 70 % of time and scores it on
// the rest, in the order of the reference table, the product's priors last.
func outOfSample(t *testing.T, sessions []inventedSession) (rows []scores, test []inventedSession) {
	t.Helper()
	cut := len(sessions) * 7 / 10
	train, test := sessions[:cut], sessions[cut:]
	records := inventedRecords(train)
	plain := withoutGroups(records, len(records.Columns))
	mixed := trainOrFail(t, records, activity.CountPriors{}, activity.CountMethod{})
	counts := make([]int, len(test))
	for i, s := range test {
		counts[i] = s.bites
	}
	for _, f := range []struct {
		name string
		of   forecaster
	}{
		{"one rate, NB2", integrated(regression(t, withoutGroups(records, 1), false), false)},
		{"OLS log rate, discretised", leastSquaresForecaster(t, train)},
		{"Poisson regression", integrated(regression(t, plain, true), false)},
		{"NB2 regression, no groups", integrated(regression(t, plain, false), false)},
		{"mixed NB2, plug-in", integrated(mixed, false)},
		{"mixed NB2, integrated", integrated(mixed, true)},
		{"truth (floor)", func(s inventedSession) (countForecast, error) {
			return activity.NewCountPrediction(s.logRate, 0, s.hours, 1/inventedTheta)
		}},
		{"mixed NB2, integrated, product's priors", integrated(trainOrFail(t, records, productPriors(), activity.CountMethod{}), true)},
	} {
		rows = append(rows, scoreForecasts(t, f.name, counts, func(i int) (countForecast, error) { return f.of(test[i]) }))
	}
	return rows, test
}

// Rows of outOfSample.
const (
	leastSquaresRow = 1
	integratedRow   = 5
	productRow      = 7
)

// reference is one row of the reference table.
type reference struct{ logScore, crps float64 }

// checkOutOfSample holds the table against the reference's: the rows that are
// the same model to its printed digits, the product's forecast to what it must
// reach, its skill over the baseline to an interval without 0.
func checkOutOfSample(t *testing.T, rows []scores, test []inventedSession, want []reference) {
	t.Helper()
	block := func(i int) [2]int { return [2]int{test[i].water, test[i].day / 7} }
	for r, row := range rows {
		row.print(t)
		if r < len(want) && (math.Abs(row.logScore-want[r].logScore) > 0.001 || *long && math.Abs(row.crps-want[r].crps) > 0.001) {
			t.Errorf("%s: log score %.4f and CRPS %.4f, reference %.3f and %.3f", row.name, row.logScore, row.crps, want[r].logScore, want[r].crps)
		}
	}
	need := want[integratedRow]
	for _, row := range []scores{rows[integratedRow], rows[productRow]} {
		if row.logScore > need.logScore+0.003 || row.crps > need.crps+0.003 {
			t.Errorf("%s: log score %.4f and CRPS %.4f, at most %.3f and %.3f needed", row.name, row.logScore, row.crps, need.logScore+0.003, need.crps+0.003)
		}
		if row.cover90 < 0.90 || row.cover90 > 0.97 {
			t.Errorf("%s: the 90 %% interval covers %.3f, want 0.90 to 0.97", row.name, row.cover90)
		}
		gain, plain := make([]float64, len(test)), rows[leastSquaresRow]
		for i := range gain {
			gain[i] = plain.each[i] - row.each[i]
		}
		mean, low, high := blockBootstrap(gain, block)
		t.Logf("%s: gains %.3f (95 %% %.3f to %.3f) in log score over %s", row.name, mean, low, high, plain.name)
		if low <= 0 {
			t.Errorf("%s: the gain over %s is %.3f to %.3f; it must be above 0", row.name, plain.name, low, high)
		}
	}
}

// The reference tables are in the project's statistics notes, section 5.

func TestOutOfSampleAtAThousandSessions(t *testing.T) {
	rows, test := outOfSample(t, inventSessions(1000, 20250301))
	checkOutOfSample(t, rows, test, []reference{
		{2.475, 2.717}, {2.290, 2.382}, {3.837, 2.842}, {2.334, 2.420}, {2.202, 2.128}, {2.197, 2.120}, {2.118, 1.919},
	})
}

func TestOutOfSampleAtTenThousandSessions(t *testing.T) {
	onlyLong(t)
	rows, test := outOfSample(t, inventSessions(10_000, 20250301))
	checkOutOfSample(t, rows, test, []reference{
		{2.529, 3.035}, {2.358, 2.614}, {3.999, 3.067}, {2.360, 2.624}, {2.191, 2.184}, {2.189, 2.183}, {2.144, 2.063},
	})
}
