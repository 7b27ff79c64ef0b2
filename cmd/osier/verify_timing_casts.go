package main

import (
	"fmt"
	"io/fs"
	"math"
	"path"
	"slices"
	"strings"

	"gonum.org/v1/gonum/integrate/quad"

	"osier/model/timing"
)

// tolerances of a file of casts; the reference looks for its soaks on a grid of
// 0.01 min.
const (
	castsCoefTolerance     = 1e-4
	castsSDTolerance       = 1e-3
	castsSurvivalTolerance = 1e-9
	castsGridMin           = 0.011
)

// castsSummary is what a file of casts says of the soak. A soak of a typical
// session that is the longest tried is no best soak: Found is then false.
type castsSummary struct {
	Casts          int     `json:"casts"`
	Bites          int     `json:"bites"`
	Sessions       int     `json:"sessions"`
	LongestMin     float64 `json:"longest_min"`
	PooledSoakMin  float64 `json:"pooled_soak_min"`
	TypicalSoakMin float64 `json:"typical_soak_min"`
	Found          bool    `json:"found"`
	SDSession      float64 `json:"sd_session"`
	GammaShape     float64 `json:"gamma_shape"`
	// Advice is what the product's own fit, with its priors, makes of the casts.
	Advice timing.SoakAdvice `json:"advice"`
	// Truth is of an invented file.
	Truth *castsTruth `json:"truth,omitempty"`
}

// castsTruth are the best soaks of the law that the casts were drawn from.
type castsTruth struct {
	TypicalSoakMin float64 `json:"typical_soak_min"`
	PooledSoakMin  float64 `json:"pooled_soak_min"`
}

// soakReference is a best soak of the reference.
type soakReference struct {
	Tau  float64 `json:"tau"`
	Rate float64 `json:"rate"`
}

// castsReference is a .fit.json beside a file of casts.
type castsReference struct {
	Casts       float64 `json:"casts"`
	Bites       float64 `json:"bites"`
	Sessions    float64 `json:"sessions"`
	HandlingMin float64 `json:"handling_min"`
	Minutes     struct {
		Minute   []float64  `json:"minute"`
		Survival []*float64 `json:"surv"`
		SE       []*float64 `json:"greenwood_se"`
		AtRisk   []*float64 `json:"at_risk"`
		Rate     []*float64 `json:"rate_per_min"`
		Tau      float64    `json:"tau_star"`
		Best     float64    `json:"rate_star"`
	} `json:"km_minutes"`
	Pooled struct {
		Hazard []*float64    `json:"hazard"`
		Best   soakReference `json:"best"`
	} `json:"piecewise_pooled"`
	LogNormal struct {
		LogLik    float64       `json:"loglik_of_cells"`
		LogHazard []*float64    `json:"log_hazard"`
		SD        float64       `json:"sd_session"`
		Best      soakReference `json:"best_for_a_typical_session"`
	} `json:"piecewise_lognormal_session"`
	Gamma struct {
		Kernel    float64       `json:"max_of_kernel"`
		LogHazard []*float64    `json:"log_hazard"`
		Shape     float64       `json:"shape"`
		Best      soakReference `json:"best_for_the_mean_session"`
	} `json:"piecewise_gamma_session"`
}

// verifyCasts holds each casts-*.csv against the .fit.json beside it.
func (of timingSummary) verifyCasts(files fs.FS) ([]verifyCheck, error) {
	names, err := fs.Glob(files, "casts-*.csv")
	if err != nil {
		return nil, fmt.Errorf("listing casts: %w", err)
	}
	var checks []verifyCheck
	for _, file := range names {
		name := strings.TrimSuffix(path.Base(file), ".csv")
		var want castsReference
		found, err := readReference(files, name+".fit.json", &want)
		if err != nil {
			return nil, err
		}
		if !found {
			continue
		}
		c, err := readCasts(files, name)
		if err != nil {
			return nil, err
		}
		if err := c.check(want); err != nil {
			return nil, fmt.Errorf("%s: %w", file, err)
		}
		if c.summary.Truth, err = readCastsTruth(files, name, c.handling); err != nil {
			return nil, err
		}
		of.Casts[name] = c.summary
		checks = append(checks, c.checks...)
	}
	return checks, nil
}

// castsFile is a file of casts, and the checks made of it so far.
type castsFile struct {
	name     string
	waits    []timing.Wait
	minutes  []float64
	bites    []bool
	handling timing.Handling
	checks   []verifyCheck
	summary  castsSummary
}

