package activity_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model/activity"
)

// invented are sessions drawn from the model: an intercept and one condition,
// waters, anglers and pegs, from a seed.
func invented(seed uint64, n int) activity.CountRecords {
	random := rand.New(rand.NewPCG(seed, 1))
	var effects [3][12]float64
	for k, sd := range []float64{0.5, 0.4, 0.2} {
		for l := range effects[k] {
			effects[k][l] = sd * random.NormFloat64()
		}
	}
	records := activity.CountRecords{Columns: []string{"intercept", "condition"}}
	var names [3][]string
	for range n {
		x, hours := random.NormFloat64(), 1+4*random.Float64()
		water, angler := random.IntN(5), random.IntN(12)
		peg := (2*water + random.IntN(2)) % 12
		eta := 0.5 + 0.3*x + effects[0][water] + effects[1][angler] + effects[2][peg]
		multiplier := (random.ExpFloat64() + random.ExpFloat64()) / 2 // Gamma(2, 2)
		mean, count := hours*math.Exp(eta)*multiplier, 0
		for at := random.ExpFloat64(); at < mean; at += random.ExpFloat64() {
			count++
		}
		records.X = append(records.X, 1, x)
		records.Counts = append(records.Counts, count)
		records.Hours = append(records.Hours, hours)
		for k, level := range []int{water, angler, peg} {
			names[k] = append(names[k], fmt.Sprintf("%c%02d", "wap"[k], level))
		}
	}
	for k, name := range []string{"water", "angler", "peg"} {
		records.Factors = append(records.Factors, activity.NewCountFactor(name, names[k]))
	}
	return records
}

// intervals makes every three rows one session of one angler, with a weight.
func intervals(records activity.CountRecords) activity.CountRecords {
	angler := records.Factors[1].Index
	for i := range records.Counts {
		records.Sessions = append(records.Sessions, int32(i/3))
		records.Weights = append(records.Weights, []float64{1, 0.7, 0.4}[i/3%3])
		angler[i] = angler[i-i%3]
	}
	return records
}

var inventedSpread = activity.CountSpread{Alpha: 0.6, SDs: []float64{0.45, 0.35, 0.25}}

var properPriors = activity.CountPriors{Mean: []float64{0.4, 0}, SD: []float64{0.8, 0.25}, Spread: activity.ZeroAvoidingPrior()}

func TestGradientIsThatOfTheLikelihood(t *testing.T) {
	held := []float64{0.4, 0.25}
	for _, row := range []struct {
		name    string
		records activity.CountRecords
		priors  activity.CountPriors
		spread  activity.CountSpread
		held    []float64
	}{
		{"flat priors", invented(1, 90), activity.CountPriors{}, inventedSpread, nil},
		{"proper priors", invented(2, 90), properPriors, inventedSpread, nil},
		{"intervals and weights", intervals(invented(3, 90)), properPriors, inventedSpread, nil},
		{"held coefficients", invented(4, 90), activity.CountPriors{}, inventedSpread, held},
		{"held coefficients, intervals", intervals(invented(5, 90)), activity.CountPriors{}, inventedSpread, held},
		{"near Poisson", invented(6, 90), activity.CountPriors{}, activity.CountSpread{Alpha: 1e-5, SDs: inventedSpread.SDs}, nil},
	} {
		at := func(j int, step float64) float64 {
			spread := activity.CountSpread{Alpha: row.spread.Alpha, SDs: append([]float64{}, row.spread.SDs...)}
			coefficients := append([]float64(nil), row.held...)
			switch {
			case j == 0:
				spread.Alpha *= math.Exp(step)
			case j <= 3:
				spread.SDs[j-1] *= math.Exp(step)
			default:
				coefficients[j-4] += step
			}
			value, _, err := activity.LaplaceSlope(row.records, row.priors, spread, coefficients)
			if err != nil {
				t.Fatalf("%s: %v", row.name, err)
			}
			return value
		}
		_, gradient, err := activity.LaplaceSlope(row.records, row.priors, row.spread, row.held)
		if err != nil {
			t.Fatalf("%s: %v", row.name, err)
		}
		if want := 4 + len(row.held); len(gradient) != want {
			t.Fatalf("%s: %d derivatives, want %d", row.name, len(gradient), want)
		}
		for j, got := range gradient {
			const step = 1e-3
			want := (8*(at(j, step)-at(j, -step)) - (at(j, 2*step) - at(j, -2*step))) / (12 * step)
			if math.Abs(got-want) > 1e-5*max(1, math.Abs(want)) {
				t.Errorf("%s: derivative %d is %.9g, differences give %.9g", row.name, j, got, want)
			}
		}
	}
}

