package main

import (
	"encoding/json"
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
	survivalFile      = "survival/km.json"
	survivalTolerance = 1e-10
)

// survivalSets are the sets of times and where each is found.
var survivalSets = []struct {
	name, file, time, outcome string
	arm                       string // only the rows of this arm; empty: all
}{
	{"lung", "survival/lung.csv", "time", "status", ""},
	{"leukaemia_6mp", "survival/leukaemia.csv", "weeks", "relapse", "6MP"},
	{"leukaemia_placebo", "survival/leukaemia.csv", "weeks", "relapse", "placebo"},
}

// survivalReference is what another program made of a set.
type survivalReference struct {
	N        float64    `json:"n"`
	Time     []*float64 `json:"time"`
	AtRisk   []*float64 `json:"at_risk"`
	Events   []*float64 `json:"events"`
	Censored []*float64 `json:"censored"`
	Survival []*float64 `json:"surv"`
	SE       []*float64 `json:"greenwood_se"`
	LowerLog []*float64 `json:"lower_log"`
	UpperLog []*float64 `json:"upper_log"`
	Lower    []*float64 `json:"lower_loglog"`
	Upper    []*float64 `json:"upper_loglog"`
	Median   *float64   `json:"median"`
}

// verifyTimingSurvival holds survival curves against survival/km.json.
func verifyTimingSurvival(files fs.FS) ([]verifyCheck, error) {
	var sets map[string]json.RawMessage
	found, err := readReference(files, survivalFile, &sets)
	if !found {
		return nil, err
	}
	var checks []verifyCheck
	for _, set := range survivalSets {
		text, ok := sets[set.name]
		if !ok {
			continue
		}
		table, err := readTable(files, set.file)
		if err != nil {
			return nil, err
		}
		times, outcomes, err := survivalTimes(table, set.time, set.outcome, set.arm)
		if err != nil {
			return nil, err
		}
		curve, err := timing.KaplanMeier(times, outcomes)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", set.file, err)
		}
		of, err := survivalChecks("survival "+set.name, curve, text)
		if err != nil {
			return nil, err
		}
		checks = append(checks, of...)
	}
	return checks, nil
}

func survivalTimes(table referenceTable, timeColumn, outcomeColumn, arm string) (times []float64, outcomes []bool, err error) {
	all, err := table.numbers(timeColumn)
	if err != nil {
		return nil, nil, err
	}
	ended, err := table.counts(outcomeColumn)
	if err != nil {
		return nil, nil, err
	}
	arms := table.text["arm"]
	if arm != "" && arms == nil {
		return nil, nil, fmt.Errorf("%s has no column arm", table.name)
	}
	for i, t := range all {
		if arm == "" || arms[i] == arm {
			times, outcomes = append(times, t), append(outcomes, ended[i] == 1)
		}
	}
	return times, outcomes, nil
}

func survivalChecks(name string, curve timing.Survival, text json.RawMessage) ([]verifyCheck, error) {
	var want survivalReference
	var means map[string]any
	for _, into := range []any{&want, &means} {
		if err := json.Unmarshal(text, into); err != nil {
			return nil, fmt.Errorf("reading %s: %w", survivalFile, err)
		}
	}
	column := func(of func(timing.SurvivalStep) *float64) []*float64 {
		out := make([]*float64, len(curve.Steps))
		for i, step := range curve.Steps {
			out[i] = of(step)
		}
		return out
	}
	var checks []verifyCheck
	for _, c := range []struct {
		name string
		of   func(timing.SurvivalStep) *float64
		want []*float64
	}{
		{"time", func(s timing.SurvivalStep) *float64 { return &s.TimeMin }, want.Time},
		{"at risk", func(s timing.SurvivalStep) *float64 { return whole(s.AtRisk) }, want.AtRisk},
		{"events", func(s timing.SurvivalStep) *float64 { return whole(s.Bites) }, want.Events},
		{"censored", func(s timing.SurvivalStep) *float64 { return whole(s.WoundIn) }, want.Censored},
		{"survival", func(s timing.SurvivalStep) *float64 { return &s.Survival }, want.Survival},
		{"Greenwood's error", func(s timing.SurvivalStep) *float64 { return s.SE }, want.SE},
		{"lower limit, log", func(s timing.SurvivalStep) *float64 { return logLimit(s, -1) }, want.LowerLog},
		{"upper limit, log", func(s timing.SurvivalStep) *float64 { return logLimit(s, 1) }, want.UpperLog},
		{"lower limit, log(-log)", func(s timing.SurvivalStep) *float64 { return s.Low95 }, want.Lower},
		{"upper limit, log(-log)", func(s timing.SurvivalStep) *float64 { return s.High95 }, want.Upper},
	} {
		if c.want == nil {
			continue
		}
		check, err := worstCheck(name+": "+c.name, column(c.of), c.want, survivalTolerance, func(i int) string { return fmt.Sprintf("at %g", curve.Steps[i].TimeMin) }, survivalFile)
		if err != nil {
			return nil, err
		}
		checks = append(checks, check)
	}
	if want.Median != nil {
		median, _ := curve.MedianMin()
		checks = append(checks, relativeCheck(name+": median", median, *want.Median, survivalTolerance, survivalFile))
	}
	for _, key := range slices.Sorted(maps.Keys(means)) {
		limitText, is := strings.CutPrefix(key, "restricted_mean_")
		value, number := means[key].(float64)
		if !is || !number {
			continue
		}
		limit, err := strconv.ParseFloat(limitText, 64)
		if err != nil {
			return nil, fmt.Errorf("reading %s: %s names no time", survivalFile, key)
		}
		got, ok := curve.MeanMin(limit)
		if !ok {
			got = math.NaN()
		}
		checks = append(checks, relativeCheck(name+": mean up to "+limitText, got, value, survivalTolerance, survivalFile))
	}
	return checks, nil
}

func whole(n int) *float64 {
	v := float64(n)
	return &v
}

// logLimit is the 95 % limit on the log scale, cut at 1, that the file holds
// beside the product's own; it tries Greenwood's error once more.
func logLimit(s timing.SurvivalStep, side float64) *float64 {
	const z = 1.959963984540054
	if s.SE == nil {
		return nil
	}
	v := min(1, s.Survival*math.Exp(side*z**s.SE/s.Survival))
	return &v
}
