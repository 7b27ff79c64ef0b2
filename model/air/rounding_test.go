package air_test

import (
	"math"
	"testing"

	"osier/model/air"

	"pgregory.net/rapid"
)

func TestRound(t *testing.T) {
	for _, c := range []struct {
		x        float64
		decimals int
		want     float64
	}{
		{0.5, 0, 1},
		{-0.5, 0, -1},
		{2.5, 0, 3},
		{-2.5, 0, -3},
		{1.4999, 0, 1},
		{-3.375, 1, -3.4},
		{1.005, 2, 1.01},
		{1013.15 - 1011.1, 1, 2.1},
		{1011.1 - 1013.15, 1, -2.1},
		{0.049, 1, 0},
		{1234, -2, 1200},
	} {
		if got := air.Round(c.x, c.decimals); got != c.want {
			t.Errorf("%v to %d decimals: got %v, want %v", c.x, c.decimals, got, c.want)
		}
	}
	for _, x := range []float64{-0.04, -0.4, math.Copysign(0, -1)} {
		if got := air.Round(x, 0); got != 0 || math.Signbit(got) {
			t.Errorf("%v: got %v, want 0 without a sign", x, got)
		}
	}
	if got := air.Round(1e300, 20); got != 1e300 {
		t.Errorf("too large to round: got %v, want it unchanged", got)
	}
}

func TestRoundStaysNearAndIsDoneOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-2000, 2000).Draw(t, "x")
		decimals := rapid.IntRange(0, 4).Draw(t, "decimals")
		got := air.Round(x, decimals)
		if math.Abs(got-x) > 0.5*math.Pow10(-decimals)+1e-9 || air.Round(got, decimals) != got || (got == 0 && math.Signbit(got)) {
			t.Fatalf("Round(%v, %d) = %v", x, decimals, got)
		}
	})
}
