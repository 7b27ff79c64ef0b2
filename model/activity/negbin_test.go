package activity_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"osier/model/activity"
)

// near compares relatively, or absolutely where the wanted value is below 1e-6.
func near(got, want, tolerance float64) bool {
	if math.Abs(want) < 1e-6 {
		return math.Abs(got-want) <= tolerance
	}
	return math.Abs(got-want) <= tolerance*math.Abs(want)
}

func TestNB2LogPMFAtExtremes(t *testing.T) {
	// Values of a 40-digit computation, from the project's statistics notes 1.2.
	for _, c := range []struct {
		y               int
		mu, theta, want float64
	}{
		{0, 1e-8, 1, -9.999999950000001e-09},
		{0, 5, 1e-6, -1.5424948670398355e-05},
		{3, 5, 1e-6, -14.914137371581619},
		{3, 5, 1e12, -1.9634457319252538},
		{3, 5, 1e16, -1.963445731925754},
		{400, 350, 1e9, -7.327435139858062},
		{100000, 99000, 2.5, -12.007020688052748},
		{0, 1e6, 0.3, -4.5058450986870495},
		{7, 1e-12, 2, -196.1897365337441},
		{1, 1e300, 1, -690.7755278982137},
	} {
		got, err := activity.NB2LogPMF(c.y, c.mu, c.theta)
		if err != nil || !near(got, c.want, 1e-9) {
			t.Errorf("NB2LogPMF(%d, %g, %g) = %v (%v), want %v", c.y, c.mu, c.theta, got, err, c.want)
		}
	}
}

func TestNB2LogPMFReachesPoisson(t *testing.T) {
	for _, y := range []int{0, 1, 5, 64, 65, 300} {
		for _, mu := range []float64{0.01, 3, 250} {
			factorial, _ := math.Lgamma(float64(y) + 1)
			want := float64(y)*math.Log(mu) - mu - factorial
			for _, theta := range []float64{1e15, math.Inf(1)} {
				got, err := activity.NB2LogPMF(y, mu, theta)
				if err != nil || !near(got, want, 1e-9) {
					t.Errorf("NB2LogPMF(%d, %g, %g) = %v (%v), want Poisson %v", y, mu, theta, got, err, want)
				}
			}
		}
	}
}

func TestNB2LogPMFRefuses(t *testing.T) {
	for _, c := range []struct {
		y         int
		mu, theta float64
	}{{-1, 1, 1}, {1, 0, 1}, {1, math.NaN(), 1}, {1, math.Inf(1), 1}, {1, 1, 0}, {1, 1, math.NaN()}} {
		if got, err := activity.NB2LogPMF(c.y, c.mu, c.theta); err == nil {
			t.Errorf("NB2LogPMF(%d, %g, %g) = %v, want an error", c.y, c.mu, c.theta, got)
		}
	}
}

func TestNB2ProbabilitiesAddUpToTheDistributionFunction(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mu := rapid.Float64Range(0.01, 60).Draw(t, "mu")
		theta := rapid.Float64Range(0.2, 20).Draw(t, "theta")
		var sum float64
		for k := range 200 {
			l, err := activity.NB2LogPMF(k, mu, theta)
			if err != nil {
				t.Fatal(err)
			}
			sum += math.Exp(l)
			if got := activity.NB2CDF(k, mu, theta); math.Abs(got-sum) > 1e-11 {
				t.Fatalf("P(Y <= %d) is %v, the probabilities add up to %v", k, got, sum)
			}
		}
	})
}
