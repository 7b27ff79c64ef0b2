package activity

import (
	"fmt"
	"math"
)

// SessionRecord is one finished session as a fit reads it. Blanks belong in as
// much as any other session.
type SessionRecord struct {
	// ID names the session and makes the order of the work, whatever order the
	// records come in.
	ID string
	// StartH is the start in hours from any fixed moment; it orders sessions for
	// the check of carried-over spells, and nothing else.
	StartH float64
	// Water and Angler are never empty; Peg is empty where none was named.
	Water, Peg, Angler string
	// Intervals are the hours of one session, which share its multiplier, or
	// the session as a whole: at least one.
	Intervals []IntervalRecord
	// Weight discounts what was written down late; above 0 to 1.
	Weight float64
}

// IntervalRecord is what came of some hours fished under one set of conditions.
type IntervalRecord struct {
	Covariates Covariates
	// Bites are true bites, Fish those landed; 0 to 100,000. At least one of the
	// two is known, the same for all intervals of a session.
	Bites, Fish           int
	BitesKnown, FishKnown bool
	// RodHours is the exposure; above 0, at most 200.
	RodHours float64
}

// check refuses a record that no fit can read.
func (r SessionRecord) check() error {
	if r.Water == "" || r.Angler == "" {
		return fmt.Errorf("the water is %q and the angler %q; name both", r.Water, r.Angler)
	}
	if !(r.Weight > 0 && r.Weight <= 1) {
		return fmt.Errorf("the weight is %g; it must be above 0 and at most 1", r.Weight)
	}
	if len(r.Intervals) == 0 {
		return fmt.Errorf("there is no interval; give the session as one")
	}
	for i, interval := range r.Intervals {
		if err := interval.check(); err != nil {
			return fmt.Errorf("interval %d: %w", i+1, err)
		}
		if interval.BitesKnown != r.Intervals[0].BitesKnown {
			return fmt.Errorf("interval %d: bites are known of some intervals only; give the session as one", i+1)
		}
	}
	return nil
}

func (r IntervalRecord) check() error {
	if !r.BitesKnown && !r.FishKnown {
		return fmt.Errorf("neither bites nor fish are known; leave the session out")
	}
	if r.BitesKnown && (r.Bites < 0 || r.Bites > 100_000) {
		return fmt.Errorf("bites is %d; it must be from 0 to 100000", r.Bites)
	}
	if r.FishKnown && (r.Fish < 0 || r.Fish > 100_000) {
		return fmt.Errorf("fish is %d; it must be from 0 to 100000", r.Fish)
	}
	if !(r.RodHours > 0 && r.RodHours <= maxRodHours) {
		return fmt.Errorf("rod-hours is %g; it must be above 0 and at most %d", r.RodHours, maxRodHours)
	}
	return nil
}

// landed is the session as the fit of landing reads it; false where bites or
// fish were not counted. Fish beyond the bites, as when a fish was not felt as a
// bite, count as bites here.
func (r SessionRecord) landed() (LandedRecord, bool) {
	out := LandedRecord{Angler: r.Angler, Weight: r.Weight}
	for _, interval := range r.Intervals {
		if !interval.BitesKnown || !interval.FishKnown {
			return out, false
		}
		out.Bites += interval.Bites
		out.Fish += interval.Fish
	}
	out.Bites = max(out.Bites, out.Fish)
	return out, true
}

// Setting is who fishes where. A name the fit has not seen is taken as one not
// seen before, and so is an empty one, but for the peg: sessions of a water whose
// peg is not told share one effect.
type Setting struct{ Water, Peg, Angler string }

// The factors of a fit, in their order in CountFit.Factors. Pegs are left out
// where there are too many.
const (
	waterFactor  = "water"
	anglerFactor = "angler"
	pegFactor    = "peg"
)

// mostCoreLevels is how many waters and pegs a fit holds apart; beyond it pegs
// are left out and their spread is part of the session's own. Our choice: the
// work grows with the cube.
const mostCoreLevels = 400

// pegName keeps peg 3 of one water from peg 3 of another. Sessions whose peg
// was not named share one.
func pegName(water, peg string) string { return water + "/" + peg }

// groups are the names of a setting in the order of a fit's factors.
func (s Setting) groups(factors []FittedFactor) []string {
	out := make([]string, len(factors))
	for k, f := range factors {
		switch f.Name {
		case waterFactor:
			out[k] = s.Water
		case anglerFactor:
			out[k] = s.Angler
		case pegFactor:
			out[k] = pegName(s.Water, s.Peg)
		}
	}
	return out
}

// settingFactors sorts rows into waters, anglers and pegs.
func settingFactors(settings []Setting) []CountFactor {
	waters, anglers, pegs := make([]string, len(settings)), make([]string, len(settings)), make([]string, len(settings))
	for i, s := range settings {
		waters[i], anglers[i], pegs[i] = s.Water, s.Angler, pegName(s.Water, s.Peg)
	}
	out := []CountFactor{NewCountFactor(waterFactor, waters), NewCountFactor(anglerFactor, anglers)}
	if peg := NewCountFactor(pegFactor, pegs); len(peg.Levels)+len(out[0].Levels) <= mostCoreLevels {
		out = append(out, peg)
	}
	return out
}

// expectedShare is the mean of q where logit q is normal.
func expectedShare(logitMean, logitVariance float64) float64 {
	points, weights := standardNormalNodes()
	var mean float64
	for i, x := range points {
		mean += weights[i] / (1 + math.Exp(-(logitMean + math.Sqrt(logitVariance)*x)))
	}
	return mean
}
