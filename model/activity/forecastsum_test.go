package activity_test

import (
	"math"
	"testing"

	"osier/model/activity"
)

func fished(n int, mean, variance, alpha, rodHours float64) []activity.FishedForecast {
	out := make([]activity.FishedForecast, n)
	for i := range out {
		out[i] = activity.FishedForecast{Basis: activity.ForecastBasis{LogRateMean: mean, LogRateVariance: variance, Alpha: alpha}, RodHours: rodHours}
	}
	return out
}

// Sums of NB2 counts of one mean and theta are NB2 of n times both; of Poisson
// counts, Poisson: the ends are then those of one distribution. The reference
// adds the probabilities up.
func TestASumOfAlikeForecastsThatAreSureOfTheirRate(t *testing.T) {
	for _, c := range []struct {
		n                     int
		ratePerH, alpha, rodH float64
	}{
		{1, 2, 0.6, 4}, {10, 2, 0.6, 4}, {25, 0.5, 1.2, 5}, {12, 3, 0, 4},
	} {
		got, err := activity.SumForecasts(fished(c.n, math.Log(c.ratePerH), 0, c.alpha, c.rodH))
		if err != nil {
			t.Fatal(err)
		}
		mean := float64(c.n) * c.ratePerH * c.rodH
		low, high := countEnds(t, mean, float64(c.n)/c.alpha)
		if math.Abs(got.Mean-mean) > 1e-9*mean || got.Low90 != low || got.High90 != high {
			t.Errorf("%+v: %+v, want %g (%d to %d)", c, got, mean, low, high)
		}
	}
}

func countEnds(t *testing.T, mean, theta float64) (low, high int) {
	t.Helper()
	low, below := -1, 0.0
	for y := 0; ; y++ {
		l, err := activity.NB2LogPMF(y, mean, theta)
		if err != nil {
			t.Fatal(err)
		}
		below += math.Exp(l)
		if low < 0 && below >= 0.05 {
			low = y
		}
		if below >= 0.95 {
			return low, y
		}
	}
}

// One forecast alone has the ends that its plan told.
func TestASumOfOneForecastIsThatForecast(t *testing.T) {
	for _, variance := range []float64{0.05, 0.3, 0.9} {
		one := fished(1, math.Log(2), variance, 0.6, 5)
		got, err := activity.SumForecasts(one)
		if err != nil {
			t.Fatal(err)
		}
		p, err := one[0].Basis.Bites(5)
		if err != nil {
			t.Fatal(err)
		}
		below, low, high := 0.0, -1, 0
		for y := 0; below < 0.95; y++ {
			l, _ := p.LogProbability(y)
			below += math.Exp(l)
			if low < 0 && below >= 0.05 {
				low = y
			}
			high = y
		}
		if math.Abs(got.Mean-p.Mean()) > 1e-9 || math.Abs(float64(got.Low90-low)) > 1 || math.Abs(float64(got.High90-high)) > 0.02*float64(high) {
			t.Errorf("variance %g: %+v, want %g (%d to %d)", variance, got, p.Mean(), low, high)
		}
	}
}

// What all forecasts may be wrong about alike does not average out.
func TestASumIsAsDoubtfulAsWhatItsForecastsShare(t *testing.T) {
	of := func(n int, variance float64) float64 {
		s, err := activity.SumForecasts(fished(n, math.Log(2), variance, 0.6, 4))
		if err != nil {
			t.Fatal(err)
		}
		return float64(s.High90) / float64(max(s.Low90, 1))
	}
	shared := math.Exp(2 * 1.6449 * math.Sqrt(0.5)) // of the ends of the rate alone
	if many := of(400, 0.5); math.Abs(many/shared-1) > 0.05 {
		t.Errorf("ends of 400 in doubt alike lie %.2f-fold apart, want %.2f", many, shared)
	}
	if sure, unsure := of(400, 0), of(400, 0.5); sure > 1.25 || sure > unsure {
		t.Errorf("ends of 400 sure ones lie %.2f-fold apart, of unsure ones %.2f", sure, unsure)
	}
}

func TestWhatCannotBeAddedUp(t *testing.T) {
	for name, f := range map[string][]activity.FishedForecast{
		"nothing": nil, "no hours": fished(1, 0, 0.1, 0.5, 0), "a negative variance": fished(2, 0, -1, 0.5, 4),
		"no number": fished(1, math.NaN(), 0.1, 0.5, 4), "too many": fished(1, 30, 0.1, 0.5, 4),
	} {
		if got, err := activity.SumForecasts(f); err == nil {
			t.Errorf("%s: %+v", name, got)
		}
	}
}
