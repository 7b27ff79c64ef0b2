package fish

import (
	"math"
	"testing"
)

// The intermediates of equation 2 for two rows of the table, as computed by
// hand in the project's reference pack (water and fish, section 4.2).
func TestEquation2Intermediates(t *testing.T) {
	for _, c := range []struct {
		name    string
		curve   Equation2
		y, z, x float64
	}{
		{"carp", Equation2{2.56, 27.4, 36}, 9.9641, 8.0841, 1.7143},
		{"perch 100 g", Equation2{3.9, 23, 28}, 9.5268, 6.8049, 1.2455},
	} {
		y, z, x := c.curve.exponent()
		for _, v := range []struct {
			name      string
			got, want float64
		}{{"Y", y, c.y}, {"Z", z, c.z}, {"X", x, c.x}} {
			if math.Abs(v.got-v.want) > 6e-5 {
				t.Errorf("%s: %s = %.5f, want %.4f", c.name, v.name, v.got, v.want)
			}
		}
	}
}
