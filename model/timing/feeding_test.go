package timing_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"osier/model/activity"
	"osier/model/timing"
)

// Figures: statistics pack 4.2 and updating.json.
func TestChanceOfFeeding(t *testing.T) {
	for _, c := range []struct {
		before          float64
		bites           int
		hours, falseH   float64
		want, tolerance float64
	}{
		{0.7, 0, 0.5, 0, 0.5548646484679415, 1e-12},
		{0.7, 0, 0.5, 0.02, 0.5548646484679415, 1e-12}, // false bites or not: none came
		{0.7, 0, 3, 0, 0.19660095263737873, 1e-12},
		{0.9, 0, 0.5, 0, 0.8278224557672724, 1e-12},
		{0.4, 0, 3, 0, 0.06534854853616542, 1e-12},
		{0.7, 4, 1, 0, 1, 0},
		{0.7, 0, 0, 0.02, 0.7, 1e-12},
		{0, 5, 1, 0.02, 0, 0},
		{1, 0, 5, 0.02, 1, 0},
		// One bite in 3 h: by hand, odds 7/3 (1.2/4.2)^1.8 (1 + 1.8/(0.02*4.2)).
		{0.7, 1, 3, 0.02, 1 / (1 + 1/(7.0/3*math.Pow(1.2/4.2, 1.8)*(1+1.8/(0.02*4.2)))), 1e-12},
	} {
		name := fmt.Sprintf("feeding %g after %d bites in %g h", c.before, c.bites, c.hours)
		now, err := timing.Belief{Feeding: c.before, Rate: mustRate(t, 1.8, 1.2)}.After(c.bites, c.hours, c.falseH)
		if err != nil {
			t.Fatal(name, err)
		}
		near(t, name, now.Feeding, c.want, c.tolerance)
	}
}

// The closed form against the sum over how many of the bites were true.
func TestChanceOfFeedingIsBayesOverTrueAndFalseBites(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := drawRate(t)
		before := rapid.Float64Range(0.01, 0.99).Draw(t, "before")
		bites, hours := rapid.IntRange(0, 12).Draw(t, "bites"), rapid.Float64Range(0.05, 8).Draw(t, "hours")
		falseH := rapid.Float64Range(0.01, 1).Draw(t, "false bites")
		counts, err := rate.Bites(hours)
		if err != nil {
			t.Fatal(err)
		}
		wrong := distuv.Poisson{Lambda: falseH * hours}
		var feeding float64
		for j := range bites + 1 {
			feeding += counts.Probability(j) * wrong.Prob(float64(bites-j))
		}
		want := before * feeding / (before*feeding + (1-before)*wrong.Prob(float64(bites)))
		got, err := timing.Belief{Feeding: before, Rate: rate}.After(bites, hours, falseH)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.Feeding-want) > 1e-9 {
			t.Errorf("feeding is %.12g, want %.12g", got.Feeding, want)
		}
	})
}

func TestBlankMinutesNeverRaiseTheChanceOfFeedingAndBitesNeverLowerIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := timing.Belief{Feeding: rapid.Float64Range(0, 1).Draw(t, "before"), Rate: drawRate(t)}
		bites := rapid.IntRange(0, 100).Draw(t, "bites")
		hours, more := rapid.Float64Range(0, 10).Draw(t, "hours"), rapid.Float64Range(0, 5).Draw(t, "more")
		falseH := rapid.SampledFrom([]float64{0, timing.FalseBitesH, 0.5}).Draw(t, "false")
		at := func(bites int, hours float64) float64 {
			now, err := b.After(bites, hours, falseH)
			if err != nil {
				t.Fatal(err)
			}
			return now.Feeding
		}
		p := at(bites, hours)
		if later := at(bites, hours+more); later > p+1e-12 {
			t.Errorf("%g more blank hours raise the chance from %g to %g", more, p, later)
		}
		if another := at(bites+1, hours); another < p-1e-12 {
			t.Errorf("one more bite lowers the chance from %g to %g", p, another)
		}
	})
}

