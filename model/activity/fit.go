package activity

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/mathext"
)

// Fit is what is believed about one group of fish: the count model of its true
// bites, and the share of them landed. It is a value; no function of this
// package changes one after it was returned, and callers should not either.
//
// The prior alone is a fit of no sessions, and always answers.
type Fit struct {
	Group string `json:"group"`
	// Sessions and Rows are how many were read; a session is one row or its
	// intervals.
	Sessions int       `json:"sessions"`
	Rows     int       `json:"rows"`
	Count    CountFit  `json:"count"`
	Landed   LandedFit `json:"landed"`
	// Tried are the planned feeds on record: what may be recommended.
	Tried FeedHistory `json:"feed_tried"`
	// CarryOver tells whether good spells drive plans and bites alike.
	CarryOver FeedCarryOver `json:"feed_carry_over"`
	// Condition is the condition number of the coefficients' correlations: a
	// large one says that columns speak of the same thing.
	Condition float64 `json:"condition"`
}

// PriorFit is fit zero of a group (silver, bream or carp): the prior alone, no
// record used. It always answers for a known group.
func PriorFit(group string) (Fit, error) { return fitRecords(group, nil, heldAtPrior, CountFit{}) }

// FitRecords fits a group's sessions with the priors of Columns: coefficients,
// effects of waters, anglers and pegs, and the spread, which maximises Laplace's
// likelihood of everything integrated times its zero-avoiding prior. From no
// session it is fit zero. The order of the sessions changes nothing; a session
// that no fit can read is an error that names it.
func FitRecords(group string, sessions []SessionRecord) (Fit, error) {
	if len(sessions) == 0 {
		return PriorFit(group)
	}
	return fitRecords(group, sessions, spreadClimbed, CountFit{})
}

// UpdateFit fits sessions at the spread of an earlier fit, starting from its
// mode: what a new session asks for, one or two Newton steps away.
func UpdateFit(from Fit, sessions []SessionRecord) (Fit, error) {
	if err := from.Check(); err != nil {
		return Fit{}, fmt.Errorf("update a fit: %w", err)
	}
	return fitRecords(from.Group, sessions, spreadHeld, from.Count)
}

// How the spread of a fit comes about.
type spreadRule int

const (
	spreadClimbed spreadRule = iota
	spreadHeld               // that of an earlier fit
	heldAtPrior              // the medians of its prior
)

func fitRecords(group string, sessions []SessionRecord, rule spreadRule, from CountFit) (Fit, error) {
	columns, err := Columns(group)
	if err != nil {
		return Fit{}, fmt.Errorf("fit: %w", err)
	}
	sessions = slices.SortedFunc(slices.Values(sessions), func(a, b SessionRecord) int { return cmp.Compare(a.ID, b.ID) })
	fit := Fit{Group: group, Sessions: len(sessions)}
	if fit.Landed, err = fitLanded(sessions); err != nil {
		return Fit{}, fmt.Errorf("fit %s: %w", group, err)
	}
	records, err := countRecords(sessions, fit.Landed)
	if err != nil {
		return Fit{}, fmt.Errorf("fit %s: %w", group, err)
	}
	fit.Tried = feedHistory(sessions)
	priors := productPriors(columns)
	switch rule {
	case spreadClimbed:
		fit.Count, err = FitCounts(records, priors, CountMethod{})
	case spreadHeld:
		fit.Count, err = FitCountsFrom(from, records, priors)
	case heldAtPrior:
		fit.Count, err = FitCountsAt(records, priors, startSpread(len(records.Factors)))
	}
	if err != nil {
		return Fit{}, fmt.Errorf("fit %s: %w", group, err)
	}
	fit.Rows = fit.Count.Rows
	if fit.CarryOver, err = fit.carryOver(sessions); err != nil {
		return Fit{}, fmt.Errorf("fit %s: %w", group, err)
	}
	fit.Condition = fit.Count.condition()
	return fit, nil
}

// productPriors are the priors of the columns, and the zero-avoiding one of the
// spread.
func productPriors(columns []Column) CountPriors {
	p := CountPriors{Spread: ZeroAvoidingPrior()}
	for _, c := range columns {
		p.Mean, p.SD = append(p.Mean, c.PriorMean), append(p.SD, c.PriorSD)
	}
	return p
}

func fitLanded(sessions []SessionRecord) (LandedFit, error) {
	var landed []LandedRecord
	for _, s := range sessions {
		if err := s.check(); err != nil {
			return LandedFit{}, fmt.Errorf("session %s: %w", s.ID, err)
		}
		if r, ok := s.landed(); ok {
			landed = append(landed, r)
		}
	}
	return FitLanded(landed)
}

