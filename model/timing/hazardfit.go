package timing

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"osier/model/activity"
)

// HazardPrior is what is believed of the hazard before any cast.
type HazardPrior struct {
	// BitesPerMin is the usual hazard of a settled bait; above 0.
	BitesPerMin float64
	// LogSD is how far the log of it may be out; above 0.
	LogSD float64
	// StepLogSD is how far the log hazard may change from one piece to the next;
	// above 0. The log hazards are so a random walk.
	StepLogSD float64
}

// UsualHazardPrior is centred on a rate of true bites per rod-hour, such as the
// activity model's for the group, with wide sds (0.8 as for the activity model's
// intercepts, and 0.5 a step; our choices).
func UsualHazardPrior(bitesPerH float64) HazardPrior {
	return HazardPrior{BitesPerMin: bitesPerH / 60, LogSD: 0.8, StepLogSD: 0.5}
}

func (p HazardPrior) check() error {
	if !positive(p.BitesPerMin, p.LogSD, p.StepLogSD) {
		return fmt.Errorf("the prior is %g bites per min with log sds %g and %g; give finite numbers above 0", p.BitesPerMin, p.LogSD, p.StepLogSD)
	}
	return nil
}

// HazardFit is what casts say of waiting times.
type HazardFit struct {
	StartsMin []float64 `json:"starts_min"`
	// Tried runs from the shortest soak that ended without a bite to the longest
	// wait of any cast.
	Tried    SoakRange `json:"tried"`
	Casts    int       `json:"casts"`
	Bites    int       `json:"bites"`
	Sessions int       `json:"sessions"`
	// Pooled is the hazard with all sessions thrown together: bites over minutes.
	// It is shown beside a typical session's and never followed.
	Pooled Hazard `json:"pooled"`
	// Count is the regression: the first column the log hazard of the first
	// piece, each further column the step into the next, effects of sessions, and
	// of anglers and waters where there are several.
	Count activity.CountFit `json:"count"`
}

const (
	sessionFactor = "session"
	anglerFactor  = "angler"
	waterFactor   = "water"
)

// FitHazard fits a piecewise-constant hazard to waits as a Poisson regression of
// bites in cells of session and piece with offset log minutes (Holford 1980;
// Laird & Olivier 1981), by the activity model's fitter: log hazards with a
// random-walk prior, an effect of each session, and of each angler and water
// where there are several. One angler's casts so lean on everybody's.
//
// A bite known only to a stretch of time enters by EM at the mode, which has
// log(S(after) - S(by)) for its likelihood; the effects' sds then count such
// bites as if they were timed, and so come out a little too sure.
// No casts, or a field out of range, is an error.
func FitHazard(waits []Wait, prior HazardPrior) (HazardFit, error) {
	if err := prior.check(); err != nil {
		return HazardFit{}, fmt.Errorf("fit hazard: %w", err)
	}
	c, err := newCells(waits)
	if err != nil {
		return HazardFit{}, fmt.Errorf("fit hazard: %w", err)
	}
	priors := activity.CountPriors{Mean: make([]float64, len(c.startsMin)), SD: slices.Repeat([]float64{prior.StepLogSD}, len(c.startsMin)), Spread: activity.ZeroAvoidingPrior()}
	priors.Mean[0], priors.SD[0] = math.Log(prior.BitesPerMin), prior.LogSD
	count, err := c.fit(priors)
	if err != nil {
		return HazardFit{}, fmt.Errorf("fit hazard: %w", err)
	}
	return c.result(count)
}

// FitHazardAlone is FitHazard without any prior, the log hazards held at their
// maximum: it is there to be compared with other fitters. It needs two sessions,
// a bite in every piece and bites that are timed exactly.
func FitHazardAlone(waits []Wait) (HazardFit, error) {
	c, err := newCells(waits)
	if err != nil {
		return HazardFit{}, fmt.Errorf("fit hazard: %w", err)
	}
	if c.uncertain() {
		return HazardFit{}, errors.New("fit hazard: a bite is known to a stretch of time only; fit with a prior")
	}
	c.tally(nil)
	count, err := activity.FitCounts(c.records(), activity.CountPriors{}, activity.CountMethod{Poisson: true, MaximumLikelihood: true})
	if err != nil {
		return HazardFit{}, fmt.Errorf("fit hazard: %w", err)
	}
	return c.result(count)
}

const (
	emRounds    = 2000
	emTolerance = 1e-6 // in the log hazards; our choice
	sdRounds    = 6    // the effects' sds are found anew so often at most; our choice
)

