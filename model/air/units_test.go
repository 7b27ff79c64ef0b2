package air_test

import (
	"math"
	"testing"

	"osier/model/air"
)

func TestUnits(t *testing.T) {
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"1 kt in m/s", air.MpsPerKnot, 0.514444444444},
		{"1 mph in m/s", air.MpsPerMph, 0.44704},
		{"1 m/s in km/h", air.KmhPerMps, 3.6},
		{"29.92 inHg in hPa", 29.92 * air.HPaPerInHg, 1013.207481},
		{"760 mmHg in hPa", 760 * air.HPaPerMmHg, 1013.250144},
		{"10 statute miles in m", 10 * air.MetresPerMile, 16093.44},
		{"1000 ft in m", 1000 * air.MetresPerFoot, 304.8},
		{"-40 F in C", air.CelsiusFromFahrenheit(-40), -40},
		{"100 C in F", air.FahrenheitFromCelsius(100), 212},
	} {
		if math.Abs(c.got-c.want) > 1e-6 {
			t.Errorf("%s: got %v, want %v", c.name, c.got, c.want)
		}
	}
}
