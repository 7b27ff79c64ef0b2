package activity_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model/activity"
)

func mustFitLanded(t fataler, records []activity.LandedRecord) activity.LandedFit {
	t.Helper()
	fit, err := activity.FitLanded(records)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return fit
}

func TestLandedPriorStandsWithoutBites(t *testing.T) {
	for _, row := range []struct {
		name    string
		records []activity.LandedRecord
	}{
		{"no records", nil},
		{"blanks alone", []activity.LandedRecord{{"ann", 0, 0, 1}, {"bob", 0, 0, 0.4}}},
	} {
		want := activity.PriorLanded()
		want.Records = len(row.records)
		fit := mustFitLanded(t, row.records)
		if diff := cmp.Diff(want, fit); diff != "" {
			t.Errorf("%s: %s", row.name, diff)
		}
		mean, variance := fit.Logit("ann")
		if mean != 0.5 || !near(variance, 0.4*0.4+0.3*0.3, 1e-15) {
			t.Errorf("%s: logit %v with variance %v; want 0.5 and 0.25", row.name, mean, variance)
		}
	}
}

// The slope of the log posterior is nought at the mode. By hand, with
// r = F - B q for each angler: a0 - 0.5 = 0.16 (sum of r) and u = s^2 r.
func TestLandedModeByHand(t *testing.T) {
	for _, row := range []struct {
		name    string
		records []activity.LandedRecord
		sums    map[string][2]float64 // fish and bites, weighted
	}{
		{"one session", []activity.LandedRecord{{"ann", 10, 9, 1}}, map[string][2]float64{"ann": {9, 10}}},
		{
			"weights and blanks",
			[]activity.LandedRecord{{"bob", 20, 4, 0.5}, {"ann", 5, 5, 1}, {"bob", 4, 1, 0.25}, {"bob", 0, 0, 1}, {"ann", 3, 2, 1}},
			map[string][2]float64{"ann": {7, 8}, "bob": {2.25, 11}},
		},
	} {
		fit := mustFitLanded(t, row.records)
		var all float64
		precision, prior := 1/0.16, 1/(fit.AnglerSD*fit.AnglerSD)
		for _, a := range fit.Anglers {
			fish, bites := row.sums[a.Name][0], row.sums[a.Name][1]
			q := 1 / (1 + math.Exp(-(fit.LogitMean + a.Effect)))
			r, w := fish-bites*q, bites*q*(1-q)
			all += r
			precision += w * prior / (w + prior)
			if !near(a.Effect, r/prior, 1e-9) || !near(a.Tie, w/(w+prior), 1e-9) || !near(a.Variance, 1/(w+prior), 1e-9) {
				t.Errorf("%s: %+v; want effect %v, tie %v, variance %v", row.name, a, r/prior, w/(w+prior), 1/(w+prior))
			}
		}
		if len(fit.Anglers) != len(row.sums) || fit.Records != len(row.records) {
			t.Errorf("%s: %d anglers, %d records", row.name, len(fit.Anglers), fit.Records)
		}
		if !near(fit.LogitMean-0.5, 0.16*all, 1e-9) || !near(fit.LogitVariance, 1/precision, 1e-9) {
			t.Errorf("%s: shared logit %v, variance %v; want %v, %v", row.name, fit.LogitMean, fit.LogitVariance, 0.5+0.16*all, 1/precision)
		}
	}
}

// anglerLikelihood is the binomial likelihood of one angler, without its constant.
func anglerLikelihood(fish, bites, eta float64) float64 {
	return math.Exp(-fish*math.Log1p(math.Exp(-eta)) - (bites-fish)*math.Log1p(math.Exp(eta)))
}

// averaged is the mean of f over a standard normal, by a plain sum in small
// steps; f may return several figures.
func averaged(figures int, f func(z float64, out []float64)) []float64 {
	const step = 0.2
	sum, here := make([]float64, figures), make([]float64, figures)
	for i := -35; i <= 35; i++ {
		z := step * float64(i)
		f(z, here)
		for k, v := range here {
			sum[k] += step * math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) * v
		}
	}
	return sum
}

