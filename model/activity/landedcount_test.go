package activity_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"osier/model/activity"
)

// countCase is a session's predictive: eta ~ N(mean, variance), alpha, rod-hours
// and the logit of the share.
type countCase struct {
	mean, variance, alpha, rodHours, landedMean, landedVariance float64
}

func (c countCase) counts() activity.SessionCounts {
	return activity.NewSessionCounts(c.mean, c.variance, c.alpha, c.rodHours, c.landedMean, c.landedVariance)
}

// From the cold start through fitted sessions to an almost certain log rate,
// over-dispersed, nearly Poisson and Poisson.
var countCases = []countCase{
	{math.Log(3), 1.12, 1 / 1.2, 5, 0.5, 0.25},
	{math.Log(2.5), 0.3, 1 / 1.8, 4, 0.5, 0.16},
	{math.Log(6), 0.64, 1 / 4.0, 8, 1.2, 0.05},
	{-1, 0.1, 2, 1, -0.5, 0.5},
	{math.Log(3), 0.3, 1 / 20.0, 6, 0.5, 0.25},
	{math.Log(3), 0.6, 1 / 399.0, 5, 0.5, 0.25},
	{math.Log(3), 0.6, 1 / 5000.0, 5, 0.5, 0.25},
	{math.Log(3), 0.3, 2e-6, 5, 0.5, 0.25},
	{math.Log(3), 1, 0, 5, 0.5, 0.25},
	{math.Log(0.4), 0.25, 0, 3, 0.5, 1.2},
	{math.Log(3), 0.00039, 1 / 1.8, 5, 0.5, 0.25},
	{math.Log(3), 0.00041, 1 / 1.8, 5, 0.5, 0.25},
	{math.Log(3), 0, 1 / 1.8, 5, 0.5, 0},
	{math.Log(3), 0, 0, 2, 0.5, 0.25},
	{math.Log(20), 0.01, 0, 5, 0.5, 1},
}

func (c countCase) theta() float64 { return 1 / c.alpha }

// averageNormal is the mean of f over a normal, by a plain sum with so many
// steps to an sd.
func averageNormal(mean, variance float64, steps int, f func(x float64) float64) float64 {
	if variance == 0 {
		return f(mean)
	}
	var sum, all float64
	for i := -7 * steps; i <= 7*steps; i++ {
		z := float64(i) / float64(steps)
		w := math.Exp(-z * z / 2)
		all += w
		sum += w * f(mean+math.Sqrt(variance)*z)
	}
	return sum / all
}

// The distribution functions against plain sums over log rate and share. Their
// steps are 0.04 and 0.2 sds; the nodes are held to 1e-6.
func TestLandedCountsAgainstBruteForce(t *testing.T) {
	for _, c := range countCases {
		p := c.counts()
		for _, k := range []int{0, 1, 3, 8, 20, 60} {
			bites := averageNormal(c.mean, c.variance, 25, func(eta float64) float64 {
				return activity.NB2AtMost(k, c.rodHours*math.Exp(eta), c.theta())
			})
			fish := averageNormal(c.landedMean, c.landedVariance, 5, func(logit float64) float64 {
				q := 1 / (1 + math.Exp(-logit))
				return averageNormal(c.mean, c.variance, 25, func(eta float64) float64 {
					return activity.NB2AtMost(k, c.rodHours*q*math.Exp(eta), c.theta())
				})
			})
			if got := p.Bites(k); math.Abs(got-bites) > 1e-6 {
				t.Errorf("%+v: P(bites <= %d) is %v, want %v", c, k, got, bites)
			}
			if got := p.Fish(k); math.Abs(got-fish) > 1e-6 {
				t.Errorf("%+v: P(fish <= %d) is %v, want %v", c, k, got, fish)
			}
		}
		share := averageNormal(c.landedMean, c.landedVariance, 25, func(x float64) float64 { return 1 / (1 + math.Exp(-x)) })
		mean := c.rodHours * math.Exp(c.mean+c.variance/2)
		if !near(p.RateMean*c.rodHours, mean, 1e-12) || !near(p.FishMean, share*mean, 1e-6) {
			t.Errorf("%+v: %v bites and %v fish are expected, want %v and %v", c, p.RateMean*c.rodHours, p.FishMean, mean, share*mean)
		}
	}
}

// Thinning a bite at a time, from the binomial itself and no closed form: one
// log rate, one share.
func TestLandedFishAreThinnedBites(t *testing.T) {
	const mu, q = 6.0, 0.6
	for _, theta := range []float64{1.8, math.Inf(1)} {
		p := countCase{math.Log(mu), 0, 1 / theta, 1, math.Log(q / (1 - q)), 0}.counts()
		for k := range 12 {
			var want float64
			for y := range 400 {
				l, err := activity.NB2LogPMF(y, mu, theta)
				if err != nil {
					continue // Too small to count.
				}
				atMost := 1.0
				if y > k {
					atMost = distuv.Binomial{N: float64(y), P: q}.CDF(float64(k))
				}
				want += math.Exp(l) * atMost
			}
			if got := p.Fish(k); !near(got, want, 1e-9) {
				t.Errorf("theta %v: P(fish <= %d) is %v, want %v", theta, k, got, want)
			}
		}
	}
}

