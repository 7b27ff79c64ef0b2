package main

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"osier/model/activity"
	"osier/model/plan"
)

// marloWinter is the slope of ln((bites + 0.5)/h) on z = ln(planned rate over
// the trade's) over marlo's stored sessions in water under 8 C, by plain least
// squares, with its 90 % t interval.
func marloWinter(t *testing.T, in takenIn) (slope, low, high float64, n int) {
	t.Helper()
	var x [][]float64
	var y []float64
	for _, s := range in.world.Truth.Sessions {
		r, stored := in.stored[s.ID]
		if s.Angler != "marlo" || s.WaterC >= coldWaterC || !stored || !r.Bites.Known || !r.Planned.RateGH.Known {
			continue
		}
		x = append(x, []float64{s.FeedZ, demoRules.temperature(s.WaterC) + demoRules.WarmingPerC*s.Warming24hC})
		y = append(y, math.Log((float64(r.Bites.Value)+0.5)/s.Hours))
	}
	fit, err := activity.LeastSquares(x, y, []string{"z", "temperature"})
	if err != nil {
		t.Fatalf("marlo's winter: %v", err)
	}
	q := distuv.StudentsT{Sigma: 1, Nu: float64(fit.DegreesOfFreedom)}.Quantile(0.95)
	slope, se := fit.Coefficients[1], math.Sqrt(fit.Covariance[1][1])
	return slope, slope - q*se, slope + q*se, len(x)
}

// pressureEffects fits the product's baseline to the stored records, group by
// group as the product does, on the drivers that it joins to them.
func pressureEffects(t *testing.T, in takenIn) map[string]activity.Effect {
	t.Helper()
	rows := map[string][]activity.SessionRow{}
	for _, s := range in.world.Truth.Sessions {
		r, stored := in.stored[s.ID]
		if !stored || !r.Bites.Known {
			continue
		}
		drivers := in.histories[s.Water].Drivers(plan.Outing{
			Start: r.Start, End: r.End, Group: r.Group, PlannedGH: r.Planned.RateGH, CapacityMl: r.Feeder.CapacityMl,
		})
		c, err := plan.Covariates(r.Group, drivers)
		if err != nil {
			t.Fatalf("session %s: %v", s.ID, err)
		}
		row := activity.SessionRow{Covariates: c, Bites: r.Bites.Value, RodHours: r.RodHours()}
		rows[string(r.Group)] = append(rows[string(r.Group)], row)
	}
	effects := map[string]activity.Effect{}
	for name, list := range rows {
		fit, err := activity.FitBaseline(name, list)
		if err != nil {
			t.Fatalf("fit %s: %v", name, err)
		}
		all, err := fit.Effects()
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range all {
			if strings.HasPrefix(e.Column, "pressure") || e.Column == "log_appetite" {
				effects[fmt.Sprintf("%s %s (n = %d)", name, e.Column, len(list))] = e
			}
		}
	}
	return effects
}

func TestOverfeedingInWinterCostsMarloBites(t *testing.T) {
	slope, low, high, n := marloWinter(t, foundClub(t))
	t.Logf("slope of log bites/h on z: %.2f (90 %% interval %.2f to %.2f, n = %d)", slope, low, high, n)
	if high >= 0 {
		t.Errorf("the 90 %% interval is %.2f to %.2f, want below 0", low, high)
	}
}

func TestPressureHasNoEffect(t *testing.T) {
	learnt := 0
	for name, e := range pressureEffects(t, foundClub(t)) {
		t.Logf("%s: %s", name, e.Text)
		if e.Column == "log_appetite" {
			if !e.Found || e.Change < 0 {
				t.Errorf("%s: %s; temperature should be found", name, e.Text)
			}
			continue
		}
		if e.Found {
			t.Errorf("%s: %s", name, e.Text)
		}
		if e.Learnt && strings.Contains(e.Text, "no effect found") {
			learnt++
		}
	}
	if learnt < 2 {
		t.Errorf("%d pressure effects were learnt, want both in a group at least", learnt)
	}
}
