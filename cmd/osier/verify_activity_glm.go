package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"

	"gonum.org/v1/gonum/mat"

	"osier/model/activity"
)

// Tolerances of count regressions: the reference fits agree with themselves to
// better than this.
const (
	regressionCoef   = 1e-7
	regressionSE     = 1e-6
	regressionLogLik = 1e-8
)

// regression is one data set: its count, factors with treatment contrasts,
// exposure, and whether the first two factors interact.
type regression struct {
	set, count string
	factors    []string
	exposure   string
	interact   bool
}

var regressions = []regression{
	{"quine", "Days", []string{"Eth", "Sex", "Age", "Lrn"}, "", false},
	{"warpbreaks", "breaks", []string{"wool", "tension"}, "", true},
	{"insurance", "Claims", []string{"District", "Group", "Age"}, "Holders", false},
}

// regressionReference is what the reference fitters say of one set.
type regressionReference struct {
	Levels  map[string][]string `json:"levels"`
	Poisson struct {
		Coef   map[string]float64 `json:"coef"`
		SE     map[string]float64 `json:"se"`
		LogLik float64            `json:"loglik"`
	} `json:"poisson"`
	NB2 *struct {
		Theta float64            `json:"theta"`
		Coef  map[string]float64 `json:"coef"`
		SE    map[string]float64 `json:"se_joint_observed"`
		// SEExpected takes the expected curvature in place of the observed.
		SEExpected map[string]float64 `json:"se_expected"`
		LogLik     float64            `json:"loglik"`
	} `json:"nb2"`
	Profile *struct {
		Theta  []float64 `json:"theta"`
		LogLik []float64 `json:"loglik"`
	} `json:"nb2_profile"`
}

// verifyRegressions holds count regressions without groups against glm/.
func verifyRegressions(files fs.FS, _ activitySummary) ([]verifyCheck, error) {
	var sets map[string]json.RawMessage // a sentence stands among the sets
	found, err := readReference(files, "glm/glm.json", &sets)
	if !found {
		return nil, err
	}
	var checks []verifyCheck
	for _, of := range regressions {
		text, ok := sets[of.set]
		if !ok {
			continue
		}
		var want regressionReference
		if err := json.Unmarshal(text, &want); err != nil {
			return nil, fmt.Errorf("reading glm/glm.json, %s: %w", of.set, err)
		}
		found, err := of.verify(files, want)
		if err != nil {
			return nil, fmt.Errorf("glm/%s: %w", of.set, err)
		}
		checks = append(checks, found...)
	}
	return checks, nil
}

func (of regression) records(files fs.FS, levels map[string][]string) (activity.CountRecords, error) {
	table, err := readTable(files, "glm/"+of.set+".csv")
	if err != nil {
		return activity.CountRecords{}, err
	}
	terms := []term{table.ones()}
	var main [][]term
	for _, factor := range of.factors {
		dummies := table.dummies(factor, levels[factor])
		main = append(main, dummies)
		terms = append(terms, dummies...)
	}
	if of.interact {
		for _, a := range main[0] {
			for _, b := range main[1] {
				terms = append(terms, product(a, b))
			}
		}
	}
	var hours []float64
	if of.exposure != "" {
		if hours, err = table.numbers(of.exposure); err != nil {
			return activity.CountRecords{}, err
		}
	}
	return table.records(terms, of.count, hours)
}

func product(a, b term) term {
	out := term{a.name + ":" + b.name, make([]float64, len(a.values))}
	for i := range out.values {
		out.values[i] = a.values[i] * b.values[i]
	}
	return out
}

