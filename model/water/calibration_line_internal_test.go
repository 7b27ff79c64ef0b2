package water

import (
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/sajari/regression"
	"pgregory.net/rapid"
)

// linePairs are readings from June on that stand a share of the line away from
// the model: at the whole, 1.5 C below it at 15 C and falling behind by a tenth.
func linePairs(n, everyDays int, share float64) []Pair {
	out := make([]Pair, n)
	for i := range out {
		modelC := 4 + 18*math.Abs(math.Sin(float64(i)))
		out[i] = Pair{
			At:     time.Date(2020, 6, 1+i*everyDays, 12, 0, 0, 0, time.UTC),
			ModelC: modelC, ReadingC: math.Max(0, modelC+share*(-1.5-0.1*(modelC-15))+0.3*math.Cos(7*float64(i))),
		}
	}
	return out
}

// Without priors the line is the plain regression of another library.
func TestPlainLineAgreesWithRegression(t *testing.T) {
	all := linePairs(40, 5, 1)
	got, ok := solveLine(all, 0, 0)
	if !ok {
		t.Fatal("no line")
	}
	var r regression.Regression
	for _, p := range all {
		r.Train(regression.DataPoint(p.ReadingC-p.ModelC, []float64{p.ModelC - 15}))
	}
	if err := r.Run(); err != nil {
		t.Fatal(err)
	}
	if math.Abs(got.ShiftC-r.Coeff(0)) > 1e-9 || math.Abs(got.Tilt-r.Coeff(1)) > 1e-9 {
		t.Errorf("line %+v, regression %v and %v", got, r.Coeff(0), r.Coeff(1))
	}
	ridge, ok, err := FitLine(all)
	if err != nil || !ok || math.Abs(ridge.Tilt) >= math.Abs(got.Tilt) || ridge.Tilt >= 0 || ridge.Correct(15) >= 15 {
		t.Errorf("ridge line %+v, %v, %v is not shrunk from %+v", ridge, ok, err, got)
	}
	if _, ok := solveLine(all[:1], 0, 0); ok {
		t.Error("one reading makes a line without priors")
	}
}

// The prior of one reading, worked by hand: 1 C above the model at 15 C moves the
// shift by (1/2.25) / (1/2.25 + 1), and leaves the tilt.
func TestOneReadingMovesTheRidgeLittle(t *testing.T) {
	got, ok := ridge([]Pair{{At: time.Unix(0, 0), ModelC: 15, ReadingC: 16}})
	if !ok || math.Abs(got.ShiftC-1/3.25) > 1e-12 || got.Tilt != 0 {
		t.Errorf("line %+v, want a shift of %v", got, 1/3.25)
	}
}

func TestLineNeedsThirtyReadingsOverTwoSeasons(t *testing.T) {
	turned := linePairs(40, 9, 1) // what the first half says, the second half takes back
	copy(turned[20:], linePairs(40, 9, -1)[20:])
	for _, c := range []struct {
		name  string
		pairs []Pair
		want  bool
	}{
		{"29 over two seasons", linePairs(29, 5, 1), false},
		{"30 over two seasons", linePairs(30, 5, 1), true},
		{"30 in one season", linePairs(30, 3, 1), false},
		{"31, of which one lies in the next", linePairs(31, 3, 1), false},
		{"a model that is right", linePairs(60, 9, 0), false},
		{"an error that changes its sign", turned, false},
		{"none", nil, false},
	} {
		line, ok, err := FitLine(c.pairs)
		if ok != c.want || err != nil {
			t.Errorf("%s: %v, %v", c.name, ok, err)
		}
		if ok && line.Readings != len(c.pairs) || !ok && line != (Line{}) {
			t.Errorf("%s: line %+v", c.name, line)
		}
	}
}

func TestLineRefusesWhatIsNoReading(t *testing.T) {
	at := time.Date(2020, 6, 1, 0, 0, 0, 0, time.UTC)
	for _, p := range []Pair{{ModelC: 10, ReadingC: 10}, {At: at, ModelC: math.NaN()}, {At: at, ReadingC: -1}, {At: at, ReadingC: 101}} {
		if _, _, err := FitLine(append(linePairs(40, 5, 1), p)); err == nil {
			t.Errorf("%+v: no error", p)
		}
	}
}

// December belongs to the winter that follows it.
func TestSeasons(t *testing.T) {
	season := func(date string) int {
		at, err := time.Parse(time.DateOnly, date)
		if err != nil {
			t.Fatal(err)
		}
		return Pair{At: at}.season()
	}
	for _, c := range []struct {
		from, to string
		apart    int
	}{
		{"2020-12-01", "2021-02-28", 0},
		{"2020-11-30", "2020-12-01", 1},
		{"2021-02-28", "2021-03-01", 1},
		{"2020-06-01", "2021-08-31", 4},
	} {
		if got := season(c.to) - season(c.from); got != c.apart {
			t.Errorf("%s and %s are %d seasons apart, want %d", c.from, c.to, got, c.apart)
		}
	}
}

func TestLineApplied(t *testing.T) {
	e, err := ClimateEstimate(NewSite(52, 0, 2), time.Date(2021, 7, 20, 12, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(e, Line{}.Apply(e)); diff != "" {
		t.Error("the zero line changes the estimate:\n" + diff)
	}
	got := Line{ShiftC: -1, Tilt: 0.1, Readings: 30}.Apply(e)
	if want := e.SurfaceC - 1 + 0.1*(e.SurfaceC-15); math.Abs(got.SurfaceC-want) > 1e-12 || math.Abs(got.BottomC-want) > 1e-12 {
		t.Errorf("%v and %v, want %v", got.SurfaceC, got.BottomC, want)
	}
	if math.Abs(got.HighC-got.LowC-(e.HighC-e.LowC)) > 1e-12 || math.Abs(got.HighC+got.LowC-2*got.SurfaceC) > 1e-12 {
		t.Errorf("interval %v to %v about %v", got.LowC, got.HighC, got.SurfaceC)
	}
}

// Whatever the readings, a line stays finite and its water is never below 0.
func TestLineStaysFinite(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var pairs []Pair
		for range rapid.IntRange(30, 60).Draw(t, "readings") {
			pairs = append(pairs, Pair{
				At:     time.Unix(rapid.Int64Range(0, 1e8).Draw(t, "at"), 0),
				ModelC: rapid.Float64Range(0, 35).Draw(t, "model"), ReadingC: rapid.Float64Range(0, 35).Draw(t, "reading"),
			})
		}
		line, _, err := FitLine(pairs)
		if err != nil {
			t.Fatal(err)
		}
		c := line.Correct(rapid.Float64Range(0, 40).Draw(t, "model"))
		if math.IsNaN(c) || math.IsInf(c, 0) || c < 0 {
			t.Fatalf("%+v gives %v C", line, c)
		}
	})
}
