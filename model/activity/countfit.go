package activity

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// CountMethod says what FitCounts integrates and which counts it allows. The
// zero value is the model's own: everything integrated, NB2.
type CountMethod struct {
	// MaximumLikelihood holds the coefficients at their maximum and integrates
	// the effects alone. It is there to be compared with other fitters; its sds
	// come out smaller, so do not compare across the two.
	MaximumLikelihood bool
	// Poisson holds alpha at 0.
	Poisson bool
}

// CountFit is a fitted count model: bites ~ NB2(hours exp(x'b + effects)).
type CountFit struct {
	Columns []string `json:"columns"`
	// Coefficients are the joint mode with the effects, SEs their sds.
	Coefficients []float64      `json:"coefficients"`
	SEs          []float64      `json:"ses"`
	Spread       CountSpread    `json:"spread"`
	Factors      []FittedFactor `json:"factors"`
	// LogLikelihood is Laplace's, over everything integrated; with no factors
	// and maximum likelihood, the plain one.
	LogLikelihood float64 `json:"log_likelihood"`
	Rows          int     `json:"rows"`
	Sessions      int     `json:"sessions"`
	// Steps is how many Newton steps the fit took in all.
	Steps int `json:"steps"`
	// Core is the covariance of the coefficients and the core's levels, row
	// after row, and Leaf the factor eliminated (-1 without one). They carry
	// Predict.
	Core []float64 `json:"core"`
	Leaf int       `json:"leaf"`
	Ties []LeafTie `json:"ties"`
}

// FittedFactor holds a factor's effects on the log rate.
type FittedFactor struct {
	Name    string    `json:"name"`
	Levels  []string  `json:"levels"`
	Effects []float64 `json:"effects"`
}

// LeafTie ties one level of the leaf to the core: its effect's own variance
// and V/d, sparse.
type LeafTie struct {
	Variance float64   `json:"variance"`
	Places   []int32   `json:"places"`
	Values   []float64 `json:"values"`
}

// FitCounts fits coefficients, effects, alpha and the factors' sds.
//
// Alpha and the sds maximise Laplace's approximation of the likelihood with the
// observed curvature, coefficients integrated as well (flat ones count
// log(2 pi)/2 each). Where alpha runs to 0 the Poisson limit is returned. Work
// and storage grow with the rows; nothing depends on their order. A column
// without curvature of its own under a flat prior is a *ColumnError. A factor
// with one level has no sd of its own and needs SpreadPrior.
func FitCounts(records CountRecords, priors CountPriors, method CountMethod) (CountFit, error) {
	fitter, err := newCountFitter(records, priors)
	if err != nil {
		return CountFit{}, fmt.Errorf("fit counts: %w", err)
	}
	for _, f := range records.Factors {
		if len(f.Levels) < 2 && priors.Spread == nil {
			return CountFit{}, fmt.Errorf("fit counts: factor %s has %d levels; its sd cannot be estimated without a prior", f.Name, len(f.Levels))
		}
	}
	spread := startSpread(len(records.Factors))
	if method.Poisson {
		spread.Alpha = 0
	}
	fit, err := fitter.fit(spread, method)
	if err != nil {
		return CountFit{}, fmt.Errorf("fit counts: %w", records.named(err))
	}
	return fit, nil
}

// FitCountsAt fits coefficients and effects at a known spread. It answers with
// the prior where there are no rows, if every prior is proper.
func FitCountsAt(records CountRecords, priors CountPriors, spread CountSpread) (CountFit, error) {
	if len(spread.SDs) != len(records.Factors) || !(spread.Alpha >= 0) || math.IsInf(spread.Alpha, 1) {
		return CountFit{}, fmt.Errorf("fit counts: alpha is %g with %d sds for %d factors; give alpha of 0 or more and one sd each", spread.Alpha, len(spread.SDs), len(records.Factors))
	}
	for _, sd := range spread.SDs {
		if !(sd > 0) || math.IsInf(sd, 1) {
			return CountFit{}, fmt.Errorf("fit counts: an sd is %g; it must be a number above 0", sd)
		}
	}
	fitter, err := newCountFitter(records, priors)
	if err != nil {
		return CountFit{}, fmt.Errorf("fit counts: %w", err)
	}
	fitter.poisson = spread.Alpha == 0
	m := fitter.laplace(len(records.Columns))
	value, err := fitter.at(m, spread)
	if err != nil {
		return CountFit{}, fmt.Errorf("fit counts: %w", records.named(err))
	}
	return fitter.result(m, spread, value), nil
}