func TestLineBitesRaisePresenceAndNotFeeding(t *testing.T) {
	b, err := timing.Belief{Feeding: 0.9, Rate: mustRate(t, 1.8, 1.2)}.After(0, 2, timing.FalseBitesH)
	if err != nil {
		t.Fatal(err)
	}
	last := b.Feeding
	for n := range 6 {
		present, ok := b.Present(n, 2)
		if !ok || present <= last || present > 1 {
			t.Errorf("%d line bites give presence %g, want above %g and at most 1", n, present, last)
		}
		last = present
	}
	if last < 0.99 {
		t.Errorf("five line bites leave presence at %g", last)
	}
	if _, ok := b.Present(-1, 2); ok {
		t.Error("-1 line bites are taken")
	}
}

// The belief before the first cast has the mean and variance of the plan.
func TestPlanBeliefMatchesThePlansCount(t *testing.T) {
	for _, c := range []struct {
		mean, variance, alpha, feeding float64
		wantFeeding                    float64
	}{
		{math.Log(2), 0.3, 1 / 1.8, 0.9, 0.9},
		{math.Log(0.2), 0.8, 1 / 1.8, 0.7, 0.7},
		{math.Log(8), 0.05, 0.3, 0.9, 0.9},
		{math.Log(8), 0.05, 0.3, 0.7, 1}, // pi alone would spread more than the plan
		{math.Log(3), 0.2, 0.5, 1, 1},
	} {
		b, err := timing.PlanBelief(c.mean, c.variance, c.alpha, c.feeding)
		if err != nil {
			t.Fatal(err)
		}
		if b.Feeding != c.wantFeeding {
			t.Errorf("feeding is %g, want %g", b.Feeding, c.wantFeeding)
		}
		plan, err := activity.NewCountPrediction(c.mean, c.variance, 3, c.alpha)
		if err != nil {
			t.Fatal(err)
		}
		counts, err := b.Rate.Bites(3)
		if err != nil {
			t.Fatal(err)
		}
		p := b.Feeding
		near(t, "mean", b.MeanH()*3, plan.Mean(), 1e-10)
		near(t, "variance", p*counts.Variance()+p*(1-p)*counts.Mean()*counts.Mean(), plan.Variance(), 1e-9)
	}
	b, err := timing.PlanBelief(math.Log(2), 0, 0, 0.9)
	if err != nil || b.Feeding != 1 || b.Rate.SDH() > 0.01 {
		t.Errorf("a plan without spread gives %+v, %v", b, err)
	}
	for _, c := range [][4]float64{{math.NaN(), 0, 0, 1}, {0, -1, 0, 1}, {0, 0, -1, 1}, {0, 0, 0, 0}, {0, 0, 0, 1.1}, {1000, 0, 1, 1}, {0, 0, math.Inf(1), 1}} {
		if _, err := timing.PlanBelief(c[0], c[1], c[2], c[3]); err == nil {
			t.Errorf("plan %v is matched", c)
		}
	}
}

func TestFeedingIsFittedFromFiftyFirstHours(t *testing.T) {
	hours := firstHours(t, 49, 0.6)
	if pi, fitted, err := timing.FitFeeding(hours); pi != timing.DefaultFeeding || fitted || err != nil {
		t.Errorf("49 first hours give %g, %v, %v; want the default", pi, fitted, err)
	}
	pi, fitted, err := timing.FitFeeding(firstHours(t, 2000, 0.6))
	if err != nil || !fitted || math.Abs(pi-0.6) > 0.06 {
		t.Errorf("2,000 first hours at 0.6 give %g, %v, %v", pi, fitted, err)
	}
	// Plain NB2 hours, however many are blank, do not make fish that feed not.
	if pi, _, err := timing.FitFeeding(firstHours(t, 2000, 1)); err != nil || pi != 1 {
		t.Errorf("2,000 first hours at 1 give %g, %v", pi, err)
	}
}

// firstHours draws from the belief matched to a plan of about 4 bites an hour.
func firstHours(t *testing.T, n int, feeding float64) []timing.FirstHour {
	h := timing.FirstHour{LogRateMean: math.Log(3.5), LogRateVariance: 0.3, Alpha: 0.7, Hours: 1}
	b, err := timing.PlanBelief(h.LogRateMean, h.LogRateVariance, h.Alpha, feeding)
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(11, 3))
	out := make([]timing.FirstHour, n)
	for i := range out {
		out[i] = h
		if random.Float64() < feeding {
			rate := distuv.Gamma{Alpha: b.Rate.Shape, Beta: b.Rate.Hours, Src: random}.Rand()
			out[i].Bites = int(distuv.Poisson{Lambda: rate, Src: random}.Rand())
		}
	}
	return out
}
