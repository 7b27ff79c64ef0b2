package main

import (
	"math"
	"testing"
)

// The check values of the statistics pack, section 7.
func TestStreamsGiveTheirCheckValues(t *testing.T) {
	if got := (&demoStream{}).next(); got != 0xe220a8397b1dcdaf {
		t.Errorf("state 0 gives %#x first, want 0xe220a8397b1dcdaf", got)
	}
	s := newDemoStream(20250301, 4, 0)
	for i, want := range []float64{0.8842662188488959, 0.6738719222343292} {
		if got := s.uniform(); got != want {
			t.Errorf("seed 20250301, kind 4, index 0: uniform %d is %v, want %v", i, got, want)
		}
	}
}

// A mean and a variance of n draws lie within five of their own standard
// errors of the distribution's.
func TestDrawsHaveTheirMoments(t *testing.T) {
	const n = 40_000
	for _, c := range []struct {
		name           string
		draw           func(*demoStream) float64
		mean, variance float64
		fourthOverVar2 float64 // kurtosis, for the error of the variance
	}{
		{"normal", (*demoStream).normal, 0, 1, 3},
		{"gamma of shape 1.5", func(s *demoStream) float64 { return s.gamma(1.5) }, 1.5, 1.5, 7},
		{"poisson of mean 3.2", func(s *demoStream) float64 { return float64(s.poisson(3.2)) }, 3.2, 3.2, 3.4},
		{"binomial of 10 at 0.6", func(s *demoStream) float64 { return float64(s.binomial(10, 0.6)) }, 6, 2.4, 2.9},
		{"even from 3 to 6", func(s *demoStream) float64 { return s.between(3, 6) }, 4.5, 0.75, 1.8},
		{"a place of five", func(s *demoStream) float64 { return float64(s.below(5)) }, 2, 2, 1.7},
		{"a place by weights 1, 0, 3", func(s *demoStream) float64 { return float64(s.pick([]float64{1, 0, 3})) }, 1.5, 0.75, 2.4},
	} {
		s := newDemoStream(7, 3, 11)
		var sum, squares float64
		for range n {
			x := c.draw(s)
			sum += x
			squares += (x - c.mean) * (x - c.mean)
		}
		if got, slack := sum/n, 5*math.Sqrt(c.variance/n); math.Abs(got-c.mean) > slack {
			t.Errorf("%s: mean %.4f, want %.4f +/- %.4f", c.name, got, c.mean, slack)
		}
		if got, slack := squares/n, 5*c.variance*math.Sqrt((c.fourthOverVar2-1)/n); math.Abs(got-c.variance) > slack {
			t.Errorf("%s: variance %.4f, want %.4f +/- %.4f", c.name, got, c.variance, slack)
		}
	}
}

func TestUniformNeverReachesItsEnds(t *testing.T) {
	for _, x := range []uint64{0, 1, math.MaxUint64 - 1, math.MaxUint64} {
		if u := unit(x); !(u > 0 && u < 1) {
			t.Errorf("%#x becomes %v", x, u)
		}
	}
}

func TestNoBitesComeFromNoRate(t *testing.T) {
	for _, mean := range []float64{0, -3} {
		if n := newDemoStream(1, 1, 1).poisson(mean); n != 0 {
			t.Errorf("a mean of %v gives %d", mean, n)
		}
	}
}

func TestAutoregressionHasItsCoefficientAndSpread(t *testing.T) {
	const n = 60_000
	x := autoregression(5, drawAir, 0, 0.8, 100, n)
	var squares, products float64
	for i := 1; i < n; i++ {
		squares += x[i] * x[i]
		products += x[i] * x[i-1]
	}
	if v := squares / n; math.Abs(v-1) > 0.06 {
		t.Errorf("stationary variance %.3f, want 1", v)
	}
	if r := products / squares; math.Abs(r-0.8) > 0.01 {
		t.Errorf("coefficient %.3f, want 0.8", r)
	}
	later := autoregression(5, drawAir, 0, 0.8, 150, 10)
	for i, v := range later {
		if math.Abs(v-x[50+i]) > 0.03 {
			t.Errorf("step %d is %.4f begun later, and %.4f begun sooner", 150+i, v, x[50+i])
		}
	}
}

func TestShuffleKeepsEveryOne(t *testing.T) {
	list := []int{0, 1, 2, 3, 4, 5, 6, 7}
	shuffle(newDemoStream(1, 1, 1), list)
	sum, moved := 0, 0
	for i, v := range list {
		sum += 1 << v
		if i != v {
			moved++
		}
	}
	if sum != 255 || moved == 0 {
		t.Errorf("shuffled into %v", list)
	}
}
