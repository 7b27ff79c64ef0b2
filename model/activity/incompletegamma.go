package activity

import "math"

// gammaBelow is the regularised lower incomplete gamma function P(a, x), for a
// above 0 and x of 0 or more, given x^a e^-x/Gamma(a), which its callers need
// anyway: it is the density on the log scale. The series serves below a + 1
// (Abramowitz & Stegun 1964, 6.5.29), the continued fraction above (6.5.31, by the
// recurrence of Lentz 1976, from memory). It is right to 1e-12 up to an a of some
// hundreds.
func gammaBelow(a, x, front float64) float64 {
	switch {
	case x < a+1:
		if front == 0 { // far out
			return 0
		}
		return front * gammaSeries(a, x)
	case front < enough/10: // the fraction is under 1
		return 1
	}
	return 1 - front*gammaFraction(a, x)
}

// enough is the change from which on a sum stands.
const enough = 1e-16

// gammaSeries is the sum over n of x^n/(a (a+1) ... (a+n)).
func gammaSeries(a, x float64) float64 {
	term := 1 / a
	sum := term
	for n := a + 1; term > sum*enough; n++ {
		term *= x / n
		sum += term
	}
	return sum
}

// gammaFraction is 1/(x+1-a - 1(1-a)/(x+3-a - 2(2-a)/(x+5-a - ...))).
func gammaFraction(a, x float64) float64 {
	const tiny = 1e-300
	b := x + 1 - a
	c, d := 1/tiny, 1/b
	value := d
	for i := 1.0; i < mostFractions; i++ {
		numerator := -i * (i - a)
		b += 2
		d = 1 / nonZero(numerator*d+b, tiny)
		c = nonZero(b+numerator/c, tiny)
		step := c * d
		value *= step
		if math.Abs(step-1) <= 4*enough {
			break
		}
	}
	return value
}

// mostFractions ends a fraction that rounding keeps from standing still; from
// x = a + 1 on it is settled long before.
const mostFractions = 1000

func nonZero(v, tiny float64) float64 {
	if math.Abs(v) < tiny {
		return tiny
	}
	return v
}
