package main

import (
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strconv"

	"osier/model/timing"
)

// updatingTolerance is of updating.json; minutes in its move table are exact.
const updatingTolerance = 1e-8

const updatingSource = "updating.json"

// updatingReference is updating.json: what a session so far says of the rest.
type updatingReference struct {
	Rates   []updatedRate `json:"gamma_poisson"`
	Largers []struct {
		Shape1 float64 `json:"shape1"`
		Rate1  float64 `json:"rate1"`
		Shape2 float64 `json:"shape2"`
		Rate2  float64 `json:"rate2"`
		Chance float64 `json:"p_first_better"`
	} `json:"p_first_rate_is_larger"`
	Moves    []updatedMove `json:"move"`
	Marginal []struct {
		Gain     float64 `json:"G"`
		ScaleMin float64 `json:"T_min"`
		LostMin  float64 `json:"travel_and_settle_min"`
		LeaveMin float64 `json:"leave_at_min"`
		Rate     float64 `json:"rate_per_min"`
	} `json:"marginal_value"`
}

type updatedRate struct {
	PriorShape   float64 `json:"prior_shape"`
	PriorHours   float64 `json:"prior_rate_h"`
	Bites        int     `json:"bites"`
	Hours        float64 `json:"hours"`
	Shape        float64 `json:"post_shape"`
	PostHours    float64 `json:"post_rate_h"`
	MeanH        float64 `json:"post_mean_per_h"`
	SDH          float64 `json:"post_sd"`
	Q05          float64 `json:"q05"`
	Q95          float64 `json:"q95"`
	RestH        float64 `json:"rest_h"`
	PredictMean  float64 `json:"predict_mean"`
	PredictP0    float64 `json:"predict_p0"`
	PredictQ05   int     `json:"predict_q05"`
	PredictQ95   int     `json:"predict_q95"`
	ZeroInflated []struct {
		Prior   float64 `json:"prior_feeding"`
		Feeding float64 `json:"post_feeding"`
		MeanH   float64 `json:"post_mean_per_h"`
		NoBite  float64 `json:"bites_in_next_half_hour_p0"`
	} `json:"zero_inflated"`
}

type updatedMove struct {
	Feeding    float64         `json:"prior_feeding"`
	Shape      float64         `json:"shape"`
	RateMin    float64         `json:"rate_min"`
	HorizonMin float64         `json:"horizon_min"`
	StepMin    float64         `json:"step_min"`
	LostMin    float64         `json:"minutes_lost_by_a_move"`
	Moves      int             `json:"moves_allowed"`
	Value      float64         `json:"value_bites"`
	Never      float64         `json:"value_if_never_moving"`
	FirstBlank *int            `json:"first_minute_to_move_with_no_bite"`
	First      map[string]*int `json:"first_minute_to_move_with_k_bites"`
}

// verifyTimingUpdating holds what a session teaches while it lasts against
// updating.json, and passes over a folder without one.
func verifyTimingUpdating(files fs.FS) ([]verifyCheck, error) {
	var want updatingReference
	if found, err := readReference(files, updatingSource, &want); !found {
		return nil, err
	}
	var checks []verifyCheck
	add := func(part string, i int, found []verifyCheck, err error) error {
		if err != nil {
			return fmt.Errorf("%s, %s %d: %w", updatingSource, part, i+1, err)
		}
		checks = append(checks, found...)
		return nil
	}
	for i, of := range want.Rates {
		found, err := of.checks(fmt.Sprintf("rate %d: ", i+1))
		if err := add("gamma_poisson", i, found, err); err != nil {
			return nil, err
		}
	}
	for i, of := range want.Largers {
		chance, ok := timing.Rate{Shape: of.Shape1, Hours: of.Rate1}.ChanceLarger(timing.Rate{Shape: of.Shape2, Hours: of.Rate2})
		checks = append(checks, valueCheck(fmt.Sprintf("chance %d that the first rate is larger", i+1), chance, ok, of.Chance, updatingTolerance, updatingSource))
	}
	for i, of := range want.Moves {
		found, err := of.checks(fmt.Sprintf("move %d: ", i+1))
		if err := add("move", i, found, err); err != nil {
			return nil, err
		}
	}
	for i, of := range want.Marginal {
		leaveMin, rate, err := timing.MarginalValue(of.Gain, of.ScaleMin, of.LostMin)
		name := fmt.Sprintf("marginal value %d: ", i+1)
		if err := add("marginal_value", i, []verifyCheck{
			relativeCheck(name+"minutes to leaving", leaveMin, of.LeaveMin, updatingTolerance, updatingSource),
			relativeCheck(name+"gain a minute", rate, of.Rate, updatingTolerance, updatingSource),
		}, err); err != nil {
			return nil, err
		}
	}
	return checks, nil
}

