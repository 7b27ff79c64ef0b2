package activity_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model/activity"
)

// planted makes n rows of p columns and a response with slopes 1, 2, ... and
// intercept -1, plus noise of the given sd.
func planted(seed uint64, n, p int, noise float64) (x [][]float64, y []float64) {
	random := rand.New(rand.NewPCG(seed, 1))
	for range n {
		row := make([]float64, p)
		response := -1 + noise*random.NormFloat64()
		for j := range row {
			row[j] = 3*random.NormFloat64() + float64(j)
			response += float64(j+1) * row[j]
		}
		x, y = append(x, row), append(y, response)
	}
	return x, y
}

func TestBothSolversAgreeAt1500Rows(t *testing.T) {
	x, y := planted(1, 1500, 22, 1)
	library, qr, err := activity.CoefficientsBothWays(x, y, false)
	if err != nil {
		t.Fatal(err)
	}
	for j := range qr {
		if difference := math.Abs(library[j] - qr[j]); difference > 1e-11*max(1, math.Abs(qr[j])) {
			t.Errorf("coefficient %d: library %v, QR %v", j, library[j], qr[j])
		}
	}
}

func TestTheSolverChangesAtItsLimit(t *testing.T) {
	if testing.Short() {
		t.Skip("the library takes a second and 200 MiB at its limit; left out of short runs")
	}
	for _, c := range []struct {
		rows   int
		solver string
	}{{activity.LibraryRowLimit, "sajari/regression"}, {activity.LibraryRowLimit + 1, "gonum QR"}} {
		x, y := planted(2, c.rows, 13, 0.5)
		start := time.Now()
		s, err := activity.LeastSquares(x, y, numbered(13))
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%d rows by %s: %v", c.rows, s.Solver, time.Since(start))
		if s.Solver != c.solver {
			t.Errorf("%d rows were solved by %s, want %s", c.rows, s.Solver, c.solver)
		}
		for j, b := range s.Coefficients[1:] {
			if math.Abs(b-float64(j+1)) > 0.03 {
				t.Errorf("%d rows: slope %d is %v, planted %d", c.rows, j+1, b, j+1)
			}
		}
	}
}

func TestLeastSquaresSmallCaseByHand(t *testing.T) {
	// y = 1, 2, 4 at x = 0, 1, 2: slope 3/2, intercept 5/6, residual sum 1/6,
	// slope variance 1/6/2, intercept variance 1/6 (1/3 + 1/2).
	s, err := activity.LeastSquares([][]float64{{0}, {1}, {2}}, []float64{1, 2, 4}, []string{"x"})
	if err != nil {
		t.Fatal(err)
	}
	want := activity.Solution{
		Coefficients: []float64{5.0 / 6, 1.5},
		Covariance:   [][]float64{{1.0 / 6 * 5 / 6, -1.0 / 12}, {-1.0 / 12, 1.0 / 12}},
		ResidualSD:   math.Sqrt(1.0 / 6), DegreesOfFreedom: 1, Rows: 3, Condition: s.Condition,
		Solver: "sajari/regression",
	}
	near := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-13 })
	if diff := cmp.Diff(want, s, near); diff != "" {
		t.Errorf("solution (-want +got):\n%s", diff)
	}
	if !(s.Condition >= 1 && s.Condition < 10) {
		t.Errorf("condition is %v; two orthogonal columns have one near 1", s.Condition)
	}
}