func (of regression) verify(files fs.FS, want regressionReference) ([]verifyCheck, error) {
	records, err := of.records(files, want.Levels)
	if err != nil {
		return nil, err
	}
	name, source := "glm "+of.set, "glm/glm.json"
	poisson, err := activity.FitCounts(records, activity.CountPriors{}, activity.CountMethod{MaximumLikelihood: true, Poisson: true})
	if err != nil {
		return nil, err
	}
	checks := coefficientChecks(name+" Poisson", poisson, want.Poisson.Coef, want.Poisson.SE, source)
	checks = append(checks, relativeCheck(name+" Poisson: log-likelihood", poisson.LogLikelihood, want.Poisson.LogLik, regressionLogLik, source))
	nb2, err := activity.FitCounts(records, activity.CountPriors{}, activity.CountMethod{MaximumLikelihood: true})
	if err != nil {
		return nil, err
	}
	if want.NB2 == nil {
		checks = append(checks,
			numberCheck(name+" NB2: alpha at the Poisson limit", nb2.Spread.Alpha, 0, 0, source),
			relativeCheck(name+" NB2: log-likelihood at the Poisson limit", nb2.LogLikelihood, want.Poisson.LogLik, regressionLogLik, source))
		profile, err := profileChecks(name, records, want)
		return append(checks, profile...), err
	}
	checks = append(checks, coefficientChecks(name+" NB2", nb2, want.NB2.Coef, want.NB2.SE, source)...)
	expected, err := expectedSEs(records, nb2)
	if err != nil {
		return nil, err
	}
	for j, column := range nb2.Columns {
		checks = append(checks, relativeCheck(name+" NB2: se by expected curvature of "+column, expected[j], want.NB2.SEExpected[column], regressionSE, source))
	}
	return append(checks,
		relativeCheck(name+" NB2: log-likelihood", nb2.LogLikelihood, want.NB2.LogLik, regressionLogLik, source),
		relativeCheck(name+" NB2: theta", 1/nb2.Spread.Alpha, want.NB2.Theta, regressionSE, source)), nil
}

func coefficientChecks(name string, fit activity.CountFit, coef, se map[string]float64, source string) []verifyCheck {
	var checks []verifyCheck
	for j, column := range fit.Columns {
		checks = append(checks,
			relativeCheck(name+": "+column, fit.Coefficients[j], coef[column], regressionCoef, source),
			relativeCheck(name+": se of "+column, fit.SEs[j], se[column], regressionSE, source))
	}
	return checks
}

// expectedSEs are the standard errors by Fisher's information at the fit,
// X' diag(mu/(1 + alpha mu)) X. The model itself uses the observed curvature.
func expectedSEs(records activity.CountRecords, fit activity.CountFit) ([]float64, error) {
	p := len(fit.Columns)
	information := mat.NewSymDense(p, nil)
	for i, hours := range records.Hours {
		row := mat.NewVecDense(p, records.X[i*p:(i+1)*p])
		mu := hours * math.Exp(mat.Dot(row, mat.NewVecDense(p, fit.Coefficients)))
		information.SymRankOne(information, mu/(1+fit.Spread.Alpha*mu), row)
	}
	var factor mat.Cholesky
	if !factor.Factorize(information) {
		return nil, errors.New("the expected curvature is singular")
	}
	var covariance mat.SymDense
	if err := factor.InverseTo(&covariance); err != nil {
		return nil, fmt.Errorf("inverting the expected curvature: %w", err)
	}
	out := make([]float64, p)
	for j := range out {
		out[j] = math.Sqrt(covariance.At(j, j))
	}
	return out, nil
}

// profileChecks climb at fixed theta and sum the log probabilities by the
// package's other route to them.
func profileChecks(name string, records activity.CountRecords, want regressionReference) ([]verifyCheck, error) {
	if want.Profile == nil {
		return nil, nil
	}
	if len(want.Profile.LogLik) != len(want.Profile.Theta) {
		return nil, fmt.Errorf("the profile has %d log-likelihoods for %d thetas", len(want.Profile.LogLik), len(want.Profile.Theta))
	}
	var checks []verifyCheck
	for i, theta := range want.Profile.Theta {
		fit, err := activity.FitCountsAt(records, activity.CountPriors{}, activity.CountSpread{Alpha: 1 / theta})
		if err != nil {
			return nil, err
		}
		var sum float64
		for row, y := range records.Counts {
			eta := math.Log(records.Hours[row])
			for j, b := range fit.Coefficients {
				eta += b * records.X[row*len(records.Columns)+j]
			}
			l, err := activity.NB2LogPMF(y, math.Exp(eta), theta)
			if err != nil {
				return nil, err
			}
			sum += l
		}
		checks = append(checks, relativeCheck(fmt.Sprintf("%s NB2: log-likelihood at theta %g", name, theta), sum, want.Profile.LogLik[i], regressionLogLik, "glm/glm.json"))
	}
	return checks, nil
}
