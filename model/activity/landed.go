package activity

import (
	"cmp"
	"fmt"
	"slices"
)

// The spread of anglers about the share that is landed, on the logit scale, is
// log-normal with this median and this sd of its log; our choice. The median
// stands until records speak.
const (
	landedSDMedian = 0.3
	landedLogSD    = 0.6
)

// LandedRecord is one session's true bites and the fish landed from them.
type LandedRecord struct {
	Angler string
	// Bites are true bites, 0 to 100,000, and Fish those of them that were
	// landed, 0 to Bites.
	Bites, Fish int
	// Weight discounts the record, above 0 to 1.
	Weight float64
}

// LandedFit is what is believed of the share of true bites that are landed:
// fish ~ Binomial(bites, q) with logit q the sum of one figure for everybody
// and the angler's own effect. It is a value; callers should not change one.
type LandedFit struct {
	// LogitMean and LogitVariance are of the logit that all anglers share.
	LogitMean     float64 `json:"logit_mean"`
	LogitVariance float64 `json:"logit_variance"`
	// AnglerSD is the sd of the anglers' effects about it.
	AnglerSD float64 `json:"angler_sd"`
	// Anglers are those with a bite on record, sorted by name.
	Anglers []LandedAngler `json:"anglers"`
	// Records is how many were given, blanks among them.
	Records int `json:"records"`
}

// LandedAngler is one angler's effect on the logit and what ties it to the
// shared part: given that part, the effect's variance is Variance, and the
// effect falls by Tie for each unit by which the shared part rises.
type LandedAngler struct {
	Name     string  `json:"name"`
	Effect   float64 `json:"effect"`
	Tie      float64 `json:"tie"`
	Variance float64 `json:"variance"`
}

// PriorLanded is the belief before any record: logit N(0.5, 0.4^2), anglers
// spread by 0.3 about it; our choice. On average a share of 0.62 is landed.
func PriorLanded() LandedFit {
	return LandedFit{
		LogitMean:     landingLogitMean,
		LogitVariance: landingLogitSD * landingLogitSD,
		AnglerSD:      landedSDMedian,
		Anglers:       []LandedAngler{},
	}
}

// Logit is the mean and variance of the logit of an angler's share. An angler
// without a bite on record has no effect and the whole spread of anglers beside
// the shared doubt. One with bites shares the doubt only as far as the records
// leave the effect tied to the prior: (1 - tie)^2 of it, and the effect's own
// variance, which is never more.
func (l LandedFit) Logit(angler string) (mean, variance float64) {
	at, seen := slices.BinarySearchFunc(l.Anglers, angler, func(a LandedAngler, name string) int {
		return cmp.Compare(a.Name, name)
	})
	if !seen {
		return l.LogitMean, l.LogitVariance + l.AnglerSD*l.AnglerSD
	}
	a := l.Anglers[at]
	return l.LogitMean + a.Effect, (1-a.Tie)*(1-a.Tie)*l.LogitVariance + a.Variance
}

// check refuses a fit that FitLanded cannot have made, as one read back from a
// damaged store may be.
func (l LandedFit) check() error {
	if !isFinite(l.LogitMean) || !positive(l.LogitVariance) || !positive(l.AnglerSD) || l.Records < 0 {
		return fmt.Errorf("the landed share has logit %g with variance %g, angler sd %g and %d records; the logit must be finite, variance and sd above 0, records 0 or more; fit again",
			l.LogitMean, l.LogitVariance, l.AnglerSD, l.Records)
	}
	for i, a := range l.Anglers {
		if i > 0 && a.Name <= l.Anglers[i-1].Name {
			return fmt.Errorf("angler %d of the landed share is not in the order of names, each once; fit again", i+1)
		}
		if !isFinite(a.Effect) || !(a.Tie >= 0 && a.Tie <= 1) || !positive(a.Variance) {
			return fmt.Errorf("angler %d of the landed share has effect %g, tie %g and variance %g; the effect must be finite, the tie from 0 to 1, the variance above 0; fit again",
				i+1, a.Effect, a.Tie, a.Variance)
		}
	}
	return nil
}

func positive(v float64) bool { return v > 0 && isFinite(v) }
