package activity_test

import (
	"math"
	"strings"
	"testing"

	"osier/model/activity"
)

// Six rows by hand: two levels of x, so least squares is the difference of two
// means of log((y + 0.5)/h).
func TestBaselineByHand(t *testing.T) {
	records := activity.CountRecords{
		Columns: []string{"intercept", "x", "twice x"},
		X:       []float64{1, 0, 0, 1, 0, 0, 1, 0, 0, 1, 1, 2, 1, 1, 2, 1, 1, 2},
		Counts:  []int{2, 2, 2, 5, 5, 5}, Hours: []float64{1, 1, 1, 2, 2, 2},
	}
	records.Counts[0], records.Counts[1], records.Hours[0], records.Hours[1] = 0, 12, 1, 5
	b, err := activity.FitBaseline(records)
	if err != nil {
		t.Fatal(err)
	}
	low := (math.Log(0.5) + math.Log(12.5/5) + math.Log(2.5)) / 3
	high := math.Log(5.5 / 2)
	if !near(b.Solution.Coefficients[0], low, 1e-12) || !near(b.Solution.Coefficients[1], high-low, 1e-12) {
		t.Errorf("coefficients %v, want %v and %v", b.Solution.Coefficients, low, high-low)
	}
	if len(b.Kept) != 1 || b.Kept[0] != 1 {
		t.Errorf("kept columns %v; the third is twice the second", b.Kept)
	}
	p := b.Predict([]float64{1, 1, 2}, 4)
	// Variance of a new row there: residual variance, and a third of it for the
	// mean of three.
	sd := b.Solution.ResidualSD * math.Sqrt(1+1.0/3)
	if want := 4 * math.Exp(high+sd*sd/2); !near(p.Mean(), want, 1e-12) {
		t.Errorf("mean %v, want %v", p.Mean(), want)
	}
	if want := 0.5 * math.Erfc(-(math.Log(0.25)-high)/sd/math.Sqrt2); !near(p.Probability(0), want, 1e-9) {
		t.Errorf("P(0) is %v, want %v", p.Probability(0), want)
	}
	if k := p.Quantile(0.95); p.AtMost(k) < 0.95 || p.AtMost(k-1) >= 0.95 {
		t.Errorf("%d is not the smallest count with probability 0.95", k)
	}
	if _, err := activity.FitBaseline(activity.CountRecords{Columns: []string{"intercept"}, X: []float64{1}, Counts: []int{1}, Hours: []float64{1}}); err == nil || !strings.Contains(err.Error(), "fit baseline") {
		t.Errorf("one row was fitted: %v", err)
	}
}
