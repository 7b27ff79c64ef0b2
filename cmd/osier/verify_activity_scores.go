package main

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"math"

	"osier/model/activity"
)

// Tolerances of scores: plain NB2, and mixtures, whose nodes are an
// approximation.
const (
	scoreTolerance   = 1e-9
	mixtureTolerance = 1e-6
)

// dispersion is a theta that may be infinite, then written as a text.
type dispersion float64

// UnmarshalJSON reads a number or "Infinity".
func (d *dispersion) UnmarshalJSON(text []byte) error {
	if string(text) == `"Infinity"` {
		*d = dispersion(math.Inf(1))
		return nil
	}
	return json.Unmarshal(text, (*float64)(d))
}

// scoreReference is one count under one distribution.
type scoreReference struct {
	Mu           float64    `json:"mu"`
	LogRateMean  float64    `json:"eta_mean"`
	LogRateVar   float64    `json:"eta_var"`
	Hours        float64    `json:"hours"`
	Theta        dispersion `json:"theta"`
	Y            int        `json:"y"`
	LogScore     float64    `json:"log_score"`
	CRPS         float64    `json:"crps"`
	DSS          float64    `json:"dss"`
	Lower        float64    `json:"pit_lower"`
	Upper        float64    `json:"pit_upper"`
	Q05          int        `json:"q05"`
	Q25          int        `json:"q25"`
	Median       int        `json:"median"`
	Q75          int        `json:"q75"`
	Q95          int        `json:"q95"`
	IntervalCost float64    `json:"interval_score_90"`
}

// verifyScores holds scores, quantiles and PIT against scores.json.
func verifyScores(files fs.FS, _ activitySummary) ([]verifyCheck, error) {
	var reference struct {
		NB2          []scoreReference `json:"nb2"`
		Mixture      []scoreReference `json:"mixture"`
		PITHistogram *struct {
			Cases      [][3]float64 `json:"cases"`
			Bins       int          `json:"bins"`
			Increments []float64    `json:"increments"`
		} `json:"pit_histogram"`
		Extreme []struct {
			Y      int        `json:"y"`
			Mu     float64    `json:"mu"`
			Theta  dispersion `json:"theta"`
			LogPMF float64    `json:"logpmf"`
		} `json:"extreme_logpmf"`
	}
	found, err := readReference(files, "scores.json", &reference)
	if !found {
		return nil, err
	}
	var checks []verifyCheck
	for _, row := range reference.NB2 {
		row.LogRateMean, row.Hours = math.Log(row.Mu), 1
		of, err := row.checks(fmt.Sprintf("NB2 mean %g theta %g count %d", row.Mu, row.Theta, row.Y), scoreTolerance)
		if err != nil {
			return nil, err
		}
		checks = append(checks, of...)
	}
	for _, row := range reference.Mixture {
		of, err := row.checks(fmt.Sprintf("mixture log rate %g variance %g theta %g count %d", row.LogRateMean, row.LogRateVar, row.Theta, row.Y), mixtureTolerance)
		if err != nil {
			return nil, err
		}
		checks = append(checks, of...)
	}
	for _, row := range reference.Extreme {
		got, err := activity.NB2LogPMF(row.Y, row.Mu, float64(row.Theta))
		if err != nil {
			return nil, fmt.Errorf("scores.json: %w", err)
		}
		checks = append(checks, numberCheck(fmt.Sprintf("log probability of %d at mean %g theta %g", row.Y, row.Mu, row.Theta),
			got, row.LogPMF, scoreTolerance*math.Abs(row.LogPMF), "scores.json extreme_logpmf"))
	}
	if h := reference.PITHistogram; h != nil {
		var ends []activity.PIT
		for _, of := range h.Cases {
			p, err := activity.NewCountPrediction(math.Log(of[0]), 0, 1, 1/of[1])
			if err != nil {
				return nil, fmt.Errorf("scores.json: %w", err)
			}
			ends = append(ends, p.PIT(int(of[2])))
		}
		if len(h.Increments) != h.Bins {
			return nil, fmt.Errorf("scores.json: there are %d increments for %d bins", len(h.Increments), h.Bins)
		}
		for j, height := range activity.PITHistogram(ends, h.Bins) {
			checks = append(checks, numberCheck(fmt.Sprintf("PIT histogram bin %d", j+1), height, h.Increments[j], scoreTolerance, "scores.json pit_histogram"))
		}
	}
	return checks, nil
}

func (row scoreReference) checks(name string, tolerance float64) ([]verifyCheck, error) {
	p, err := activity.NewCountPrediction(row.LogRateMean, row.LogRateVar, row.Hours, 1/float64(row.Theta))
	if err != nil {
		return nil, fmt.Errorf("scores.json: %w", err)
	}
	crps, err := p.CRPS(row.Y)
	if err != nil {
		return nil, fmt.Errorf("scores.json: %w", err)
	}
	logScore, ok := p.LogScore(row.Y)
	if !ok {
		logScore = math.Inf(1)
	}
	pit := p.PIT(row.Y)
	source := "scores.json"
	checks := []verifyCheck{
		relativeCheck(name+": log score", logScore, row.LogScore, tolerance, source),
		relativeCheck(name+": CRPS", crps, row.CRPS, tolerance, source),
		relativeCheck(name+": DSS", p.DSS(row.Y), row.DSS, tolerance, source),
		relativeCheck(name+": PIT below", pit.Lower, row.Lower, tolerance, source),
		relativeCheck(name+": PIT at", pit.Upper, row.Upper, tolerance, source),
	}
	quantiles, err := quantileChecks(name, p, [5]int{row.Q05, row.Q25, row.Median, row.Q75, row.Q95}, source)
	if err != nil {
		return nil, err
	}
	cost, err := activity.IntervalScore(row.Q05, row.Q95, row.Y, 0.9)
	if err != nil {
		return nil, fmt.Errorf("scores.json: %w", err)
	}
	return append(append(checks, quantiles...), relativeCheck(name+": interval score", cost, row.IntervalCost, tolerance, source)), nil
}

// quantileChecks holds the 5, 25, 50, 75 and 95 % quantiles, exactly.
func quantileChecks(name string, p activity.CountPrediction, want [5]int, source string) ([]verifyCheck, error) {
	var checks []verifyCheck
	for i, share := range []float64{0.05, 0.25, 0.5, 0.75, 0.95} {
		got, err := p.Quantile(share)
		if err != nil {
			return nil, err
		}
		checks = append(checks, numberCheck(fmt.Sprintf("%s: %g %% quantile", name, 100*share), float64(got), float64(want[i]), 0, source))
	}
	return checks, nil
}