func TestOrderOfRowsChangesNothing(t *testing.T) {
	for _, of := range []activity.CountRecords{invented(7, 120), intervals(invented(8, 120))} {
		want, err := activity.FitCounts(of, properPriors, activity.CountMethod{})
		if err != nil {
			t.Fatal(err)
		}
		rapid.Check(t, func(t *rapid.T) {
			order := rapid.Permutation(indices(len(of.Counts))).Draw(t, "order")
			got, err := activity.FitCounts(rearranged(of, order), properPriors, activity.CountMethod{})
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Fatalf("the order of rows changed the fit:\n%s", diff)
			}
		})
	}
}

func indices(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// rearranged takes the rows at the given places, in that order.
func rearranged(r activity.CountRecords, order []int) activity.CountRecords {
	out := activity.CountRecords{Columns: r.Columns}
	for _, f := range r.Factors {
		out.Factors = append(out.Factors, activity.CountFactor{Name: f.Name, Levels: f.Levels})
	}
	for _, i := range order {
		out.X = append(out.X, r.X[2*i:2*i+2]...)
		out.Counts, out.Hours = append(out.Counts, r.Counts[i]), append(out.Hours, r.Hours[i])
		if r.Sessions != nil {
			out.Sessions, out.Weights = append(out.Sessions, r.Sessions[i]), append(out.Weights, r.Weights[i])
		}
		for k, f := range r.Factors {
			out.Factors[k].Index = append(out.Factors[k].Index, f.Index[i])
		}
	}
	return out
}

func TestIntervalsCountAsOneSession(t *testing.T) {
	// A session cut into equal intervals has one multiplier, so it says what its
	// sum says; as sessions of their own the intervals would say more.
	whole := invented(9, 60)
	cut, apart := activity.CountRecords{Columns: whole.Columns}, activity.CountRecords{Columns: whole.Columns}
	var order []int
	for i := range whole.Counts {
		order = append(order, i, i, i)
	}
	cut = rearranged(whole, order)
	for i := range cut.Counts {
		third := whole.Counts[i/3] / 3
		if i%3 == 0 {
			third = whole.Counts[i/3] - 2*third
		}
		cut.Counts[i], cut.Hours[i] = third, whole.Hours[i/3]/3
		cut.Sessions = append(cut.Sessions, int32(i/3))
	}
	apart = cut
	apart.Sessions = nil
	var ses [3]float64
	var fits [3]activity.CountFit
	for i, records := range []activity.CountRecords{whole, cut, apart} {
		fit, err := activity.FitCountsAt(records, properPriors, inventedSpread)
		if err != nil {
			t.Fatal(err)
		}
		fits[i], ses[i] = fit, fit.SEs[0]
	}
	for j := range whole.Columns {
		if math.Abs(fits[0].Coefficients[j]-fits[1].Coefficients[j]) > 1e-7 || math.Abs(fits[0].SEs[j]-fits[1].SEs[j]) > 1e-7 {
			t.Errorf("%s: %v (%v) whole, %v (%v) cut", whole.Columns[j], fits[0].Coefficients[j], fits[0].SEs[j], fits[1].Coefficients[j], fits[1].SEs[j])
		}
	}
	if !(ses[2] < ses[0]) {
		t.Errorf("intervals as sessions of their own give se %v, not below %v", ses[2], ses[0])
	}
}

func TestUnseenGroupIsNeverSurer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		records := invented(rapid.Uint64().Draw(t, "seed"), rapid.IntRange(1, 80).Draw(t, "sessions"))
		// At usual conditions: far from them a slope learnt at one water alone
		// may leave that water the less sure one.
		records.Columns = records.Columns[:1]
		records.X = nil
		for range records.Counts {
			records.X = append(records.X, 1)
		}
		fit, err := activity.FitCountsAt(records, activity.CountPriors{Mean: []float64{0.4}, SD: []float64{0.8}}, inventedSpread)
		if err != nil {
			t.Fatal(err)
		}
		seen := make([]string, 3)
		for k, f := range fit.Factors {
			seen[k] = rapid.SampledFrom(f.Levels).Draw(t, f.Name)
		}
		_, known, err := fit.Predict([]float64{1}, seen)
		if err != nil {
			t.Fatal(err)
		}
		for k := range seen {
			other := append([]string(nil), seen...)
			other[k] = "never fished"
			_, unseen, err := fit.Predict([]float64{1}, other)
			if err != nil {
				t.Fatal(err)
			}
			if unseen < known-1e-12 {
				t.Errorf("variance %v with %v, %v with an unseen %s", known, seen, unseen, fit.Factors[k].Name)
			}
		}
	})
}