// fit climbs to the mode. Bites that are known only to a stretch of time are
// spread over it by the last fit until the hazards settle at the sds at hand,
// then the sds are found anew.
func (c *cells) fit(priors activity.CountPriors) (activity.CountFit, error) {
	hazards := c.oneHazard()
	var fit activity.CountFit
	for range sdRounds {
		before := fit.Coefficients
		c.tally(hazards)
		var err error
		if fit, err = activity.FitCounts(c.records(), priors, activity.CountMethod{Poisson: true}); err != nil {
			return activity.CountFit{}, err
		}
		if !c.uncertain() || settled(before, fit.Coefficients, 100*emTolerance) {
			return fit, nil
		}
		for range emRounds {
			was := fit.Coefficients
			hazards = c.hazardsOf(fit)
			c.tally(hazards)
			if fit, err = activity.FitCountsFrom(fit, c.records(), priors); err != nil {
				return activity.CountFit{}, err
			}
			if settled(was, fit.Coefficients, emTolerance) {
				break
			}
		}
		hazards = c.hazardsOf(fit)
	}
	return fit, nil
}

func settled(before, now []float64, tolerance float64) bool {
	if before == nil {
		return false
	}
	for j := range now {
		if math.Abs(now[j]-before[j]) > tolerance {
			return false
		}
	}
	return true
}

// leastBite is a part of a bite that is too small to be told from none.
const leastBite = 1e-9

// records are the cells with exposure. A part of a bite becomes a whole one of
// less weight: n ln(mu) - mu at weight w with w n the bites and w times the
// minutes the exposure.
func (c *cells) records() activity.CountRecords {
	p := len(c.startsMin)
	out := activity.CountRecords{}
	for j := range p {
		out.Columns = append(out.Columns, fmt.Sprintf("from %g min", c.startsMin[j]))
	}
	var of []int
	for s := range c.sessions {
		for j, minutes := range c.exposureMin[s] {
			if minutes <= 0 {
				continue
			}
			count, weight := 0.0, 1.0
			if bites := c.bites[s][j]; bites > leastBite {
				count = math.Ceil(bites)
				weight = bites / count
			}
			for k := range p {
				out.X = append(out.X, indicator(k <= j))
			}
			out.Counts, out.Hours, out.Weights = append(out.Counts, int(count)), append(out.Hours, minutes/weight), append(out.Weights, weight)
			of = append(of, s)
		}
	}
	out.Factors = append(out.Factors, factorOf(sessionFactor, c.sessions, of))
	for _, f := range []activity.CountFactor{factorOf(anglerFactor, c.anglers, of), factorOf(waterFactor, c.waters, of)} {
		if len(f.Levels) > 1 {
			out.Factors = append(out.Factors, f)
		}
	}
	return out
}

func indicator(is bool) float64 {
	if is {
		return 1
	}
	return 0
}

func factorOf(name string, bySession []string, rows []int) activity.CountFactor {
	groups := make([]string, len(rows))
	for i, s := range rows {
		groups[i] = bySession[s]
	}
	return activity.NewCountFactor(name, groups)
}

// hazardsOf are the fitted hazards of each session.
func (c *cells) hazardsOf(fit activity.CountFit) [][]float64 {
	out := c.empty()
	for s := range out {
		var log float64
		for _, factor := range fit.Factors {
			name := map[string]string{sessionFactor: c.sessions[s], anglerFactor: c.anglers[s], waterFactor: c.waters[s]}[factor.Name]
			if at, seen := slices.BinarySearch(factor.Levels, name); seen {
				log += factor.Effects[at]
			}
		}
		for j, step := range fit.Coefficients {
			log += step
			out[s][j] = math.Exp(log)
		}
	}
	return out
}

func (c *cells) result(count activity.CountFit) (HazardFit, error) {
	bites, minutes := c.totals()
	for j := range bites {
		bites[j] /= minutes[j]
	}
	pooled, err := NewHazard(c.startsMin, bites, c.longestMin)
	if err != nil {
		return HazardFit{}, fmt.Errorf("fit hazard: %w", err)
	}
	fit := HazardFit{StartsMin: c.startsMin, Tried: SoakRange{c.longestMin, c.longestMin}, Casts: len(c.waits), Sessions: len(c.sessions), Pooled: pooled, Count: count}
	for _, w := range c.waits {
		if w.Bite {
			fit.Bites++
		} else {
			fit.Tried.LowMin = min(fit.Tried.LowMin, w.ByMin)
		}
	}
	return fit, nil
}
