package activity

import (
	"fmt"
	"math"
)

const (
	// feedPlanRows is the fewest sessions from which a plan model is fitted:
	// with fewer, no level can be supported anyway.
	feedPlanRows = int(enoughHere)
	// feedSlopeRows is from how many sessions the water temperature has a slope
	// of its own, ten for each coefficient; our choice.
	feedSlopeRows = 20
)

// FeedPlanModel is what anglers usually plan: the log of planned g/h by least
// squares on t = (water C - 12)/5, which the planner knows beforehand. Under 20
// sessions, or where the temperature never changed, it is the mean alone; under
// 8 sessions there is none and Rows is 0. Waters have no terms of their own:
// what they differ by widens the residual sd.
type FeedPlanModel struct {
	Rows       int     `json:"rows"`
	Intercept  float64 `json:"intercept"`
	SlopePerT  float64 `json:"slope_per_t"`
	ResidualSD float64 `json:"residual_sd"`
}

// fitFeedPlan expects checked sessions in a fixed order.
func fitFeedPlan(sessions []FeedTried) FeedPlanModel {
	if len(sessions) < feedPlanRows {
		return FeedPlanModel{}
	}
	if len(sessions) >= feedSlopeRows {
		if s, err := feedPlanLine(sessions, []string{"water_c"}); err == nil {
			return FeedPlanModel{Rows: s.Rows, Intercept: s.Coefficients[0], SlopePerT: s.Coefficients[1], ResidualSD: s.ResidualSD}
		}
	}
	// Checked values always have a mean; an error could only come of a fault in
	// the solver, and then nothing counts as usual.
	s, err := feedPlanLine(sessions, nil)
	if err != nil {
		return FeedPlanModel{}
	}
	return FeedPlanModel{Rows: s.Rows, Intercept: s.Coefficients[0], ResidualSD: s.ResidualSD}
}

func feedPlanLine(sessions []FeedTried, names []string) (Solution, error) {
	x, y := make([][]float64, len(sessions)), make([]float64, len(sessions))
	for i, s := range sessions {
		x[i] = []float64{feedWarmth(s.WaterC)}[:len(names)]
		y[i] = s.LogRateGH
	}
	return LeastSquares(x, y, names)
}

// feedWarmth is t, the scaled water temperature of the feed terms.
func feedWarmth(waterC float64) float64 { return (waterC - 12) / 5 }

// logRate is the log of the g/h that is usually planned.
func (p FeedPlanModel) logRate(waterC float64) float64 {
	return p.Intercept + p.SlopePerT*feedWarmth(waterC)
}

// usual tells whether a log rate lies within two residual sds of the plan.
// Where everybody always planned the same, only that is usual.
func (p FeedPlanModel) usual(logRate, waterC float64) bool {
	const rounding = 1e-9
	return p.Rows > 0 && math.Abs(logRate-p.logRate(waterC)) <= usualSDs*p.ResidualSD+rounding
}

func (p FeedPlanModel) check() error {
	if !isFinite(p.Intercept) || !isFinite(p.SlopePerT) || !(p.ResidualSD >= 0) || math.IsInf(p.ResidualSD, 1) {
		return fmt.Errorf("the plan model holds intercept %g, slope %g and residual sd %g; they must be finite and the sd 0 or more", p.Intercept, p.SlopePerT, p.ResidualSD)
	}
	return nil
}