func TestMoreSessionsNarrowInTheMean(t *testing.T) {
	var before float64
	for i, n := range []int{0, 20, 60, 180} {
		var mean float64
		for seed := range uint64(20) {
			records := invented(seed+100, 180)
			first := rearranged(records, indices(n))
			fit, err := activity.FitCountsAt(first, properPriors, inventedSpread)
			if err != nil {
				t.Fatal(err)
			}
			_, variance, err := fit.Predict([]float64{1, 0.5}, []string{"w01", "a03", "p02"})
			if err != nil {
				t.Fatal(err)
			}
			mean += variance / 20
		}
		if i > 0 && !(mean < before) {
			t.Errorf("%d sessions leave a mean variance of %v, fewer left %v", n, mean, before)
		}
		before = mean
	}
}

func TestAwkwardRecords(t *testing.T) {
	blanks := invented(10, 40)
	clear(blanks.Counts)
	fit, err := activity.FitCounts(blanks, properPriors, activity.CountMethod{})
	if err != nil {
		t.Fatalf("only blanks: %v", err)
	}
	mean, variance, err := fit.Predict([]float64{1, 0}, []string{"w00", "a00", "p00"})
	if err != nil || !(mean < -1) || !(variance > 0.05) {
		t.Errorf("only blanks: log rate %v with variance %v, %v; want low and wide", mean, variance, err)
	}
	big := invented(11, 40)
	big.Counts[0] = 500
	if fit, err = activity.FitCounts(big, properPriors, activity.CountMethod{}); err != nil || !(fit.Spread.Alpha > 0) {
		t.Errorf("500 bites in a row: alpha %v, %v", fit.Spread.Alpha, err)
	}
	none := rearranged(blanks, nil)
	if fit, err = activity.FitCountsAt(none, properPriors, inventedSpread); err != nil || math.Abs(fit.SEs[0]-0.8) > 1e-12 {
		t.Errorf("no sessions: se %v, %v; want the prior's", fit.SEs, err)
	}
	for _, row := range []struct {
		name, want string
		change     func(*activity.CountRecords)
	}{
		{"no hours", "row 3: hours is 0", func(r *activity.CountRecords) { r.Hours[2] = 0 }},
		{"negative count", "row 4: the count is -1", func(r *activity.CountRecords) { r.Counts[3] = -1 }},
		{"not a number", "row 2: column condition", func(r *activity.CountRecords) { r.X[3] = math.NaN() }},
		{"constant column", "column condition is constant", func(r *activity.CountRecords) {
			for i := range r.Counts {
				r.X[2*i+1] = 2
			}
		}},
		{"one level", "factor water has 1 levels", func(r *activity.CountRecords) {
			r.Factors[0] = activity.NewCountFactor("water", make([]string, len(r.Counts)))
		}},
		{"two weights", "has two weights", func(r *activity.CountRecords) {
			*r = intervals(*r)
			r.Weights[1] = 0.5
		}},
		{"no columns", "no columns", func(r *activity.CountRecords) { r.Columns, r.X = nil, nil }},
		{"unknown level", "has no level", func(r *activity.CountRecords) { r.Factors[2].Index[0] = 99 }},
	} {
		records := invented(12, 39)
		row.change(&records)
		if _, err := activity.FitCounts(records, activity.CountPriors{}, activity.CountMethod{}); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: got %v, want it to say %q", row.name, err, row.want)
		}
	}
}

func TestPoissonCountsReachTheLimit(t *testing.T) {
	// Counts less spread than Poisson: alpha runs to 0 and is returned as 0.
	records := activity.CountRecords{Columns: []string{"intercept"}}
	for i := range 30 {
		records.X = append(records.X, 1)
		records.Counts = append(records.Counts, 4+i%2)
		records.Hours = append(records.Hours, 1)
	}
	fit, err := activity.FitCounts(records, activity.CountPriors{}, activity.CountMethod{})
	if err != nil {
		t.Fatal(err)
	}
	if fit.Spread.Alpha != 0 || math.Abs(fit.Coefficients[0]-math.Log(4.5)) > 1e-9 {
		t.Errorf("alpha %v, intercept %v; want 0 and ln 4.5", fit.Spread.Alpha, fit.Coefficients[0])
	}
}
