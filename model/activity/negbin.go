package activity

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// NB2LogPMF is the log probability of y bites when the mean is mu and the
// variance mu + mu^2/theta (Hilbe 2011, from memory). y is 0 or more, mu above
// 0 and finite, theta above 0; an infinite theta is the Poisson distribution.
// Anything else, or a result too small for a finite logarithm, is an error.
//
// The form never takes a difference of log-gammas at large theta, where it
// would lose every digit, and passes smoothly into the Poisson limit.
func NB2LogPMF(y int, mu, theta float64) (float64, error) {
	if y < 0 || !(mu > 0) || math.IsInf(mu, 1) || !(theta > 0) {
		return 0, fmt.Errorf("NB2 probability of %d at mean %g, theta %g: the count must be 0 or more, mean and theta above 0, the mean finite", y, mu, theta)
	}
	l := nb2LogPMF(y, mu, theta)
	if !isFinite(l) {
		return 0, fmt.Errorf("NB2 probability of %d at mean %g, theta %g is too small to compute", y, mu, theta)
	}
	return l, nil
}

// nb2LogPMF is NB2LogPMF on arguments known to be good:
// y ln mu - lgamma(y+1) + L - (y + theta) ln(1 + mu/theta).
func nb2LogPMF(y int, mu, theta float64) float64 {
	k := float64(y)
	factorial, _ := math.Lgamma(k + 1)
	u := mu / theta
	log1pU := math.Log1p(u)
	if math.IsInf(u, 1) {
		log1pU = math.Log(mu) - math.Log(theta)
	}
	return k*math.Log(mu) - factorial + risingLogSum(y, theta) - k*log1pU - thetaLog1p(mu, theta)
}

// thetaLog1p is theta ln(1 + mu/theta), which tends to mu as theta grows. For
// small u = mu/theta it is mu times the series 1 - u/2 + u^2/3.
func thetaLog1p(mu, theta float64) float64 {
	u := mu / theta
	switch {
	case u < 1e-5:
		return mu * (1 - u/2 + u*u/3)
	case math.IsInf(u, 1):
		return theta * (math.Log(mu) - math.Log(theta))
	}
	return theta * math.Log1p(u)
}

// risingLogSum is L, the sum over j = 0..y-1 of ln(1 + j/theta): summed term by
// term for short sums, by Stirling's series (Abramowitz & Stegun 1964, 6.1.40)
// where theta is large, and by log-gammas where it is small.
func risingLogSum(y int, theta float64) float64 {
	k := float64(y)
	switch {
	case math.IsInf(theta, 1):
		return 0
	case y <= 64:
		var sum float64
		for j := range y {
			sum += math.Log1p(float64(j) / theta)
		}
		return sum
	case theta >= 10:
		return (theta+k-0.5)*math.Log1p(k/theta) - k + stirling(theta+k) - stirling(theta)
	}
	top, _ := math.Lgamma(k + theta)
	bottom, _ := math.Lgamma(theta)
	return top - bottom - k*math.Log(theta)
}

// stirling is the tail of Stirling's series for the log of the gamma function
// (Abramowitz & Stegun 1964, 6.1.41), four terms: from 10 on it is right to 1e-12.
func stirling(x float64) float64 {
	x2 := x * x
	return (1.0/12 - (1.0/360-(1.0/1260-1/(1680*x2))/x2)/x2) / x
}

// nb2CDF is P(Y <= k) for theta up to about a million, beyond which the
// incomplete beta loses its digits: the regularised incomplete beta at
// theta/(theta+mu) (Abramowitz & Stegun 1964, 26.5.26). P(Y = 0) comes from the
// log probability, which keeps its digits however small it is.
func nb2CDF(k int, mu, theta float64) float64 {
	switch {
	case k < 0:
		return 0
	case k == 0:
		return math.Exp(nb2LogPMF(0, mu, theta))
	}
	return mathext.RegIncBeta(theta, float64(k)+1, theta/(theta+mu))
}