// FitCountsFrom fits coefficients and effects at the spread of an earlier fit,
// starting from its mode: groups that it knew begin at their effects. With few
// new sessions a step or two of Newton's is all it takes (Steps). Factors must
// have the names they had; a factor the earlier fit lacked begins at fit zero's
// sd.
func FitCountsFrom(from CountFit, records CountRecords, priors CountPriors) (CountFit, error) {
	if !slices.Equal(from.Columns, records.Columns) {
		return CountFit{}, fmt.Errorf("fit counts: the earlier fit has columns %v and the records %v; fit anew", from.Columns, records.Columns)
	}
	spread := startSpread(len(records.Factors))
	spread.Alpha = from.Spread.Alpha
	fitter, err := newCountFitter(records, priors)
	if err != nil {
		return CountFit{}, fmt.Errorf("fit counts: %w", err)
	}
	fitter.poisson = spread.Alpha == 0
	m := fitter.laplace(len(records.Columns))
	copy(m.beta, from.Coefficients)
	for k, factor := range records.Factors {
		at := slices.IndexFunc(from.Factors, func(f FittedFactor) bool { return f.Name == factor.Name })
		if at < 0 {
			continue
		}
		spread.SDs[k] = from.Spread.SDs[at]
		effects := m.effectsOf(k)
		for l, level := range factor.Levels {
			if was, seen := slices.BinarySearch(from.Factors[at].Levels, level); seen {
				effects[l] = from.Factors[at].Effects[was]
			}
		}
	}
	value, err := fitter.at(m, spread)
	if err != nil {
		return CountFit{}, fmt.Errorf("fit counts: %w", records.named(err))
	}
	return fitter.result(m, spread, value), nil
}

// named puts the column's name to a pivotError.
func (r CountRecords) named(err error) error {
	var pivot pivotError
	if errors.As(err, &pivot) {
		return &ColumnError{Column: r.Columns[pivot.column], Problem: "constant or determined by the columns before it"}
	}
	return err
}

// startSpread is where the climb begins: fit zero's medians.
func startSpread(factors int) CountSpread {
	return CountSpread{Alpha: 1 / priorTheta, SDs: slices.Repeat([]float64{priorEffectSD}, factors)}
}

func newCountFitter(records CountRecords, priors CountPriors) (*countFitter, error) {
	if err := records.check(); err != nil {
		return nil, err
	}
	if err := priors.check(len(records.Columns)); err != nil {
		return nil, err
	}
	rows, err := newCountRows(records)
	if err != nil {
		return nil, err
	}
	return &countFitter{records: records, rows: rows, priors: priors}, nil
}

// result takes what a fit says out of the working state at the mode, which is
// used up: the ties are its own storage.
func (f *countFitter) result(m *laplace, spread CountSpread, value float64) CountFit {
	fit := CountFit{
		Columns: slices.Clone(f.records.Columns), Coefficients: slices.Clone(m.beta), SEs: make([]float64, len(m.beta)),
		Spread: spread, LogLikelihood: value, Rows: len(f.rows.offset), Sessions: f.rows.count(), Steps: m.steps,
		Core: m.inverse(), Leaf: f.rows.leaf, Ties: []LeafTie{}, Factors: make([]FittedFactor, len(f.records.Factors)),
	}
	for j := range m.free {
		fit.SEs[j] = math.Sqrt(fit.Core[j*m.size+j])
	}
	for k, factor := range f.records.Factors {
		fit.Factors[k] = FittedFactor{Name: factor.Name, Levels: slices.Clone(factor.Levels), Effects: slices.Clone(m.leaf)}
	}
	for c, k := range f.rows.core {
		from, to := f.rows.levels(c)
		fit.Factors[k].Effects = slices.Clone(m.effects[from:to])
	}
	if f.rows.leaf < 0 {
		return fit
	}
	fit.Ties = make([]LeafTie, len(m.curvLeaf))
	for a, d := range m.curvLeaf {
		places, values := m.spread(a)
		for i := range values {
			values[i] /= d
		}
		fit.Ties[a] = LeafTie{Variance: 1 / d, Places: places, Values: values}
	}
	return fit
}
