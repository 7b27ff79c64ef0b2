package activity

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

const (
	// landedSpan is how many prior sds of log s are searched on each side of
	// its median, and landedSteps how many steps go over the whole first.
	landedSpan  = 6
	landedSteps = 36
	// landedTolerance ends the search for log s; nearer to the top the
	// objective no longer tells two neighbours apart.
	landedTolerance = 1e-7
)

// FitLanded learns the share of true bites that are landed from sessions of
// which both figures are known.
//
// With F and B the weighted sums of an angler's fish and bites,
//
//	log-likelihood = sum over anglers of F eta - B ln(1 + exp(eta)), eta = a0 + u
//	a0 ~ N(0.5, 0.4^2), u ~ N(0, s^2), ln s ~ N(ln 0.3, 0.6^2)
//
// so nothing but F and B - F of each angler is kept and the work grows with the
// records. The shared part a0 and the effects u are at their joint mode and
// integrated by Laplace's approximation; s is at the mode of log s under what
// that leaves, the prior included, which keeps it off 0 where anglers are few
// (Chung et al. 2013, Psychometrika 78). Doubt about s itself is left out.
//
// Records are sorted before they are added up: their order changes nothing, to
// the last digit. A session without a bite says nothing of the share. Without
// records the answer is PriorLanded. A record with a wrong figure is an error
// that names it.
func FitLanded(records []LandedRecord) (LandedFit, error) {
	for i, r := range records {
		if err := r.check(); err != nil {
			return LandedFit{}, fmt.Errorf("fit the landed share: record %d: %w", i+1, err)
		}
	}
	fit := PriorLanded()
	fit.Records = len(records)
	groups := landedGroups(records)
	if len(groups) == 0 {
		return fit, nil
	}
	mode, err := bestLandedMode(groups)
	if err != nil {
		return LandedFit{}, fmt.Errorf("fit the landed share: %w", err)
	}
	return mode.fit(fit), nil
}

func (r LandedRecord) check() error {
	if r.Bites < 0 || r.Bites > 100_000 {
		return fmt.Errorf("bites is %d; it must be from 0 to 100000", r.Bites)
	}
	if r.Fish < 0 || r.Fish > r.Bites {
		return fmt.Errorf("fish landed is %d from %d bites; it must be from 0 to the number of bites", r.Fish, r.Bites)
	}
	if !(r.Weight > 0 && r.Weight <= 1) {
		return fmt.Errorf("the weight is %g; it must be above 0 and at most 1", r.Weight)
	}
	return nil
}

// landedGroup is all that the likelihood knows of one angler: the weighted sums
// of fish landed and of bites that came to nothing.
type landedGroup struct {
	angler     string
	fish, lost float64
}

// landedGroups adds up each angler's records with a bite, sorted by angler and
// then by content, so that the sums round alike in whatever order they came.
func landedGroups(records []LandedRecord) []landedGroup {
	sorted := slices.Clone(records)
	slices.SortFunc(sorted, func(a, b LandedRecord) int {
		return cmp.Or(cmp.Compare(a.Angler, b.Angler), cmp.Compare(a.Bites, b.Bites),
			cmp.Compare(a.Fish, b.Fish), cmp.Compare(a.Weight, b.Weight))
	})
	var groups []landedGroup
	for _, r := range sorted {
		if r.Bites == 0 {
			continue
		}
		if last := len(groups) - 1; last < 0 || groups[last].angler != r.Angler {
			groups = append(groups, landedGroup{angler: r.Angler})
		}
		g := &groups[len(groups)-1]
		g.fish += r.Weight * float64(r.Fish)
		g.lost += r.Weight * float64(r.Bites-r.Fish)
	}
	return groups
}

// bestLandedMode climbs over log s: first in even steps over all that the prior
// allows, since with much data far from the prior there may be two tops, then by
// golden section about the best of them (Kiefer 1953, from memory).
func bestLandedMode(groups []landedGroup) (landedMode, error) {
	centre, step := math.Log(landedSDMedian), 2*landedSpan*landedLogSD/landedSteps
	var best landedMode
	for i := range landedSteps + 1 {
		mode, err := landedModeAt(groups, centre+float64(i-landedSteps/2)*step)
		if err != nil {
			return landedMode{}, err
		}
		if i == 0 || mode.value > best.value {
			best = mode
		}
	}
	low, high := best.logSD-step, best.logSD+step
	shorter := (math.Sqrt(5) - 1) / 2
	for high-low > landedTolerance {
		left, err := landedModeAt(groups, high-shorter*(high-low))
		if err != nil {
			return landedMode{}, err
		}
		right, err := landedModeAt(groups, low+shorter*(high-low))
		if err != nil {
			return landedMode{}, err
		}
		if left.value >= right.value {
			high = right.logSD
		} else {
			low = left.logSD
		}
	}
	return landedModeAt(groups, (low+high)/2)
}