func TestLeastSquaresRefuses(t *testing.T) {
	good := [][]float64{{1, 5}, {2, 3}, {3, 8}, {4, 1}, {5, 0}}
	with := func(change func(x [][]float64, y []float64)) ([][]float64, []float64) {
		x, y := make([][]float64, len(good)), []float64{1, 3, 2, 5, 4}
		for i := range good {
			x[i] = append([]float64(nil), good[i]...)
		}
		change(x, y)
		return x, y
	}
	for _, c := range []struct {
		name   string
		change func(x [][]float64, y []float64)
		names  []string
		want   string
		column string
	}{
		{"not a number", func(x [][]float64, _ []float64) { x[2][1] = math.NaN() }, []string{"a", "b"}, "row 3: column b is NaN", ""},
		{"infinite response", func(_ [][]float64, y []float64) { y[4] = math.Inf(1) }, []string{"a", "b"}, "row 5: the response is +Inf", ""},
		{"ragged", func(x [][]float64, _ []float64) { x[1] = x[1][:1] }, []string{"a", "b"}, "row 2 has 1 columns", ""},
		{"constant", func(x [][]float64, _ []float64) {
			for i := range x {
				x[i][1] = 7
			}
		}, []string{"a", "b"}, "column b is constant", "b"},
		{"repeated", func(x [][]float64, _ []float64) {
			for i := range x {
				x[i][1] = 2*x[i][0] + 3
			}
		}, []string{"a", "b"}, "column b is determined by the columns before it", "b"},
		{"nearly repeated", func(x [][]float64, _ []float64) {
			for i := range x {
				x[i][1] = x[i][0] * (1 + 1e-12*float64(i%2))
			}
		}, []string{"a", "b"}, "column b is determined", "b"},
		{"too large", func(x [][]float64, _ []float64) { x[0][0] = 1e300; x[1][0] = -1e300 }, []string{"a", "b"}, "column a reaches from -1e+300 to 1e+300", ""},
		{"too large a response", func(_ [][]float64, y []float64) { y[0] = 1e200 }, []string{"a", "b"}, "too large", ""},
	} {
		x, y := with(c.change)
		_, err := activity.LeastSquares(x, y, c.names)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one that says %q", c.name, err, c.want)
			continue
		}
		var column *activity.ColumnError
		if errors.As(err, &column) != (c.column != "") {
			t.Errorf("%s: column error is %v, want column %q", c.name, column, c.column)
		} else if column != nil && column.Column != c.column {
			t.Errorf("%s: names column %s, want %s", c.name, column.Column, c.column)
		}
	}
	for _, rows := range []int{0, 1, 2, 3} {
		x, y := planted(3, rows, 2, 1)
		if _, err := activity.LeastSquares(x, y, numbered(2)); err == nil || !strings.Contains(err.Error(), "too few") {
			t.Errorf("%d rows for 3 coefficients: error %v, want too few rows", rows, err)
		}
	}
	if _, err := activity.LeastSquares(good, []float64{1, 2}, []string{"a", "b"}); err == nil {
		t.Error("five rows and two responses were accepted")
	}
}

func TestLeastSquaresLeavesItsInputAlone(t *testing.T) {
	x, y := planted(4, 50, 3, 1)
	wantX, wantY := planted(4, 50, 3, 1)
	if _, err := activity.LeastSquares(x, y, numbered(3)); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(wantX, x) + cmp.Diff(wantY, y); diff != "" {
		t.Errorf("input changed:\n%s", diff)
	}
}

func TestLeastSquaresWithoutColumnsIsTheMean(t *testing.T) {
	s, err := activity.LeastSquares([][]float64{{}, {}, {}, {}}, []float64{1, 2, 3, 6}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got := s.Coefficients[0]; math.Abs(got-3) > 1e-14 {
		t.Errorf("intercept is %v, want the mean 3", got)
	}
	// Variance of a mean: 14/3 over 4.
	if got := s.Covariance[0][0]; math.Abs(got-14.0/12) > 1e-13 {
		t.Errorf("variance is %v, want %v", got, 14.0/12)
	}
}

func TestLeastSquaresFollowsUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scale := rapid.Float64Range(1e-3, 1e3).Draw(t, "scale")
		shift := rapid.Float64Range(-100, 100).Draw(t, "shift")
		x, y := planted(rapid.Uint64().Draw(t, "seed"), 40, 2, 1)
		before, err := activity.LeastSquares(x, y, numbered(2))
		if err != nil {
			t.Fatal(err)
		}
		for i := range x {
			x[i][0] = x[i][0]*scale + shift
		}
		after, err := activity.LeastSquares(x, y, numbered(2))
		if err != nil {
			t.Fatal(err)
		}
		if got, want := after.Coefficients[1]*scale, before.Coefficients[1]; math.Abs(got-want) > 1e-8 {
			t.Errorf("slope in the first unit is %v, want %v", got, want)
		}
		if math.Abs(after.ResidualSD-before.ResidualSD) > 1e-8 {
			t.Errorf("residual sd moved from %v to %v", before.ResidualSD, after.ResidualSD)
		}
	})
}
