package timing_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"osier/model/timing"
)

// near compares relative to figures above 1, absolute below.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*max(1, math.Abs(want))) {
		t.Errorf("%s is %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

func mustRate(t testing.TB, shape, hours float64) timing.Rate {
	t.Helper()
	r, err := timing.NewRate(shape, hours)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Figures: updating.json of the statistics pack, made there by a gamma and a
// negative binomial of another library and checked by integration.
func TestRateAfterBites(t *testing.T) {
	for _, c := range []struct {
		shape, hours       float64
		bites              int
		fished             float64
		mean, sd, q05, q95 float64
		meanRest, p0Rest   float64
		bites05, bites95   int
	}{
		{1.8, 1.2, 0, 0.5, 1.0588235294117647, 0.7892004626469846, 0.16368704225387026, 2.5975454145278487, 2.1176470588235294, 0.24662946177785922, 0, 6},
		{1.8, 1.2, 4, 1, 2.6363636363636362, 1.0946904162538451, 1.1281095910674788, 4.656273911322951, 5.2727272727272725, 0.023507457762884154, 1, 11},
		{0.9, 0.3, 12, 2.5, 4.607142857142858, 1.2827346425762838, 2.7187927013330557, 6.899817500593323, 9.214285714285715, 0.0009557111265539941, 3, 16},
	} {
		r, err := mustRate(t, c.shape, c.hours).After(c.bites, c.fished)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "mean", r.MeanH(), c.mean, 1e-12)
		near(t, "sd", r.SDH(), c.sd, 1e-12)
		low, _ := r.QuantileH(0.05)
		near(t, "5 % quantile", low, c.q05, 1e-8)
		high, _ := r.QuantileH(0.95)
		near(t, "95 % quantile", high, c.q95, 1e-8)
		rest, err := r.Bites(2)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "bites in 2 h", rest.Mean(), c.meanRest, 1e-12)
		near(t, "no bite in 2 h", r.NoBite(2), c.p0Rest, 1e-10)
		near(t, "no bite in 2 h, as a count", rest.Probability(0), c.p0Rest, 1e-10)
		for p, want := range map[float64]int{0.05: c.bites05, 0.95: c.bites95} {
			if got, err := rest.Quantile(p); err != nil || got != want {
				t.Errorf("quantile %g of bites in 2 h is %d (%v), want %d", p, got, err, want)
			}
		}
	}
}

func TestChanceThatOneRateIsLarger(t *testing.T) {
	for _, c := range []struct{ a1, b1, a2, b2, want float64 }{
		{5.8, 3.2, 3, 2.5, 0.7421696526799034}, // updating.json
		{1.8, 1.2, 1.8, 1.2, 0.5},
		{30, 10, 8, 4, 0.8700025766910275},
		{1, 1, 1, 3, 0.75}, // two exponentials: b2/(b1 + b2)
	} {
		got, ok := mustRate(t, c.a1, c.b1).ChanceLarger(mustRate(t, c.a2, c.b2))
		if !ok {
			t.Error("no chance")
		}
		near(t, "chance", got, c.want, 1e-10)
	}
	if _, ok := (timing.Rate{}).ChanceLarger(mustRate(t, 1, 1)); ok {
		t.Error("no rate is compared with one")
	}
}

func TestNextBiteQuantilesInvertTheWait(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRate(t)
		p := rapid.Float64Range(0.01, 0.9).Draw(t, "p")
		minutes, ok := r.NextBiteMin(p)
		if !ok {
			t.Skip("too far off")
		}
		if got := 1 - r.NoBite(minutes/60); math.Abs(got-p) > 1e-8 {
			t.Errorf("a bite has come by %g min with %g, want %g", minutes, got, p)
		}
	})
}

func TestPosteriorMeanLiesBetweenPriorAndData(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		prior := drawRate(t)
		bites, hours := rapid.IntRange(0, 200).Draw(t, "bites"), rapid.Float64Range(0.01, 12).Draw(t, "hours")
		post, err := prior.After(bites, hours)
		if err != nil {
			t.Fatal(err)
		}
		seen := float64(bites) / hours
		low, high := min(prior.MeanH(), seen), max(prior.MeanH(), seen)
		if m := post.MeanH(); m < low*(1-1e-12) || m > high*(1+1e-12) {
			t.Errorf("mean %g is not between %g and %g", m, low, high)
		}
	})
}

func drawRate(t *rapid.T) timing.Rate {
	return timing.Rate{
		Shape: math.Exp(rapid.Float64Range(math.Log(0.05), math.Log(50)).Draw(t, "log shape")),
		Hours: math.Exp(rapid.Float64Range(math.Log(0.02), math.Log(50)).Draw(t, "log hours")),
	}
}

func TestWrongInputIsRefusedAndNothingInfiniteLeaves(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, r := range []timing.Rate{{}, {-1, 1}, {1, 0}, {nan, 1}, {1, nan}, {inf, 1}, {1, inf}, {1e-9, 1}} {
		if _, err := timing.NewRate(r.Shape, r.Hours); err == nil {
			t.Errorf("rate %+v is taken", r)
		}
		_, errAfter := r.After(1, 1)
		_, errBites := r.Bites(1)
		_, okQuantile := r.QuantileH(0.5)
		_, okAbove := r.ChanceAbove(1)
		_, okNext := r.NextBiteMin(0.5)
		if errAfter == nil || errBites == nil || okQuantile || okAbove || okNext || r.MeanH() != 0 || r.SDH() != 0 || r.NoBite(1) != 1 {
			t.Errorf("rate %+v answers", r)
		}
	}
	r := mustRate(t, 1.8, 1.2)
	for _, p := range []float64{0, 1, -1, 2, nan} {
		if _, ok := r.QuantileH(p); ok {
			t.Errorf("quantile %g is answered", p)
		}
		if _, ok := r.NextBiteMin(p); ok {
			t.Errorf("next bite at %g is answered", p)
		}
	}
	for _, fished := range []float64{-1, nan, inf} {
		if _, err := r.After(0, fished); err == nil {
			t.Errorf("%g hours are taken", fished)
		}
	}
	if _, err := r.After(-1, 1); err == nil {
		t.Error("-1 bites are taken")
	}
	if _, ok := mustRate(t, 1e-6, 1).NextBiteMin(0.9); ok {
		t.Error("a wait beyond all numbers is answered")
	}
}