func readCasts(files fs.FS, name string) (*castsFile, error) {
	table, err := readTable(files, name+".csv")
	if err != nil {
		return nil, err
	}
	times, err := table.numbers("time")
	if err != nil {
		return nil, err
	}
	minutes, err := table.numbers("minute")
	if err != nil {
		return nil, err
	}
	bites, err := table.counts("bite")
	if err != nil {
		return nil, err
	}
	sessions, ok := table.text["session"]
	if !ok {
		return nil, fmt.Errorf("%s has no column session", table.name)
	}
	c := &castsFile{name: name, minutes: minutes}
	for i, t := range times {
		cast := timing.CastRecord{Session: sessions[i], SoakMin: t, TrueBite: bites[i] == 1, BiteMin: t, Timing: timing.Exact}
		wait, err := cast.Wait()
		if err != nil {
			return nil, fmt.Errorf("%s row %d: %w", table.name, i+1, err)
		}
		c.waits, c.bites = append(c.waits, wait), append(c.bites, wait.Bite)
	}
	return c, nil
}

func (c *castsFile) check(want castsReference) error {
	c.handling = timing.Handling{BlankMin: want.HandlingMin, BiteMin: want.HandlingMin}
	if err := c.survival(want); err != nil {
		return err
	}
	fit, err := timing.FitHazardAlone(c.waits)
	if err != nil {
		return err
	}
	for _, count := range []struct {
		name      string
		got, want float64
	}{{"casts", float64(fit.Casts), want.Casts}, {"bites", float64(fit.Bites), want.Bites}, {"sessions", float64(fit.Sessions), want.Sessions}} {
		c.add(count.name, count.got, count.want, 0)
	}
	if err := c.hazards("pooled hazard", fit.Pooled, want.Pooled.Hazard, math.Abs); err != nil {
		return err
	}
	if _, err := c.soak("pooled hazard", fit.Pooled, want.Pooled.Best); err != nil {
		return err
	}
	typical, err := fit.Typical("", "")
	if err != nil {
		return err
	}
	if err := c.hazards("typical session, log hazard", typical, want.LogNormal.LogHazard, math.Log); err != nil {
		return err
	}
	sd := fit.Count.Spread.SDs[0]
	c.add("typical session, sd of sessions", sd, want.LogNormal.SD, castsSDTolerance)
	c.add("typical session, log-likelihood", fit.Count.LogLikelihood, want.LogNormal.LogLik, castsCoefTolerance)
	best, err := c.soak("typical session", typical, want.LogNormal.Best)
	if err != nil {
		return err
	}
	const apart = "typical session %.0f min, pooled %.0f min"
	c.checks = append(c.checks, textCheck(c.name+": soaks told apart", fmt.Sprintf(apart, best.SoakMin, c.summary.PooledSoakMin), fmt.Sprintf(apart, want.LogNormal.Best.Tau, want.Minutes.Tau), c.source()))
	gamma, err := timing.FitGammaHazard(c.waits)
	if err != nil {
		return err
	}
	if err := c.hazards("session of mean luck, log hazard", gamma.Mean, want.Gamma.LogHazard, math.Log); err != nil {
		return err
	}
	c.add("session of mean luck, shape", gamma.Shape, want.Gamma.Shape, castsCoefTolerance)
	c.add("session of mean luck, log-likelihood", gamma.Kernel, want.Gamma.Kernel, castsCoefTolerance)
	if _, err := c.soak("session of mean luck", gamma.Mean, want.Gamma.Best); err != nil {
		return err
	}
	c.summary.Casts, c.summary.Bites, c.summary.Sessions, c.summary.LongestMin = fit.Casts, fit.Bites, fit.Sessions, fit.Tried.HighMin
	c.summary.TypicalSoakMin, c.summary.Found, c.summary.SDSession, c.summary.GammaShape = best.SoakMin, best.Interior, sd, gamma.Shape
	return c.advise()
}

// survival checks the curve at whole minutes.
func (c *castsFile) survival(want castsReference) error {
	curve, err := timing.KaplanMeier(c.minutes, c.bites)
	if err != nil {
		return err
	}
	var survival, se, atRisk, rate []*float64
	for _, minute := range want.Minutes.Minute {
		at := slices.IndexFunc(curve.Steps, func(s timing.SurvivalStep) bool { return s.TimeMin >= minute })
		if at < 0 {
			return fmt.Errorf("%s has figures at %g min and no cast was left so long", c.source(), minute)
		}
		atRisk = append(atRisk, whole(curve.Steps[at].AtRisk))
		last := curve.Steps[at]
		if last.TimeMin > minute { // nothing happened in this minute
			last = timing.SurvivalStep{Survival: 1, SE: new(float64)}
			if at > 0 {
				last = curve.Steps[at-1]
			}
		}
		s, _ := curve.At(minute)
		r, _ := curve.BitesPerMin(minute, c.handling)
		survival, se, rate = append(survival, &s), append(se, last.SE), append(rate, &r)
	}
	for _, column := range []struct {
		name      string
		got, want []*float64
	}{
		{"survival", survival, want.Minutes.Survival},
		{"Greenwood's error", se, want.Minutes.SE},
		{"at risk", atRisk, want.Minutes.AtRisk},
		{"pooled bites per min", rate, want.Minutes.Rate},
	} {
		check, err := worstCheck(c.name+": "+column.name, column.got, column.want, castsSurvivalTolerance, func(i int) string { return fmt.Sprintf("at %g min", want.Minutes.Minute[i]) }, c.source())
		if err != nil {
			return err
		}
		c.checks = append(c.checks, check)
	}
	soak, best, _ := curve.PooledSoak(c.handling)
	c.add("pooled soak", soak, want.Minutes.Tau, 0)
	c.add("pooled soak, bites per min", best, want.Minutes.Best, castsSurvivalTolerance)
	c.summary.PooledSoakMin = soak
	return nil
}

