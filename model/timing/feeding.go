package timing

import (
	"fmt"
	"math"
)

// Belief is what is thought of one line: fish feed on it with probability
// Feeding, else there is no bite to be had; if they feed, they bite at Rate.
type Belief struct {
	Feeding float64 // 0 to 1
	Rate    Rate
}

const (
	// FalseBitesH is how many snags and knocks an hour are taken for true bites,
	// so that one of them does not make feeding certain. Our choice.
	FalseBitesH = 0.02

	// DefaultFeeding is the chance that fish feed where a line is first cast,
	// until FirstHoursNeeded first hours are recorded. Our choice.
	DefaultFeeding = 0.9
)

// PlanBelief is the belief before the first cast, matched to the plan: its mean
// and variance are those of the plan's own predictive, whose log rate per hour
// has mean m and variance v and whose counts have spread alpha (1/theta, 0 or
// more). With pi the chance of feeding (above 0, at most 1),
//
//	1/a = pi (1 + alpha) e^v - 1,  b = pi a / e^(m + v/2).
//
// A small pi already brings spread; where it brings more than the plan has, the
// first equation has no answer and pi is 1. A plan with no spread at all gives a
// rate that is as good as known. A mean that is not finite and above 0, or that
// falls outside the bounds of NewRate, is an error.
func PlanBelief(logRateMean, logRateVariance, alpha, feeding float64) (Belief, error) {
	meanH := math.Exp(logRateMean + logRateVariance/2)
	if !(logRateVariance >= 0) || !(alpha >= 0) || !(feeding > 0 && feeding <= 1) || !(meanH > 0) || math.IsInf(meanH, 1) || math.IsInf(alpha, 1) {
		return Belief{}, fmt.Errorf("match a plan with log rate %g of variance %g, alpha %g and chance of feeding %g: give a finite rate, variance and alpha of 0 or more, and a chance above 0 and at most 1", logRateMean, logRateVariance, alpha, feeding)
	}
	spread := (1 + alpha) * math.Exp(logRateVariance)
	if !(feeding*spread-1 > 0) {
		feeding = 1
	}
	shape := mostShape / 2
	if inverse := feeding*spread - 1; inverse > 1/shape {
		shape = 1 / inverse
	}
	rate, err := NewRate(shape, feeding*shape/meanH)
	if err != nil {
		return Belief{}, fmt.Errorf("match a plan of %g bites an hour: %w", meanH, err)
	}
	return Belief{Feeding: feeding, Rate: rate}, nil
}

func (b Belief) known() bool { return b.Feeding >= 0 && b.Feeding <= 1 && b.Rate.known() }

// MeanH is the mean of true bites an hour, feeding or not; of no belief 0.
func (b Belief) MeanH() float64 {
	if !b.known() {
		return 0
	}
	return b.Feeding * b.Rate.MeanH()
}

// After is the belief once k bites have been seen in t hours on the line. Give
// all that the line has seen since it was first fished, not one spell after
// another.
//
// False bites come at falseBitesH an hour (0 or more) whether fish feed or not.
// Given feeding, the count is a sum of a negative binomial and a Poisson number,
// given none the Poisson number alone, and the ratio of the two probabilities
// comes down to
//
//	(b/(b + t))^a  sum over j of C(k, j) a(a+1)...(a+j-1) / (e (b + t))^j.
//
// With no bite it is the first factor, whatever e is (the form of a
// zero-inflated count, Lambert 1992, Technometrics 34); with e = 0 one bite
// makes feeding certain; every factor falls with t, so blank time never raises
// the chance. The rate given feeding counts all k bites as true: at 0.02 an
// hour the error is under a bite in a long session.
func (b Belief) After(bites int, hours, falseBitesH float64) (Belief, error) {
	if !b.known() || !(falseBitesH >= 0) || math.IsInf(falseBitesH, 1) {
		return Belief{}, fmt.Errorf("what feeds after %d bites: the chance before is %g and false bites come at %g an hour; the chance must be from 0 to 1, the false bites 0 or more", bites, b.Feeding, falseBitesH)
	}
	rate, err := b.Rate.After(bites, hours)
	if err != nil {
		return Belief{}, fmt.Errorf("what feeds: %w", err)
	}
	return Belief{Feeding: b.feedingAfter(bites, hours, falseBitesH), Rate: rate}, nil
}

func (b Belief) feedingAfter(bites int, hours, falseBitesH float64) float64 {
	switch {
	case b.Feeding == 0 || b.Feeding == 1 || bites == 0 && hours == 0:
		return b.Feeding
	case bites > 0 && falseBitesH == 0:
		return 1
	}
	total := b.Rate.Hours + hours
	logRatio := -b.Rate.Shape * math.Log1p(hours/b.Rate.Hours)
	logTerm, logSum := 0.0, 0.0
	for j := range bites {
		logTerm += math.Log(float64(bites-j) / float64(j+1) * (b.Rate.Shape + float64(j)) / (falseBitesH * total))
		logSum = logAdd(logSum, logTerm)
	}
	logOdds := math.Log(b.Feeding) - math.Log1p(-b.Feeding) + logRatio + logSum
	return 1 / (1 + math.Exp(-logOdds))
}

// logAdd is the logarithm of e^x + e^y.
func logAdd(x, y float64) float64 {
	return max(x, y) + math.Log1p(math.Exp(-math.Abs(x-y)))
}

// BiteWithin is the probability that the next true bite comes within some
// minutes, counting the chance that nothing feeds; minutes of 0 or less, or no
// belief, give 0.
func (b Belief) BiteWithin(minutes float64) float64 {
	if !b.known() {
		return 0
	}
	return b.Feeding * (1 - b.Rate.NoBite(minutes/60))
}

// Line bites where fish are there and not feeding: about two an hour, with the
// spread of one such hour's half, and as likely as not that such fish are there
// at all. Our choice.
var (
	idleFish      = Rate{Shape: 1, Hours: 0.5}
	idleFishThere = 0.5
)

// Present is the probability that fish are at the line, feeding or not. b is
// the belief after the bites of these hours. Line bites are evidence of presence
// and never of feeding: they share out only the chance that nothing feeds,
// between fish that do not and no fish. A count below 0, hours outside the
// bounds of After, or no belief give ok false.
func (b Belief) Present(lineBites int, hours float64) (chance float64, ok bool) {
	idle, err := Belief{Feeding: idleFishThere, Rate: idleFish}.After(lineBites, hours, FalseBitesH)
	if err != nil || !b.known() {
		return 0, false
	}
	return b.Feeding + (1-b.Feeding)*idle.Feeding, true
}
