package main

import (
	"fmt"
	"io/fs"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"osier/model/timing"
)

const (
	recastFile          = "recast.json"
	recastTauTolerance  = 1e-3
	recastRateTolerance = 1e-8
)

// verifyTimingRecast holds best soaks against recast.json.
func verifyTimingRecast(files fs.FS) ([]verifyCheck, error) {
	var reference struct {
		Cases []map[string]any `json:"cases"`
		Traps []map[string]any `json:"heterogeneity_trap"`
	}
	found, err := readReference(files, recastFile, &reference)
	if !found {
		return nil, err
	}
	var checks []verifyCheck
	for i, fields := range reference.Cases {
		c := recastCase{fields: fields}
		c.name = fmt.Sprintf("recast %d, %s", i+1, fields["law"])
		if err := c.check(); err != nil {
			return nil, fmt.Errorf("%s: case %d: %w", recastFile, i+1, err)
		}
		checks = append(checks, c.checks...)
	}
	for i, fields := range reference.Traps {
		c := recastCase{fields: fields, name: fmt.Sprintf("recast trap %d", i+1)}
		if err := c.trap(); err != nil {
			return nil, fmt.Errorf("%s: trap %d: %w", recastFile, i+1, err)
		}
		checks = append(checks, c.checks...)
	}
	return checks, nil
}

// recastCase is one case of the file and the checks made of it so far.
type recastCase struct {
	name   string
	fields map[string]any
	checks []verifyCheck
}

// number is a field that must be a number.
func (c *recastCase) number(field string) (float64, error) {
	v, ok := c.fields[field].(float64)
	if !ok {
		return 0, fmt.Errorf("%s is %v; give a number", field, c.fields[field])
	}
	return v, nil
}

// compare checks a figure where the case has it, relative to figures above 1.
func (c *recastCase) compare(fields map[string]any, field string, got, tolerance float64) {
	if want, ok := fields[field].(float64); ok {
		c.checks = append(c.checks, relativeCheck(c.name+": "+field, got, want, tolerance, recastFile))
	}
}

func (c *recastCase) handling() (timing.Handling, error) {
	if both, ok := c.fields["handling_min"].(float64); ok {
		return timing.Handling{BlankMin: both, BiteMin: both}, nil
	}
	blank, err := c.number("handling_blank_min")
	if err != nil {
		return timing.Handling{}, err
	}
	bite, err := c.number("handling_bite_min")
	return timing.Handling{BlankMin: blank, BiteMin: bite}, err
}

func (c *recastCase) check() error {
	handling, err := c.handling()
	if err != nil {
		return err
	}
	if c.fields["law"] == "piecewise-constant hazard" {
		return c.piecewise(handling)
	}
	scale, err := c.number("scale_min")
	if err != nil {
		return err
	}
	shape, err := c.number("shape")
	if err != nil {
		return err
	}
	var law timing.Law
	switch c.fields["law"] {
	case "Weibull":
		law = timing.Weibull{ScaleMin: scale, Shape: shape}
	case "log-logistic":
		law = timing.LogLogistic{ScaleMin: scale, Shape: shape}
	default:
		return fmt.Errorf("law is %v; give Weibull, log-logistic or piecewise-constant hazard", c.fields["law"])
	}
	return c.law(law, handling, 100*scale)
}

// law checks a law in closed form up to a soak that stands for ever.
func (c *recastCase) law(law timing.Law, handling timing.Handling, everMin float64) error {
	best, err := timing.BestSoakOf(law, handling, everMin)
	if err != nil {
		return err
	}
	c.best(best)
	c.compare(c.fields, "limit_rate", best.BitesPerMin, recastRateTolerance)
	survival, soaked, hazard, _ := law.At(best.SoakMin)
	cycle := handling.CycleMin(survival, soaked)
	c.compare(c.fields, "hazard_at_star", hazard, recastRateTolerance)
	// These move with the best soak, which is held to its own tolerance.
	c.compare(c.fields, "mean_cycle_at_star_min", cycle, recastTauTolerance)
	c.compare(c.fields, "casts_per_hour_at_star", 60/cycle, recastTauTolerance)
	c.at(func(t float64) (survival, soaked float64) {
		survival, soaked, _, _ = law.At(t)
		return survival, soaked
	}, handling)
	feed, ok := c.fields["feed"].(map[string]any)
	if !ok {
		return nil
	}
	return c.feed(feed, law, handling, best)
}

// best checks the best soak, or that there is none.
func (c *recastCase) best(best timing.BestSoak) {
	if c.fields["tau_star"] == nil {
		c.checks = append(c.checks, textCheck(c.name+": tau_star", soakText(best), "none", recastFile))
		return
	}
	if want, ok := c.fields["tau_star"].(float64); ok {
		got := best.SoakMin
		if !best.Interior {
			got = math.NaN()
		}
		c.checks = append(c.checks, numberCheck(c.name+": tau_star", got, want, recastTauTolerance, recastFile))
	}
	c.compare(c.fields, "rate_star_per_min", best.BitesPerMin, recastRateTolerance)
}