// exactLanded integrates over the shared logit and, for each angler, the effect:
// the marginal likelihood at an sd, and mean and variance of the first's logit.
func exactLanded(sums [][2]float64, sd float64) (likelihood, mean, variance float64) {
	all := averaged(3, func(z float64, out []float64) {
		shared, product := 0.5+0.4*z, 1.0
		for _, s := range sums[1:] {
			product *= averaged(1, func(z float64, out []float64) {
				out[0] = anglerLikelihood(s[0], s[1], shared+sd*z)
			})[0]
		}
		first := averaged(3, func(z float64, out []float64) {
			eta := shared + sd*z
			out[0] = anglerLikelihood(sums[0][0], sums[0][1], eta)
			out[1], out[2] = eta*out[0], eta*eta*out[0]
		})
		for k, v := range first {
			out[k] = product * v
		}
	})
	mean = all[1] / all[0]
	return all[0], mean, all[2]/all[0] - mean*mean
}

// Laplace's approximation against the integrals themselves. It puts the mode
// where the mean is, so a few bites of one sign are where it is worst: it may be
// off by 0.15 of a posterior sd in the logit, and by 10 % in the variance and in
// the sd of the anglers.
func TestLandedAgainstNumericalIntegration(t *testing.T) {
	for _, row := range []struct {
		name    string
		records []activity.LandedRecord
		sums    [][2]float64
	}{
		{"one angler, one bite", []activity.LandedRecord{{"a", 1, 1, 1}}, [][2]float64{{1, 1}}},
		{"one angler, all landed", []activity.LandedRecord{{"a", 12, 12, 1}}, [][2]float64{{12, 12}}},
		{"one angler, many", []activity.LandedRecord{{"a", 60, 21, 1}, {"a", 30, 14, 1}}, [][2]float64{{35, 90}}},
		{"one angler, weighted", []activity.LandedRecord{{"a", 40, 10, 0.25}, {"a", 8, 3, 0.5}}, [][2]float64{{4, 14}}},
		{"two anglers apart", []activity.LandedRecord{{"a", 30, 28, 1}, {"b", 30, 8, 1}}, [][2]float64{{28, 30}, {8, 30}}},
		{"two anglers, one new", []activity.LandedRecord{{"a", 2, 0, 1}, {"b", 50, 30, 1}}, [][2]float64{{0, 2}, {30, 50}}},
	} {
		fit := mustFitLanded(t, row.records)
		mean, variance := fit.Logit("a")
		_, wantMean, wantVariance := exactLanded(row.sums, fit.AnglerSD)
		if math.Abs(mean-wantMean) > 0.15*math.Sqrt(wantVariance) || !near(variance, wantVariance, 0.10) {
			t.Errorf("%s: logit %v with variance %v; integrated %v with %v", row.name, mean, variance, wantMean, wantVariance)
		}
		best, bestLogSD := math.Inf(-1), 0.0
		for i := range 61 {
			logSD := math.Log(0.3) + 0.03*float64(i-15)
			likelihood, _, _ := exactLanded(row.sums, math.Exp(logSD))
			z := (logSD - math.Log(0.3)) / 0.6
			if value := math.Log(likelihood) - z*z/2; value > best {
				best, bestLogSD = value, logSD
			}
		}
		if math.Abs(math.Log(fit.AnglerSD)-bestLogSD) > 0.1 {
			t.Errorf("%s: angler sd %v; integrated %v", row.name, fit.AnglerSD, math.Exp(bestLogSD))
		}
	}
}

func anyLandedRecords(t *rapid.T) []activity.LandedRecord {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) activity.LandedRecord {
		bites := rapid.IntRange(0, 40).Draw(t, "bites")
		return activity.LandedRecord{
			Angler: rapid.SampledFrom([]string{"", "ann", "bob", "cy", "dot"}).Draw(t, "angler"),
			Bites:  bites, Fish: rapid.IntRange(0, bites).Draw(t, "fish"),
			Weight: rapid.SampledFrom([]float64{1, 0.7, 0.4, 0.25, 0.1}).Draw(t, "weight"),
		}
	}), 0, 30).Draw(t, "records")
}

func TestLandedFitProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		records := anyLandedRecords(t)
		fit := mustFitLanded(t, records)
		if err := activity.CheckLanded(fit); err != nil {
			t.Errorf("a fresh fit is refused: %v", err)
		}
		if diff := cmp.Diff(fit, mustFitLanded(t, rapid.Permutation(records).Draw(t, "order"))); diff != "" {
			t.Errorf("the order of records matters: %s", diff)
		}
		_, unseen := fit.Logit("nobody")
		for _, a := range fit.Anglers {
			if _, seen := fit.Logit(a.Name); unseen < seen || a.Variance > fit.AnglerSD*fit.AnglerSD*(1+1e-12) {
				t.Errorf("variance %v unseen, %v for %+v", unseen, seen, a)
			}
		}
		text, err := json.Marshal(fit)
		if err != nil {
			t.Fatalf("%v", err)
		}
		var back activity.LandedFit
		if err := json.Unmarshal(text, &back); err != nil {
			t.Fatalf("%v", err)
		}
		if diff := cmp.Diff(fit, back); diff != "" {
			t.Errorf("the fit does not survive JSON: %s", diff)
		}
	})
}

// The sd found is the highest point over the whole range searched.
func TestLandedSDIsTheHighestPoint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		records := anyLandedRecords(t)
		top, err := activity.LogPosteriorOfLandedSD(records, math.Log(mustFitLanded(t, records).AnglerSD))
		if err != nil {
			t.Fatalf("%v", err)
		}
		for logSD := -4.5; logSD <= 2; logSD += 0.13 {
			if value, err := activity.LogPosteriorOfLandedSD(records, logSD); err != nil || value > top+1e-9 {
				t.Errorf("log sd %v is higher by %v (%v)", logSD, value-top, err)
			}
		}
	})
}

func TestLandedMoreSessionsNarrow(t *testing.T) {
	before, beforeShared := math.Inf(1), math.Inf(1)
	for _, n := range []int{0, 1, 4, 16, 64, 256} {
		var records []activity.LandedRecord
		for i := range n {
			records = append(records, activity.LandedRecord{Angler: []string{"ann", "bob"}[i%2], Bites: 10, Fish: 5 + i%2, Weight: 1})
		}
		fit := mustFitLanded(t, records)
		_, variance := fit.Logit("ann")
		if !(variance < before) || !(fit.LogitVariance < beforeShared) {
			t.Errorf("%d sessions leave variance %v, shared %v; fewer left %v, %v", n, variance, fit.LogitVariance, before, beforeShared)
		}
		before, beforeShared = variance, fit.LogitVariance
	}
	if before > 0.005 {
		t.Errorf("128 sessions of 10 bites leave variance %v; 1/(1280 q(1-q)) is 0.003", before)
	}
}

func TestLandedWeightsCountAsPartOfASession(t *testing.T) {
	halves := mustFitLanded(t, []activity.LandedRecord{{"ann", 8, 3, 0.5}, {"ann", 8, 3, 0.5}})
	whole := mustFitLanded(t, []activity.LandedRecord{{"ann", 8, 3, 1}})
	halves.Records = 1
	if diff := cmp.Diff(whole, halves); diff != "" {
		t.Error(diff)
	}
}

// Truth drawn over and over: the shared logit is within its doubt, and so are
// the anglers' own.
func TestLandedRecoversTheTruth(t *testing.T) {
	const worlds, anglers, sessions = 60, 30, 20
	var covered, of int
	var sumZ, sumSD float64
	for world := range uint64(worlds) {
		random := rand.New(rand.NewPCG(world, 11))
		shared := 0.5 + 0.4*random.NormFloat64()
		truth := map[string]float64{}
		var records []activity.LandedRecord
		for a := range anglers {
			name := fmt.Sprintf("angler %02d", a)
			truth[name] = shared + 0.35*random.NormFloat64()
			for range 1 + random.IntN(sessions) {
				r := activity.LandedRecord{Angler: name, Bites: poisson(random, 6), Weight: 1}
				for range r.Bites {
					if random.Float64() < 1/(1+math.Exp(-truth[name])) {
						r.Fish++
					}
				}
				records = append(records, r)
			}
		}
		fit := mustFitLanded(t, records)
		sumZ += (fit.LogitMean - shared) / math.Sqrt(fit.LogitVariance)
		sumSD += fit.AnglerSD
		for name, logit := range truth {
			mean, variance := fit.Logit(name)
			of++
			if math.Abs(mean-logit) < 1.96*math.Sqrt(variance) {
				covered++
			}
		}
	}
	share, z, sd := float64(covered)/float64(of), sumZ/worlds, sumSD/worlds
	// Bands of three standard errors: 1800 intervals, 60 worlds.
	if share < 0.93 || share > 0.97 || math.Abs(z) > 3/math.Sqrt(worlds) || math.Abs(sd-0.35) > 0.03 {
		t.Errorf("95 %% intervals cover %v, mean z is %v, angler sd %v; want 0.95, 0, 0.35", share, z, sd)
	}
}

