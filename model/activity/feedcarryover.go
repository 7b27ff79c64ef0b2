package activity

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

const (
	// carryOverPairs is the fewest pairs of sessions that can show carry-over;
	// our choice, as for the rows of known feed.
	carryOverPairs = 20
	// carryOverLevel is the two-sided level at which a slope is clear of 0; our
	// choice.
	carryOverLevel = 0.95
)

// FeedResidual is one session's planned feed and bites, each against what was
// to be expected.
type FeedResidual struct {
	Water string `json:"water"`
	// StartH is the start in hours from any fixed moment.
	StartH float64 `json:"start_h"`
	// LogPlanResidual is the log of planned g/h less the plan model's.
	LogPlanResidual float64 `json:"log_plan_residual"`
	// Residual is that of the bites on the log scale.
	Residual float64 `json:"residual"`
}

// FeedCarryOver tells whether good spells on a water drive both the plans and
// the bites that follow. Where Both is true, the previous session's residual
// belongs among the columns, and feed's effect without it is not to be trusted.
type FeedCarryOver struct {
	Pairs int `json:"pairs"`
	// Known is false, and all below 0, with fewer than 20 pairs or where the
	// residuals never change.
	Known         bool    `json:"known"`
	PlanSlope     float64 `json:"plan_slope"`
	PlanSE        float64 `json:"plan_se"`
	ResidualSlope float64 `json:"residual_slope"`
	ResidualSE    float64 `json:"residual_se"`
	Both          bool    `json:"both"`
}

// CarryOver regresses a session's plan, and its residual, on the residual of
// the session before on the same water. Sessions that start together have the
// mean of the last earlier start before them. Both is true where each slope is
// clear of 0 at the 95 % level by Student's t, whatever its sign; the order of
// sessions changes nothing. A value that is not finite is an error.
func CarryOver(sessions []FeedResidual) (FeedCarryOver, error) {
	for i, s := range sessions {
		if !isFinite(s.StartH) || !isFinite(s.LogPlanResidual) || !isFinite(s.Residual) {
			return FeedCarryOver{}, fmt.Errorf("carry-over of feed: row %d: start %g, plan residual %g, residual %g; all must be finite", i+1, s.StartH, s.LogPlanResidual, s.Residual)
		}
	}
	before, plan, residual := carryOverRows(sessions)
	out := FeedCarryOver{Pairs: len(before)}
	if out.Pairs < carryOverPairs {
		return out, nil
	}
	names := []string{"residual of the session before"}
	onPlan, err := LeastSquares(before, plan, names)
	var constant *ColumnError
	if errors.As(err, &constant) {
		return out, nil
	}
	if err != nil {
		return FeedCarryOver{}, fmt.Errorf("carry-over of feed into the plan: %w", err)
	}
	onBites, err := LeastSquares(before, residual, names)
	if err != nil {
		return FeedCarryOver{}, fmt.Errorf("carry-over of feed into the bites: %w", err)
	}
	out.Known = true
	var planClear, bitesClear bool
	out.PlanSlope, out.PlanSE, planClear = carryOverSlope(onPlan)
	out.ResidualSlope, out.ResidualSE, bitesClear = carryOverSlope(onBites)
	out.Both = planClear && bitesClear
	return out, nil
}

// carryOverSlope is the slope of a line, its SE, and whether it is clear of 0.
func carryOverSlope(s Solution) (slope, se float64, distinct bool) {
	slope, se = s.Coefficients[1], math.Sqrt(s.Covariance[1][1])
	t := distuv.StudentsT{Sigma: 1, Nu: float64(s.DegreesOfFreedom)}
	return slope, se, math.Abs(slope) > se*t.Quantile((1+carryOverLevel)/2)
}

// carryOverRows pairs each session with the last earlier start on its water.
func carryOverRows(sessions []FeedResidual) (before [][]float64, plan, residual []float64) {
	sorted := slices.Clone(sessions)
	slices.SortFunc(sorted, func(a, b FeedResidual) int {
		return cmp.Or(cmp.Compare(a.Water, b.Water), cmp.Compare(a.StartH, b.StartH),
			cmp.Compare(a.Residual, b.Residual), cmp.Compare(a.LogPlanResidual, b.LogPlanResidual))
	})
	var earlier []FeedResidual
	for first := 0; first < len(sorted); {
		last := first
		for last < len(sorted) && sorted[last].Water == sorted[first].Water && sorted[last].StartH == sorted[first].StartH {
			last++
		}
		together := sorted[first:last]
		if len(earlier) > 0 && earlier[0].Water == together[0].Water {
			mean := meanResidual(earlier)
			for _, s := range together {
				before = append(before, []float64{mean})
				plan, residual = append(plan, s.LogPlanResidual), append(residual, s.Residual)
			}
		}
		earlier, first = together, last
	}
	return before, plan, residual
}

func meanResidual(sessions []FeedResidual) float64 {
	var sum float64
	for _, s := range sessions {
		sum += s.Residual / float64(len(sessions))
	}
	return sum
}
