package air_test

import (
	"math"
	"testing"

	"osier/model/air"
)

func TestBeaufort(t *testing.T) {
	for _, c := range []struct {
		windMps float64
		force   int
		term    string
	}{
		{0, 0, "Calm"},
		{0.29, 0, "Calm"},
		{0.3, 1, "Light air"},
		{1.6, 2, "Light breeze"},
		{7.95, 4, "Moderate breeze"},
		{8.0, 5, "Fresh breeze"},
		{17.2, 8, "Gale"},
		{32.6, 11, "Violent storm"},
		{32.7, 12, "Hurricane"},
		{-1, -1, "unknown"},
		{math.NaN(), -1, "unknown"},
		{math.Inf(1), -1, "unknown"},
	} {
		if force, term := air.Beaufort(c.windMps); force != c.force || term != c.term {
			t.Errorf("%v m/s: got %d %s, want %d %s", c.windMps, force, term, c.force, c.term)
		}
	}
}

func TestBeaufortKnotsTakesWholeKnots(t *testing.T) {
	for _, c := range []struct {
		windKnots float64
		force     int
	}{
		{0, 0}, {0.5, 1}, {3, 1}, {3.5, 2}, {6.4, 2}, {16, 4}, {17, 5}, {21, 5}, {33.4, 7}, {63, 11}, {64, 12}, {-0.4, 0}, {-1, -1},
	} {
		if force, _ := air.BeaufortKnots(c.windKnots); force != c.force {
			t.Errorf("%v kt: got force %d, want %d", c.windKnots, force, c.force)
		}
	}
}
