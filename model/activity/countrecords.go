package activity

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// CountRecords are the sessions that the count model learns from, by column.
// One entry of Counts, Hours, Sessions and Weights, and len(Columns) entries of
// X, make a row.
type CountRecords struct {
	Columns []string
	// X holds the rows of the design one after the other.
	X []float64
	// Counts are true bites; 0 to 100,000.
	Counts []int
	// Hours are rod-hours; above 0.
	Hours []float64
	// Sessions numbers the session of each row. Rows of one session are its
	// intervals and share its multiplier, so five hours of one day never count
	// as five days. Nil: each row is a session.
	Sessions []int32
	// Weights discount sessions, above 0 to 1, the same for all rows of a
	// session. Nil: all 1.
	Weights []float64
	Factors []CountFactor
}

// CountFactor sorts rows into groups that vary at random: waters, anglers, pegs.
type CountFactor struct {
	Name string
	// Levels are the groups' names, sorted; Index is each row's place in them.
	Levels []string
	Index  []int32
}

// NewCountFactor makes a factor from one name of a group for each row.
func NewCountFactor(name string, groups []string) CountFactor {
	levels := slices.Compact(slices.Sorted(slices.Values(groups)))
	index := make([]int32, len(groups))
	for i, group := range groups {
		at, _ := slices.BinarySearch(levels, group)
		index[i] = int32(at)
	}
	return CountFactor{Name: name, Levels: levels, Index: index}
}

// CountSpread is what the count model holds beside its effects.
type CountSpread struct {
	// Alpha is 1/theta: the variance of a count is mu + Alpha mu^2; 0 is Poisson.
	Alpha float64 `json:"alpha"`
	// SDs are the sds of the factors on the log scale, in their order.
	SDs []float64 `json:"sds"`
}

// CountPriors are the beliefs before any record. The zero value is flat.
type CountPriors struct {
	// Mean and SD are of the coefficients, one for each column; an infinite SD
	// is flat. Nil: all flat.
	Mean, SD []float64
	// Spread is the prior of theta and of the factors' sds. Nil: flat.
	Spread *SpreadPrior
}

// SpreadPrior holds normal priors of log theta and of each log sd.
type SpreadPrior struct {
	LogThetaMean, LogThetaSD float64
	LogSDMean, LogSDSD       float64
}

// ZeroAvoidingPrior keeps an sd from being fitted as exactly 0 where groups are
// few (Chung et al. 2013, Psychometrika 78); its medians, theta 1.2 and sd 0.4,
// are those of fit zero, and its widths our choice.
func ZeroAvoidingPrior() *SpreadPrior {
	return &SpreadPrior{
		LogThetaMean: math.Log(priorTheta), LogThetaSD: 0.8,
		LogSDMean: math.Log(priorEffectSD), LogSDSD: 0.6,
	}
}

// check refuses what no fit can use and names it.
func (r CountRecords) check() error {
	n := len(r.Counts)
	if len(r.Columns) == 0 {
		return errors.New("there are no columns; give at least the intercept")
	}
	if len(r.X) != n*len(r.Columns) || len(r.Hours) != n {
		return fmt.Errorf("there are %d counts, %d hours and %d design values for %d columns; give one of each for a row", n, len(r.Hours), len(r.X), len(r.Columns))
	}
	if (r.Sessions != nil && len(r.Sessions) != n) || (r.Weights != nil && len(r.Weights) != n) {
		return fmt.Errorf("there are %d counts, %d session numbers and %d weights; give one for each row or none", n, len(r.Sessions), len(r.Weights))
	}
	for i, y := range r.Counts {
		if y < 0 || y > 100_000 {
			return fmt.Errorf("row %d: the count is %d; it must be from 0 to 100000", i+1, y)
		}
		if h := r.Hours[i]; !(h > 0) || math.IsInf(h, 1) {
			return fmt.Errorf("row %d: hours is %g; it must be a number above 0", i+1, h)
		}
		if r.Weights != nil && !(r.Weights[i] > 0 && r.Weights[i] <= 1) {
			return fmt.Errorf("row %d: the weight is %g; it must be above 0 and at most 1", i+1, r.Weights[i])
		}
	}
	for i, v := range r.X {
		if !isFinite(v) {
			p := len(r.Columns)
			return fmt.Errorf("row %d: column %s is %g; it must be a finite number", i/p+1, r.Columns[i%p], v)
		}
	}
	for _, f := range r.Factors {
		if err := f.check(n); err != nil {
			return err
		}
	}
	return nil
}

func (f CountFactor) check(rows int) error {
	if len(f.Index) != rows {
		return fmt.Errorf("factor %s has %d entries for %d rows", f.Name, len(f.Index), rows)
	}
	if !slices.IsSorted(f.Levels) {
		return fmt.Errorf("the levels of factor %s must be sorted", f.Name)
	}
	for i, level := range f.Index {
		if level < 0 || int(level) >= len(f.Levels) {
			return fmt.Errorf("row %d: factor %s has no level %d", i+1, f.Name, level)
		}
	}
	return nil
}

// check refuses priors that do not fit the columns.
func (p CountPriors) check(columns int) error {
	if p.Mean == nil && p.SD == nil {
		return p.Spread.check()
	}
	if len(p.Mean) != columns || len(p.SD) != columns {
		return fmt.Errorf("there are %d prior means and %d prior sds for %d columns", len(p.Mean), len(p.SD), columns)
	}
	for j, sd := range p.SD {
		if !(sd > 0) || !isFinite(p.Mean[j]) {
			return fmt.Errorf("the prior of column %d is %g with sd %g; give a finite mean and an sd above 0", j+1, p.Mean[j], sd)
		}
	}
	return p.Spread.check()
}

func (s *SpreadPrior) check() error {
	if s == nil {
		return nil
	}
	if !isFinite(s.LogThetaMean) || !isFinite(s.LogSDMean) || !(s.LogThetaSD > 0) || !(s.LogSDSD > 0) {
		return fmt.Errorf("the prior of theta and the sds is %+v; means must be finite and sds above 0", *s)
	}
	return nil
}