func TestFitLandedNamesTheWrongRecord(t *testing.T) {
	for _, row := range []struct {
		record activity.LandedRecord
		want   string
	}{
		{activity.LandedRecord{"ann", 4, 5, 1}, "record 2: fish landed is 5 from 4 bites"},
		{activity.LandedRecord{"ann", 4, -1, 1}, "record 2: fish landed is -1"},
		{activity.LandedRecord{"ann", -1, 0, 1}, "record 2: bites is -1"},
		{activity.LandedRecord{"ann", 100_001, 0, 1}, "record 2: bites is 100001"},
		{activity.LandedRecord{"ann", 4, 2, 0}, "record 2: the weight is 0"},
		{activity.LandedRecord{"ann", 4, 2, 1.01}, "record 2: the weight is 1.01"},
		{activity.LandedRecord{"ann", 4, 2, math.NaN()}, "record 2: the weight is NaN"},
	} {
		_, err := activity.FitLanded([]activity.LandedRecord{{"bob", 4, 2, 1}, row.record})
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%+v: got %v, want it to say %q", row.record, err, row.want)
		}
	}
}

func TestLandedSurvivesExtremeRecords(t *testing.T) {
	var records []activity.LandedRecord
	for range 100 {
		records = append(records,
			activity.LandedRecord{"all", 100_000, 100_000, 1},
			activity.LandedRecord{"none", 100_000, 0, 1},
			activity.LandedRecord{"hair", 1, 1, 1e-300})
	}
	for _, some := range [][]activity.LandedRecord{records[:1], records[1:2], records[2:3], records} {
		fit := mustFitLanded(t, some)
		if err := activity.CheckLanded(fit); err != nil {
			t.Errorf("%d records: %v", len(some), err)
		}
	}
}

func TestDamagedLandedFitIsRefused(t *testing.T) {
	for _, row := range []struct {
		want   string
		damage func(*activity.LandedFit)
	}{
		{"logit NaN", func(f *activity.LandedFit) { f.LogitMean = math.NaN() }},
		{"variance 0", func(f *activity.LandedFit) { f.LogitVariance = 0 }},
		{"angler sd +Inf", func(f *activity.LandedFit) { f.AnglerSD = math.Inf(1) }},
		{"-1 records", func(f *activity.LandedFit) { f.Records = -1 }},
		{"angler 2 of the landed share is not in the order", func(f *activity.LandedFit) { f.Anglers[1].Name = "ann" }},
		{"angler 1 of the landed share has effect +Inf", func(f *activity.LandedFit) { f.Anglers[0].Effect = math.Inf(1) }},
		{"tie 1.5", func(f *activity.LandedFit) { f.Anglers[0].Tie = 1.5 }},
		{"variance -1", func(f *activity.LandedFit) { f.Anglers[1].Variance = -1 }},
	} {
		fit := mustFitLanded(t, []activity.LandedRecord{{"ann", 4, 2, 1}, {"bob", 4, 2, 1}})
		row.damage(&fit)
		if err := activity.CheckLanded(fit); err == nil || !strings.Contains(err.Error(), row.want) || !strings.Contains(err.Error(), "fit again") {
			t.Errorf("got %v, want it to say %q", err, row.want)
		}
	}
}

func BenchmarkFitLanded(b *testing.B) {
	random := rand.New(rand.NewPCG(3, 3))
	var records []activity.LandedRecord
	for i := range 10_000 {
		bites := random.IntN(20)
		records = append(records, activity.LandedRecord{Angler: fmt.Sprint(i % 500), Bites: bites, Fish: bites * 2 / 3, Weight: 1})
	}
	for b.Loop() {
		mustFitLanded(b, records)
	}
}