// By hand: with log rate and share certain, P(0) is (1 + mu/theta)^-theta, and
// exp(-mu) for Poisson.
func TestLandedBlanksByHand(t *testing.T) {
	for _, row := range []struct {
		c            countCase
		none, blank  float64
		bites, fishM float64
	}{
		{countCase{math.Log(2), 0, 0.5, 3, 0, 0}, 1.0 / 16, 4.0 / 25, 6, 3},
		{countCase{math.Log(2), 0, 0, 3, 0, 0}, math.Exp(-6), math.Exp(-3), 6, 3},
	} {
		p := row.c.counts()
		if !near(p.Bites(0), row.none, 1e-9) || !near(p.Fish(0), row.blank, 1e-9) || !near(3*p.RateMean, row.bites, 1e-9) || !near(p.FishMean, row.fishM, 1e-9) {
			t.Errorf("%+v: %v %v %v %v", row, p.Bites(0), p.Fish(0), 3*p.RateMean, p.FishMean)
		}
	}
}

// The rate of one session is exp(eta) G: its quantiles against the distribution
// function summed over eta in small steps.
func TestLandedRateQuantiles(t *testing.T) {
	for _, c := range countCases {
		p := c.counts()
		for _, level := range []float64{0.05, 0.25, 0.5, 0.75, 0.95} {
			got := p.RateQuantile(level)
			if c.variance == 0 && c.alpha == 0 {
				if !near(got, math.Exp(c.mean), 1e-12) {
					t.Errorf("%+v: quantile %v is %v; the rate is certain", c, level, got)
				}
				continue
			}
			below := averageNormal(c.mean, c.variance, 200, func(eta float64) float64 {
				return mathext.GammaIncReg(c.theta(), c.theta()*got/math.Exp(eta))
			})
			if c.alpha < 1e-5 { // The multiplier is nothing beside the log rate.
				below = distuv.UnitNormal.CDF((math.Log(got) - c.mean) / math.Sqrt(c.variance))
			}
			if math.Abs(below-level) > 1e-5 {
				t.Errorf("%+v: quantile %v is %v, below which there is %v", c, level, got, below)
			}
		}
	}
}

// Through the bounds where the nodes change, nothing jumps.
func TestLandedCountsAreSmoothWhereTheNodesChange(t *testing.T) {
	for _, row := range []struct {
		name string
		a, b countCase
	}{
		{"narrow log rate", countCase{1, 0.0004 - 1e-10, 0.5, 4, 0.5, 0.2}, countCase{1, 0.0004 + 1e-10, 0.5, 4, 0.5, 0.2}},
		{"log-normal multiplier", countCase{1, 0.4, 1 / 399.999, 4, 0.5, 0.2}, countCase{1, 0.4, 1 / 400.001, 4, 0.5, 0.2}},
		{"multiplier within the rate", countCase{1, 0, 1.0001e-6, 4, 0.5, 0.2}, countCase{1, 0, 0.9999e-6, 4, 0.5, 0.2}},
		{"no multiplier", countCase{1, 0.4, 1e-9, 4, 0.5, 0.2}, countCase{1, 0.4, 0, 4, 0.5, 0.2}},
	} {
		a, b := row.a.counts(), row.b.counts()
		for k := range 30 {
			if math.Abs(a.Bites(k)-b.Bites(k)) > 1e-6 || math.Abs(a.Fish(k)-b.Fish(k)) > 1e-6 {
				t.Errorf("%s: at %d bites %v and %v, fish %v and %v", row.name, k, a.Bites(k), b.Bites(k), a.Fish(k), b.Fish(k))
			}
		}
		for _, level := range []float64{0.05, 0.5, 0.95} {
			if !near(a.RateQuantile(level), b.RateQuantile(level), 1e-5) {
				t.Errorf("%s: rate quantile %v is %v and %v", row.name, level, a.RateQuantile(level), b.RateQuantile(level))
			}
		}
	}
}

func TestLandedCountProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := countCase{
			mean:       rapid.Float64Range(-8, 6).Draw(t, "mean"),
			variance:   rapid.SampledFrom([]float64{0, 1e-6, 0.01, 0.1, 0.5, 1.2, 4}).Draw(t, "variance"),
			alpha:      rapid.SampledFrom([]float64{0, 1e-4, 0.01, 0.1, 0.5, 1, 3, 50}).Draw(t, "alpha"),
			rodHours:   rapid.Float64Range(0.05, 200).Draw(t, "rod-hours"),
			landedMean: rapid.Float64Range(-6, 6).Draw(t, "landed mean"), landedVariance: rapid.Float64Range(0, 2).Draw(t, "landed variance"),
		}
		p := c.counts()
		if !(p.FishMean >= 0 && p.FishMean <= p.RateMean*c.rodHours*(1+1e-12)) {
			t.Errorf("%v fish of %v bites", p.FishMean, p.RateMean*c.rodHours)
		}
		beforeBites, beforeFish := 0.0, 0.0
		for _, k := range []int{-1, 0, 1, 2, 5, 10, 30, 100, 1000, 100_000, 1 << 40, 1 << 60} {
			bites, fish := p.Bites(k), p.Fish(k)
			if !(bites >= beforeBites-1e-9 && bites <= 1 && fish >= beforeFish-1e-9 && fish <= 1) {
				t.Errorf("at most %d: bites %v after %v, fish %v after %v", k, bites, beforeBites, fish, beforeFish)
			}
			// A session without a bite is a blank, and so on upwards.
			if fish < bites-1e-6 {
				t.Errorf("at most %d: fish %v, bites %v", k, fish, bites)
			}
			beforeBites, beforeFish = bites, fish
		}
		if beforeBites < 1-1e-6 || beforeFish < 1-1e-6 {
			t.Errorf("all probabilities add up to %v and %v", beforeBites, beforeFish)
		}
		low, high := p.RateQuantile(0.05), p.RateQuantile(0.95)
		if !(low > 0 && low <= high && !math.IsInf(high, 1)) {
			t.Errorf("rate from %v to %v", low, high)
		}
	})
}

func TestLandedCountsSurviveExtremes(t *testing.T) {
	for _, c := range []countCase{
		{60, 30, 0, 200, 0, 1}, {-60, 30, 0, 0.01, 0, 1}, {60, 30, 100, 200, 80, 0}, {60, 30, 0.1, 200, 0, 1}, {60, 30, 0.001, 200, 0, 1}, {60, 30, 1e-5, 200, 0, 1}, {60, 30, 1e-8, 200, 0, 1}, {-60, 0, 1e-12, 0.01, -80, 0}, {0, 1e6, 1, 5, 0, 1e6},
	} {
		p := c.counts()
		low, high := activity.CountQuantile(p.Fish, 0.05), activity.CountQuantile(p.Bites, 0.95)
		if low < 0 || high < low {
			t.Errorf("%+v: from %d fish to %d bites", c, low, high)
		}
		for _, v := range []float64{p.RateMean, p.FishMean, p.Bites(0), p.Fish(0), p.Fish(7), p.Bites(1 << 50), p.Bites(1 << 60), p.Fish(1 << 53), p.RateQuantile(0.05), p.RateQuantile(0.95)} {
			if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
				t.Errorf("%+v: %+v has %v", c, p, v)
			}
		}
	}
}

// The whole story drawn: log rate, multiplier, bites, share, fish.
func TestLandedCountsBySimulation(t *testing.T) {
	c := countCase{math.Log(2), 0.5, 1 / 1.8, 4, 0.5, 0.3}
	p := c.counts()
	const draws = 200_000
	random := rand.New(rand.NewPCG(5, 17))
	var blanks, fewFish, fishSum, squares float64
	for range draws {
		rate := math.Exp(c.mean+math.Sqrt(c.variance)*random.NormFloat64()) * gamma(random, 1.8) / 1.8
		q := 1 / (1 + math.Exp(-c.landedMean-math.Sqrt(c.landedVariance)*random.NormFloat64()))
		var fish float64
		for range poisson(random, c.rodHours*rate) {
			if random.Float64() < q {
				fish++
			}
		}
		fishSum += fish
		squares += fish * fish
		if fish == 0 {
			blanks++
		}
		if fish <= 5 {
			fewFish++
		}
	}
	mean := fishSum / draws
	// Four standard errors.
	if se := math.Sqrt((squares/draws - mean*mean) / draws); math.Abs(mean-p.FishMean) > 4*se {
		t.Errorf("%v fish drawn, %v expected (se %v)", mean, p.FishMean, se)
	}
	if math.Abs(blanks/draws-p.Fish(0)) > 4*0.5/math.Sqrt(draws) || math.Abs(fewFish/draws-p.Fish(5)) > 4*0.5/math.Sqrt(draws) {
		t.Errorf("drawn P(0) %v, P(<= 5) %v; computed %v, %v", blanks/draws, fewFish/draws, p.Fish(0), p.Fish(5))
	}
}

func BenchmarkLandedFishQuantile(b *testing.B) {
	p := countCases[0].counts()
	for b.Loop() {
		activity.CountQuantile(p.Fish, 0.95)
	}
}

func BenchmarkLandedBitesQuantile(b *testing.B) {
	p := countCases[0].counts()
	for b.Loop() {
		activity.CountQuantile(p.Bites, 0.95)
	}
}

func BenchmarkNewLandedCounts(b *testing.B) {
	for b.Loop() {
		countCases[0].counts()
	}
}