func (want updatedRate) checks(name string) ([]verifyCheck, error) {
	prior, err := timing.NewRate(want.PriorShape, want.PriorHours)
	if err != nil {
		return nil, err
	}
	rate, err := prior.After(want.Bites, want.Hours)
	if err != nil {
		return nil, err
	}
	counts, err := rate.Bites(want.RestH)
	if err != nil {
		return nil, err
	}
	number := func(what string, got, figure float64) verifyCheck {
		return relativeCheck(name+what, got, figure, updatingTolerance, updatingSource)
	}
	checks := []verifyCheck{
		number("shape", rate.Shape, want.Shape),
		number("hours", rate.Hours, want.PostHours),
		number("mean per hour", rate.MeanH(), want.MeanH),
		number("sd per hour", rate.SDH(), want.SDH),
		number("bites to come", counts.Mean(), want.PredictMean),
		number("no bite to come", rate.NoBite(want.RestH), want.PredictP0),
		number("no bite to come, as a count", counts.Probability(0), want.PredictP0),
	}
	for _, q := range []struct {
		p     float64
		rateH float64
		bites int
	}{{0.05, want.Q05, want.PredictQ05}, {0.95, want.Q95, want.PredictQ95}} {
		rateH, ok := rate.QuantileH(q.p)
		bites, err := counts.Quantile(q.p)
		if err != nil {
			return nil, err
		}
		checks = append(checks,
			valueCheck(fmt.Sprintf("%squantile %g of the rate", name, q.p), rateH, ok, q.rateH, updatingTolerance*max(1, q.rateH), updatingSource),
			numberCheck(fmt.Sprintf("%squantile %g of bites to come", name, q.p), float64(bites), float64(q.bites), 0, updatingSource))
	}
	for _, of := range want.ZeroInflated {
		// The reference takes every bite for a true one.
		now, err := timing.Belief{Feeding: of.Prior, Rate: prior}.After(want.Bites, want.Hours, 0)
		if err != nil {
			return nil, err
		}
		under := fmt.Sprintf("feeding %g before: ", of.Prior)
		checks = append(checks,
			number(under+"feeding", now.Feeding, of.Feeding),
			number(under+"mean per hour", now.MeanH(), of.MeanH),
			number(under+"no bite in half an hour", 1-now.BiteWithin(30), of.NoBite))
	}
	return checks, nil
}

func (want updatedMove) checks(name string) ([]verifyCheck, error) {
	rate, err := timing.NewRate(want.Shape, want.RateMin/60)
	if err != nil {
		return nil, err
	}
	table, err := timing.NewMoveTable(timing.MoveRule{
		Fresh: timing.Belief{Feeding: want.Feeding, Rate: rate}, StepMin: want.StepMin, LostMin: want.LostMin, Moves: want.Moves,
	}, want.HorizonMin)
	if err != nil {
		return nil, err
	}
	start, ok := table.At(want.HorizonMin, 0, 0, want.Moves)
	never, okNever := table.At(want.HorizonMin, 0, 0, 0)
	checks := []verifyCheck{
		valueCheck(name+"bites expected", max(start.StayBites, start.MoveBites), ok, want.Value, updatingTolerance*max(1, want.Value), updatingSource),
		valueCheck(name+"bites expected without moving", never.StayBites, okNever, want.Never, updatingTolerance*max(1, want.Never), updatingSource),
		textCheck(name+"first minute to move with no bite", want.first(table, 0), minuteText(want.FirstBlank), updatingSource),
	}
	for _, key := range slices.Sorted(maps.Keys(want.First)) {
		bites, err := strconv.Atoi(key)
		if err != nil {
			return nil, fmt.Errorf("%q is no number of bites", key)
		}
		checks = append(checks, textCheck(fmt.Sprintf("%sfirst minute to move with %d bites", name, bites), want.first(table, bites), minuteText(want.First[key]), updatingSource))
	}
	return checks, nil
}

// first is the first minute at which the table moves with so many bites.
func (want updatedMove) first(table *timing.MoveTable, bites int) string {
	for minute := want.StepMin; minute < want.HorizonMin; minute += want.StepMin {
		choice, ok := table.At(want.HorizonMin-minute, minute, bites, want.Moves)
		if ok && choice.Move() {
			rounded := int(minute)
			return minuteText(&rounded)
		}
	}
	return minuteText(nil)
}

func minuteText(minute *int) string {
	if minute == nil {
		return "never"
	}
	return strconv.Itoa(*minute)
}