// countRecords lays the sessions out by column. Where fish were counted and
// bites were not, fish are a count at the expected share of the rate: thinned
// NB2 counts are NB2 with the same theta.
func countRecords(sessions []SessionRecord, landed LandedFit) (CountRecords, error) {
	out := CountRecords{}
	for _, c := range columnTable {
		out.Columns = append(out.Columns, c.Name)
	}
	var settings []Setting
	for number, s := range sessions {
		share := expectedShare(landed.Logit(s.Angler))
		for i, interval := range s.Intervals {
			row, _, err := BuildRow(interval.Covariates)
			if err != nil {
				return out, fmt.Errorf("session %s, interval %d: %w", s.ID, i+1, err)
			}
			count, hours := interval.Bites, interval.RodHours
			if !interval.BitesKnown {
				count, hours = interval.Fish, hours*share
			}
			out.X = append(out.X, row...)
			out.Counts, out.Hours = append(out.Counts, count), append(out.Hours, hours)
			out.Sessions, out.Weights = append(out.Sessions, int32(number)), append(out.Weights, s.Weight)
			settings = append(settings, Setting{s.Water, s.Peg, s.Angler})
		}
	}
	out.Factors = settingFactors(settings)
	return out, nil
}

// LuckQuartiles are the 25 and 75 % points of a session's own multiplier,
// Gamma(theta, theta); both 1 where counts are Poisson.
func (f Fit) LuckQuartiles() [2]float64 {
	if f.Count.Spread.Alpha == 0 {
		return [2]float64{1, 1}
	}
	theta := 1 / f.Count.Spread.Alpha
	return [2]float64{mathext.GammaIncRegInv(theta, 0.25) / theta, mathext.GammaIncRegInv(theta, 0.75) / theta}
}

// FeedTerms are what is believed of the three feed columns.
func (f Fit) FeedTerms() FeedTerms {
	var out FeedTerms
	size := f.Count.coreSize()
	for i := range out.Mean {
		j := feedColumn + i
		out.Mean[i] = f.Count.Coefficients[j]
		for k := range out.Mean {
			out.Covariance[i][k] = f.Count.Core[j*size+feedColumn+k]
		}
	}
	return out
}

// feedColumn is the place of the first of the three feed columns.
var feedColumn = slices.IndexFunc(columnTable, func(c column) bool { return c.Name == "feed_z" })

// feedHistory are the feeds planned, one for each session that has one.
func feedHistory(sessions []SessionRecord) FeedHistory {
	var tried []FeedTried
	for _, s := range sessions {
		if c := s.Intervals[0].Covariates; c.Known.Feed && c.Known.WaterC {
			tried = append(tried, FeedTried{Water: s.Water, WaterC: c.WaterC, LogRateGH: math.Log(c.PlannedRateGH)})
		}
	}
	return NewFeedHistory(tried)
}

// condition is the condition number of the coefficients' correlation matrix; 0
// where it cannot be computed.
func (f CountFit) condition() float64 {
	p, size := len(f.Columns), f.coreSize()
	correlation := mat.NewSymDense(p, nil)
	for j := range p {
		for k := range j + 1 {
			correlation.SetSym(j, k, f.Core[j*size+k]/(f.SEs[j]*f.SEs[k]))
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(correlation, false) {
		return 0
	}
	values := eigen.Values(nil)
	if values[0] <= 0 {
		return 0
	}
	return values[p-1] / values[0]
}

// Check refuses a fit that was not made by this package's table, as one read
// back from an older or a damaged store may be.
func (f Fit) Check() error {
	if len(f.Count.Columns) != len(columnTable) || len(f.Count.Coefficients) != len(columnTable) || len(f.Count.SEs) != len(columnTable) {
		return fmt.Errorf("the fit has %d columns and %d coefficients; this model has %d; fit again", len(f.Count.Columns), len(f.Count.Coefficients), len(columnTable))
	}
	for j, name := range f.Count.Columns {
		if name != columnTable[j].Name {
			return fmt.Errorf("column %d of the fit is %q; this model has %q there; fit again", j+1, name, columnTable[j].Name)
		}
	}
	size := f.Count.coreSize()
	spread := f.Count.Spread
	if size*size != len(f.Count.Core) || size < len(columnTable)+f.Count.coreLevels() || !allFinite(f.Count.Core) ||
		!allFinite(f.Count.Coefficients) || !(spread.Alpha >= 0) || !isFinite(spread.Alpha) || len(spread.SDs) != len(f.Count.Factors) || !allFinite(spread.SDs) {
		return fmt.Errorf("the fit is damaged; fit again")
	}
	if err := f.Landed.check(); err != nil {
		return fmt.Errorf("the share landed: %w", err)
	}
	return nil
}

func allFinite(values []float64) bool {
	for _, v := range values {
		if !isFinite(v) {
			return false
		}
	}
	return true
}

func isFinite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
