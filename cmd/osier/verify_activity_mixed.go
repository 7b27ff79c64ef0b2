package main

import (
	"fmt"
	"io/fs"

	"osier/model/activity"
)

// tolerances of a comparison with another fitter.
type tolerances struct{ coef, sd, logLik float64 }

var (
	mixedTolerances     = tolerances{1e-5, 1e-4, 1e-6}
	simulatedTolerances = tolerances{1e-4, 1e-3, 1e-4}
)

// mixedReference is one column of reference figures of a mixed model.
type mixedReference struct {
	LogLik           float64                       `json:"loglik"`
	RestrictedLogLik *float64                      `json:"restricted_loglik"`
	Fixed            map[string]float64            `json:"fixed"`
	Theta            *float64                      `json:"theta"`
	SD               map[string]float64            `json:"sd"`
	Effects          map[string]map[string]float64 `json:"blup"`
	EffectSDs        map[string]map[string]float64 `json:"blup_sd"`
	EffectSDsGiven   map[string]map[string]float64 `json:"blup_sd_given_parameters"`
}

// checks compares coefficients, theta, sds, effects and log-likelihood.
func (want mixedReference) checks(name string, fit activity.CountFit, allowed tolerances, source string) []verifyCheck {
	logLik := want.LogLik
	if want.RestrictedLogLik != nil {
		logLik = *want.RestrictedLogLik
	}
	checks := []verifyCheck{relativeCheck(name+": log-likelihood", fit.LogLikelihood, logLik, allowed.logLik, source)}
	for j, column := range fit.Columns {
		checks = append(checks, relativeCheck(name+": "+column, fit.Coefficients[j], want.Fixed[column], allowed.coef, source))
	}
	if want.Theta != nil {
		checks = append(checks, relativeCheck(name+": theta", 1/fit.Spread.Alpha, *want.Theta, allowed.sd, source))
	}
	for k, factor := range fit.Factors {
		checks = append(checks, relativeCheck(name+": sd of "+factor.Name, fit.Spread.SDs[k], want.SD[factor.Name], allowed.sd, source))
		sds := fit.EffectSDs(k)
		for l, level := range factor.Levels {
			at := name + ": " + factor.Name + " " + level
			for _, figure := range []struct {
				name string
				got  float64
				want map[string]float64
			}{
				{at, factor.Effects[l], want.Effects[factor.Name]},
				{at + ", sd", sds[l], want.EffectSDs[factor.Name]},
				{at + ", sd given the rest", sds[l], want.EffectSDsGiven[factor.Name]},
			} {
				if value, ok := figure.want[level]; ok {
					checks = append(checks, relativeCheck(figure.name, figure.got, value, allowed.sd, source))
				}
			}
		}
	}
	return checks
}

// mixedSet is one data set with one grouping.
type mixedSet struct {
	set, count, group string
	build             func(referenceTable) (terms []term, hours []float64, err error)
}

var mixedSets = []mixedSet{
	{"owls", "calls", "nest", owlTerms},
	{"salamanders", "count", "site", salamanderTerms},
}

func owlTerms(t referenceTable) ([]term, []float64, error) {
	arrival, err := t.numbers("arrival")
	if err != nil {
		return nil, nil, err
	}
	for i := range arrival {
		arrival[i] -= 24
	}
	terms := append([]term{t.ones()}, t.dummies("food", []string{"Deprived", "Satiated"})...)
	terms = append(terms, t.dummies("sex", []string{"Female", "Male"})...)
	brood, err := t.numbers("brood")
	return append(terms, term{"arrc", arrival}), brood, err
}

func salamanderTerms(t referenceTable) ([]term, []float64, error) {
	cover, err := t.numbers("cover")
	terms := append([]term{t.ones()}, t.dummies("mined", []string{"no", "yes"})...)
	return append(terms, term{"cover", cover}), nil, err
}

// verifyMixed holds mixed models against the fitter with observed curvature,
// by maximum likelihood and with everything integrated. The column of the
// fitter with expected curvature differs by design and is not compared.
func verifyMixed(files fs.FS, of activitySummary) ([]verifyCheck, error) {
	var references map[string]struct {
		ML      mixedReference  `json:"nb2_glmmTMB"`
		All     mixedReference  `json:"nb2_all_integrated"`
		Poisson *mixedReference `json:"poisson_glmer"`
	}
	found, err := readReference(files, "mixed/mixed.json", &references)
	if !found {
		return nil, err
	}
	var checks []verifyCheck
	for _, set := range mixedSets {
		want, ok := references[set.set]
		if !ok {
			continue
		}
		records, err := set.records(files)
		if err != nil {
			return nil, err
		}
		name := "mixed " + set.set
		all, measured, err := measureFit(records)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		checks = append(checks, want.All.checks(name+", all integrated", all, mixedTolerances, "mixed/mixed.json nb2_all_integrated")...)
		ml, err := activity.FitCounts(records, activity.CountPriors{}, activity.CountMethod{MaximumLikelihood: true})
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		checks = append(checks, want.ML.checks(name+", maximum likelihood", ml, mixedTolerances, "mixed/mixed.json nb2_glmmTMB")...)
		measured.LogLikelihoodML = &ml.LogLikelihood
		of.Fits["mixed/"+set.set] = measured
		if want.Poisson == nil {
			continue
		}
		poisson, err := activity.FitCounts(records, activity.CountPriors{}, activity.CountMethod{MaximumLikelihood: true, Poisson: true})
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		checks = append(checks, want.Poisson.checks(name+", Poisson", poisson, mixedTolerances, "mixed/mixed.json poisson_glmer")...)
	}
	return checks, nil
}

func (set mixedSet) records(files fs.FS) (activity.CountRecords, error) {
	table, err := readTable(files, "mixed/"+set.set+".csv")
	if err != nil {
		return activity.CountRecords{}, err
	}
	terms, hours, err := set.build(table)
	if err != nil {
		return activity.CountRecords{}, err
	}
	return table.records(terms, set.count, hours, set.group)
}