func soakText(best timing.BestSoak) string {
	if !best.Interior {
		return "none"
	}
	return strconv.FormatFloat(best.SoakMin, 'g', -1, 64)
}

// at checks the figures at a named soak: rate_at_12, integral_S_to_12.
func (c *recastCase) at(law func(soakMin float64) (survival, soaked float64), handling timing.Handling) {
	for _, field := range slices.Sorted(maps.Keys(c.fields)) {
		for prefix, of := range map[string]func(survival, soaked float64) float64{
			"rate_at_":       func(survival, soaked float64) float64 { return (1 - survival) / handling.CycleMin(survival, soaked) },
			"integral_S_to_": func(_, soaked float64) float64 { return soaked },
		} {
			if soak, err := strconv.ParseFloat(strings.TrimPrefix(field, prefix), 64); err == nil && strings.HasPrefix(field, prefix) {
				c.compare(c.fields, field, of(law(soak)), recastRateTolerance)
			}
		}
	}
}

func (c *recastCase) piecewise(handling timing.Handling) error {
	starts, err := numbersOf(c.fields, "breaks_min")
	if err != nil {
		return err
	}
	perMin, err := numbersOf(c.fields, "hazard_per_min")
	if err != nil {
		return err
	}
	const everMin = 600.0
	hazard, err := timing.NewHazard(starts, perMin, everMin)
	if err != nil {
		return err
	}
	best, err := hazard.BestSoak(handling)
	if err != nil {
		return err
	}
	c.best(best)
	c.at(func(t float64) (survival, soaked float64) {
		survival, soaked, _ = hazard.At(t)
		return survival, soaked
	}, handling)
	return nil
}

func numbersOf(fields map[string]any, field string) ([]float64, error) {
	values, _ := fields[field].([]any)
	out := make([]float64, len(values))
	for i, v := range values {
		number, ok := v.(float64)
		if !ok {
			return nil, fmt.Errorf("%s holds %v; give numbers", field, v)
		}
		out[i] = number
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s is %v; give a list of numbers", field, fields[field])
	}
	return out, nil
}

// feed checks the soak that delivers a plan, by a hazard that follows the law in
// steps of 0.0005 min: fine enough for the tolerance of the rate.
func (c *recastCase) feed(feed map[string]any, law timing.Law, handling timing.Handling, best timing.BestSoak) error {
	const stepMin, longestMin = 0.0005, 40.0
	of := recastCase{fields: feed}
	fill, err := of.number("feeder_g")
	if err != nil {
		return err
	}
	plan, err := of.number("planned_gph")
	if err != nil {
		return err
	}
	var starts, perMin []float64
	before := 1.0
	for i := range int(longestMin / stepMin) {
		survival, _, _, _ := law.At(float64(i+1) * stepMin)
		starts, perMin = append(starts, float64(i)*stepMin), append(perMin, math.Log(before/survival)/stepMin)
		before = survival
	}
	hazard, err := timing.NewHazard(starts, perMin, longestMin)
	if err != nil {
		return err
	}
	survival, soaked, _, _ := law.At(best.SoakMin)
	c.compare(feed, "grams_per_hour_at_star", fill*60/handling.CycleMin(survival, soaked), recastTauTolerance)
	soak, ok := hazard.SoakForFeed(fill, plan, handling)
	if !ok {
		soak = math.NaN()
	}
	rate, _ := hazard.BitesPerMin(soak, handling)
	c.compare(feed, "tau_that_delivers_plan", soak, recastTauTolerance)
	c.compare(feed, "rate_at_that_tau", rate, recastRateTolerance)
	c.compare(feed, "bite_rate_lost_fraction", 1-rate/best.BitesPerMin, recastRateTolerance)
	return nil
}

// trap checks that casts pooled over sessions ask for a recast where none gains.
func (c *recastCase) trap() error {
	handling, err := c.handling()
	if err != nil {
		return err
	}
	shape, err := c.number("shape")
	if err != nil {
		return err
	}
	rate, err := c.number("rate_min")
	if err != nil {
		return err
	}
	pooled, err := timing.BestSoakOf(timing.GammaMixture{RateMin: rate, Shape: shape}, handling, 100*rate)
	if err != nil {
		return err
	}
	c.compare(c.fields, "pooled_marginal_tau_star", pooled.SoakMin, recastTauTolerance)
	c.compare(c.fields, "pooled_marginal_rate", pooled.BitesPerMin, recastRateTolerance)
	session, err := timing.NewHazard([]float64{0}, []float64{shape / rate}, 100*rate)
	if err != nil {
		return err
	}
	within, err := session.BestSoak(handling)
	if err != nil {
		return err
	}
	c.checks = append(c.checks, textCheck(c.name+": best soak within a session", soakText(within), "none", recastFile))
	return nil
}