// hazards checks a hazard piece by piece.
func (c *castsFile) hazards(name string, got timing.Hazard, want []*float64, scale func(float64) float64) error {
	values := make([]float64, len(got.PerMin))
	for j, h := range got.PerMin {
		values[j] = scale(h)
	}
	check, err := worstCheck(c.name+": "+name, figures(values), want, castsCoefTolerance, func(j int) string { return fmt.Sprintf("from %g min", got.StartsMin[j]) }, c.source())
	c.checks = append(c.checks, check)
	return err
}

// soak checks the best soak of a hazard, the longest tried where there is none.
func (c *castsFile) soak(name string, hazard timing.Hazard, want soakReference) (timing.BestSoak, error) {
	best, err := hazard.BestSoak(c.handling)
	c.checks = append(c.checks, numberCheck(c.name+": "+name+", soak", best.SoakMin, want.Tau, castsGridMin, c.source()))
	c.add(name+", bites per min", best.BitesPerMin, want.Rate, castsCoefTolerance*want.Rate)
	return best, err
}

// advise takes down what the product would say: 50 casts or more, so that the
// trade's range, here any, does not bind.
func (c *castsFile) advise() error {
	const usualBitesPerH = 3.0 // bream; activity columns
	fit, err := timing.FitHazard(c.waits, timing.UsualHazardPrior(usualBitesPerH))
	if err != nil {
		return err
	}
	c.summary.Advice, err = fit.AdviseSoak(timing.SoakQuestion{Handling: c.handling, TradeStartMin: fit.Tried.HighMin, Trade: timing.SoakRange{LowMin: 1, HighMin: fit.Tried.HighMin}, Seed: 1})
	return err
}

func (c *castsFile) add(name string, got, want, tolerance float64) {
	c.checks = append(c.checks, relativeCheck(c.name+": "+name, got, want, tolerance, c.source()))
}

func (c *castsFile) source() string { return c.name + ".fit.json" }

// readCastsTruth finds the best soaks of the law that invented casts follow.
func readCastsTruth(files fs.FS, name string, handling timing.Handling) (*castsTruth, error) {
	var truth struct {
		Cast struct {
			ScaleMin     float64 `json:"scale_min"`
			Shape        float64 `json:"shape"`
			FrailtyShape float64 `json:"frailty_shape"`
		} `json:"cast"`
	}
	found, err := readReference(files, name+".truth.json", &truth)
	if !found {
		return nil, err
	}
	law := timing.LogLogistic{ScaleMin: truth.Cast.ScaleMin, Shape: truth.Cast.Shape}
	everMin := 100 * law.ScaleMin
	typical, err := timing.BestSoakOf(law, handling, everMin)
	if err != nil {
		return nil, fmt.Errorf("%s.truth.json: %w", name, err)
	}
	pooled, err := timing.BestSoakOf(mixedLogLogistic{law, truth.Cast.FrailtyShape}, handling, everMin)
	if err != nil {
		return nil, fmt.Errorf("%s.truth.json: %w", name, err)
	}
	return &castsTruth{TypicalSoakMin: typical.SoakMin, PooledSoakMin: pooled.SoakMin}, nil
}

// mixedLogLogistic is what casts follow when the hazard of each session is that
// of a log-logistic law times a gamma variable of mean 1.
type mixedLogLogistic struct {
	law   timing.LogLogistic
	gamma float64
}

func (m mixedLogLogistic) At(soakMin float64) (survival, soakedMin, perMin float64, ok bool) {
	whole, _, hazard, ok := m.law.At(soakMin)
	if !ok || !(m.gamma > 0) {
		return 0, 0, 0, false
	}
	mixed := func(survival float64) float64 { return math.Pow(1-math.Log(survival)/m.gamma, -m.gamma) }
	soakedMin = quad.Fixed(func(t float64) float64 { s, _, _, _ := m.law.At(t); return mixed(s) }, 0, soakMin, 60, quad.Legendre{}, 0)
	return mixed(whole), soakedMin, hazard / (1 - math.Log(whole)/m.gamma), true
}
