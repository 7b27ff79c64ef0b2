package activity

import (
	"fmt"
	"slices"
)

// The references, in the order in which a model is held against them.
const (
	OneRate     = "one rate"
	WaterMean   = "water mean, shrunk"
	PlainOLS    = "OLS log rate"
	NoGroupsNB2 = "NB2 without groups"
)

// ReferenceNames are the four references in their order.
func ReferenceNames() []string { return []string{OneRate, WaterMean, PlainOLS, NoGroupsNB2} }

// SimpleReferences are the two references that need to know nothing of a day:
// one rate for all, and each water's own, shrunk towards it. Both are NB2 under
// the priors that the model has for the same parts, so that they always answer.
type SimpleReferences struct{ oneRate, waterMean CountFit }

// FitSimpleReferences fits a group's sessions; none is the prior alone.
func FitSimpleReferences(group string, sessions []DatedRecord) (SimpleReferences, error) {
	records, err := wholeRecords(sessions)
	if err != nil {
		return SimpleReferences{}, fmt.Errorf("fit the references: %w", err)
	}
	return fitSimple(group, records, nil)
}

func fitSimple(group string, records CountRecords, from *SimpleReferences) (SimpleReferences, error) {
	columns, err := Columns(group)
	if err != nil {
		return SimpleReferences{}, fmt.Errorf("fit the references: %w", err)
	}
	alone := CountRecords{
		Columns: records.Columns[:1], X: slices.Repeat([]float64{1}, len(records.Counts)),
		Counts: records.Counts, Hours: records.Hours, Sessions: records.Sessions, Weights: records.Weights,
	}
	byWater := alone
	byWater.Factors = records.Factors[:1]
	if from == nil {
		from = &SimpleReferences{}
	}
	var out SimpleReferences
	if out.oneRate, err = climbOrUpdate(from.oneRate, alone, productPriors(columns[:1])); err != nil {
		return out, fmt.Errorf("reference %s: %w", OneRate, err)
	}
	if out.waterMean, err = climbOrUpdate(from.waterMean, byWater, productPriors(columns[:1])); err != nil {
		return out, fmt.Errorf("reference %s: %w", WaterMean, err)
	}
	return out, nil
}

// climbOrUpdate fits at the spread of an earlier fit where there is one.
func climbOrUpdate(from CountFit, records CountRecords, priors CountPriors) (CountFit, error) {
	switch {
	case len(records.Counts) == 0:
		return FitCountsAt(records, priors, startSpread(len(records.Factors)))
	case from.Rows == 0:
		return FitCounts(records, priors, CountMethod{})
	}
	return FitCountsFrom(from, records, priors)
}

// Score holds the references against the bites of a session at a water, of
// rodHours above 0 and at most 200.
func (r SimpleReferences) Score(water string, rodHours float64, bites int) (map[string]CountScore, error) {
	if !(rodHours > 0 && rodHours <= maxRodHours) {
		return nil, fmt.Errorf("score the references: rod-hours is %g; it must be above 0 and at most %d", rodHours, maxRodHours)
	}
	out := map[string]CountScore{}
	var err error
	if out[OneRate], err = scoreFit(r.oneRate, []float64{1}, nil, rodHours, bites); err != nil {
		return nil, fmt.Errorf("reference %s: %w", OneRate, err)
	}
	if out[WaterMean], err = scoreFit(r.waterMean, []float64{1}, []string{water}, rodHours, bites); err != nil {
		return nil, fmt.Errorf("reference %s: %w", WaterMean, err)
	}
	return out, nil
}

func scoreFit(fit CountFit, x []float64, groups []string, rodHours float64, bites int) (CountScore, error) {
	mean, variance, err := fit.Predict(x, groups)
	if err != nil {
		return CountScore{}, err
	}
	prediction, err := NewCountPrediction(mean, variance, rodHours, fit.Spread.Alpha)
	if err != nil {
		return CountScore{}, err
	}
	return ScoreCount(prediction, bites)
}

// rivals are the model and its references, fitted to the same sessions.
type rivals struct {
	fit        Fit
	simple     SimpleReferences
	ungrouped  CountFit
	baseline   Baseline
	noBaseline bool // too few sessions for so many columns
	sessions   int
}

// fitRivals climbs to the spread anew where from is nil, and holds that of from
// otherwise.
func fitRivals(group string, sessions []DatedRecord, from *rivals) (rivals, error) {
	out := rivals{sessions: len(sessions)}
	records := make([]SessionRecord, len(sessions))
	for i, s := range sessions {
		records[i] = s.Record
	}
	whole, err := wholeRecords(sessions)
	if err != nil {
		return out, err
	}
	columns, err := Columns(group)
	if err != nil {
		return out, err
	}
	flat := whole
	flat.Factors = nil
	if from == nil {
		from = &rivals{}
		out.fit, err = FitRecords(group, records)
	} else {
		out.fit, err = UpdateFit(from.fit, records)
	}
	if err != nil {
		return out, err
	}
	if out.simple, err = fitSimple(group, whole, &from.simple); err != nil {
		return out, err
	}
	if out.ungrouped, err = climbOrUpdate(from.ungrouped, flat, productPriors(columns)); err != nil {
		return out, fmt.Errorf("reference %s: %w", NoGroupsNB2, err)
	}
	out.baseline, err = FitBaseline(flat)
	out.noBaseline = err != nil || !(out.baseline.Solution.ResidualSD > 0)
	return out, nil
}

// score forecasts one session by all.
func (r rivals) score(s DatedRecord) (ScoredForecast, error) {
	out := ScoredForecast{
		ID: s.Record.ID, Water: s.Record.Water, Start: s.Start, Bites: s.Whole.Bites,
		Fish: s.Whole.Fish, FishKnown: s.Whole.FishKnown,
	}
	hours := s.Whole.RodHours
	forecast, err := r.fit.Forecast(s.Whole.Covariates, Setting{s.Record.Water, s.Record.Peg, s.Record.Angler}, hours)
	if err != nil {
		return out, err
	}
	if out.Score, err = forecast.Basis.Score(hours, out.Bites); err != nil {
		return out, err
	}
	out.BlankProbability = forecast.BlankProbability
	if out.References, err = r.simple.Score(out.Water, hours, out.Bites); err != nil {
		return out, err
	}
	row, _, err := BuildRow(s.Whole.Covariates)
	if err != nil {
		return out, err
	}
	if out.References[NoGroupsNB2], err = scoreFit(r.ungrouped, row, nil, hours, out.Bites); err != nil {
		return out, fmt.Errorf("reference %s: %w", NoGroupsNB2, err)
	}
	if r.noBaseline {
		return out, nil
	}
	// A regression of few rows may expect anything; then it forecasts nothing.
	if score, err := ScoreCount(r.baseline.Predict(row, hours), out.Bites); err == nil {
		out.References[PlainOLS] = score
	}
	return out, nil
}

// wholeRecords lays sessions out with one row for each.
func wholeRecords(sessions []DatedRecord) (CountRecords, error) {
	whole := make([]SessionRecord, len(sessions))
	for i, s := range sessions {
		whole[i] = s.Record
		whole[i].Intervals = []IntervalRecord{s.Whole}
	}
	landed, err := fitLanded(whole)
	if err != nil {
		return CountRecords{}, err
	}
	return countRecords(whole, landed)
}
