package timing

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"

	"osier/model/activity"
)

// Rate is what is thought of the true bites an hour that one fished line gives
// while fish feed on it: a Gamma distribution, worth about Shape bites seen in
// Hours hours. Make one with NewRate or PlanBelief; the zero Rate is none, and
// its methods answer 0 or false.
type Rate struct {
	Shape float64 // a, no unit
	Hours float64 // b, hours fished on one line
}

// The bounds of a rate; outside them the arithmetic loses its digits. Our choice.
const (
	leastShape, mostShape   = 1e-6, 1e6
	leastHours, mostHours   = 1e-9, 1e12
	mostBites, mostSessionH = 100_000, 1e5
)

// NewRate takes the shape (1e-6 to 1e6) and the hours (1e-9 to 1e12) of a
// Gamma rate; anything else is an error.
func NewRate(shape, hours float64) (Rate, error) {
	r := Rate{Shape: shape, Hours: hours}
	if !r.known() {
		return Rate{}, fmt.Errorf("a rate of bites with shape %g and %g hours: the shape must be from %g to %g, the hours from %g to %g", shape, hours, leastShape, mostShape, leastHours, mostHours)
	}
	return r, nil
}

func (r Rate) known() bool {
	return r.Shape >= leastShape && r.Shape <= mostShape && r.Hours >= leastHours && r.Hours <= mostHours
}

// After is the rate once bites have been seen in some hours of fishing: the
// conjugate update Gamma(a + k, b + t) (Gelman et al. 2013, Bayesian Data
// Analysis, 2.6, from memory). The clock is that of the fit, hours fished on one
// line, not time since arrival. Bites are 0 to 100,000, hours 0 to 1e5, and
// there are no bites in no hours at all unless the count is 0.
func (r Rate) After(bites int, hours float64) (Rate, error) {
	if !r.known() || bites < 0 || bites > mostBites || !(hours >= 0 && hours <= mostSessionH) {
		return Rate{}, fmt.Errorf("%d bites in %g hours after a rate of shape %g and %g hours: give bites from 0 to %d and hours from 0 to %g", bites, hours, r.Shape, r.Hours, mostBites, mostSessionH)
	}
	return NewRate(r.Shape+float64(bites), r.Hours+hours)
}

// MeanH is the mean rate, bites an hour; of no rate 0.
func (r Rate) MeanH() float64 {
	if !r.known() {
		return 0
	}
	return r.Shape / r.Hours
}

// SDH is the standard deviation of the rate, bites an hour; of no rate 0.
func (r Rate) SDH() float64 {
	if !r.known() {
		return 0
	}
	return math.Sqrt(r.Shape) / r.Hours
}

// QuantileH is the rate, bites an hour, that the true one lies under with
// probability p, above 0 and below 1; otherwise ok is false.
func (r Rate) QuantileH(p float64) (rateH float64, ok bool) {
	if !r.known() || !(p > 0 && p < 1) {
		return 0, false
	}
	rateH = mathext.GammaIncRegInv(r.Shape, p) / r.Hours
	return rateH, finite(rateH)
}

// ChanceAbove is the probability that the rate is above rateH bites an hour
// (0 or more); otherwise, or of no rate, ok is false.
func (r Rate) ChanceAbove(rateH float64) (chance float64, ok bool) {
	if !r.known() || !(rateH >= 0) || math.IsInf(rateH, 1) {
		return 0, false
	}
	chance = mathext.GammaIncRegComp(r.Shape, r.Hours*rateH)
	return chance, finite(chance)
}

// ChanceLarger is the probability that the rate is larger than another one,
// the two independent: 1 - I(b1/(b1 + b2); a1, a2), since b1 x/(b1 x + b2 y) is
// Beta for Gamma x and y (Johnson, Kotz & Balakrishnan 1995, ch. 25, from
// memory). It is written with the beta's arguments exchanged, which keeps the
// digits of a small chance. Where either is no rate ok is false.
func (r Rate) ChanceLarger(than Rate) (chance float64, ok bool) {
	if !r.known() || !than.known() {
		return 0, false
	}
	chance = mathext.RegIncBeta(than.Shape, r.Shape, than.Hours/(r.Hours+than.Hours))
	return chance, finite(chance)
}

// Bites is the distribution of the count in the next hours (above 0) if fish
// go on feeding: negative binomial of size a and mean a h/b, in the activity
// model's own form.
func (r Rate) Bites(hours float64) (activity.CountPrediction, error) {
	if !r.known() {
		return activity.CountPrediction{}, fmt.Errorf("bites in the next %g hours: there is no rate to go by", hours)
	}
	return activity.NewCountPrediction(math.Log(r.MeanH()), 0, hours, 1/r.Shape)
}

// NoBite is the probability of no bite in the next hours if fish go on
// feeding, (b/(b + h))^a; hours of 0 or less give 1, and so does no rate.
func (r Rate) NoBite(hours float64) float64 {
	if !r.known() || !(hours > 0) {
		return 1
	}
	return math.Exp(-r.Shape * math.Log1p(hours/r.Hours))
}

// NextBiteMin is the time in minutes by which the next bite has come with
// probability p if fish feed: b ((1-p)^(-1/a) - 1), the quantile of the waiting
// time that NoBite gives, a Lomax distribution. p is above 0 and below 1;
// otherwise, or where the time is too long to compute, ok is false.
func (r Rate) NextBiteMin(p float64) (minutes float64, ok bool) {
	if !r.known() || !(p > 0 && p < 1) {
		return 0, false
	}
	minutes = 60 * r.Hours * math.Expm1(-math.Log1p(-p)/r.Shape)
	return minutes, finite(minutes)
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
