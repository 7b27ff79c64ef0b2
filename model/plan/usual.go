package plan

import (
	"time"

	"osier/model"
	"osier/model/water"
)

// Ordinary weather, the centres of the regression's columns (statistics pack
// 1.6): a plain day to hold another against.
const (
	ordinaryWindMps = 5
	ordinaryCloud   = 0.5
)

// OrdinaryDay is a plain day at a water in that season: its climate's water
// temperature and ordinary weather, fed at the trade's own rate.
func OrdinaryDay(w model.Water, at time.Time) model.Drivers {
	d := model.Drivers{
		WindMps: model.Known(model.MetresPerSecond(ordinaryWindMps)), CloudFraction: model.Known(float64(ordinaryCloud)),
		Warming48hC: model.Known(model.Celsius(0)), RainMm: model.Known(model.Millimetres(0)),
		Pressure3hHPa: model.Known(model.Hectopascals(0)), Pressure24hHPa: model.Known(model.Hectopascals(0)),
		PegEffortH: model.Known(0.0), PlannedGH: model.Known(model.GramsPerHour(1)), StartingGH: model.Known(model.GramsPerHour(1)),
	}
	if e, err := water.ClimateEstimate(site(w), at); err == nil {
		d.WaterC = model.Known(model.Celsius(e.SurfaceC))
	}
	return d
}

// MeanDay replaces what is ordinary by the mean of recorded days, value by
// value, where they have it. Feed stays at the trade's own rate, so that a plan
// is held against what is usual for fish and weather, not against habits.
func MeanDay(ordinary model.Drivers, days []model.Drivers) model.Drivers {
	ordinary.WaterC = meanOf(days, ordinary.WaterC, func(d model.Drivers) model.Maybe[model.Celsius] { return d.WaterC })
	ordinary.Warming48hC = meanOf(days, ordinary.Warming48hC, func(d model.Drivers) model.Maybe[model.Celsius] { return d.Warming48hC })
	ordinary.WindMps = meanOf(days, ordinary.WindMps, func(d model.Drivers) model.Maybe[model.MetresPerSecond] { return d.WindMps })
	ordinary.CloudFraction = meanOf(days, ordinary.CloudFraction, func(d model.Drivers) model.Maybe[float64] { return d.CloudFraction })
	ordinary.RainMm = meanOf(days, ordinary.RainMm, func(d model.Drivers) model.Maybe[model.Millimetres] { return d.RainMm })
	ordinary.LowLightShare = meanOf(days, ordinary.LowLightShare, func(d model.Drivers) model.Maybe[float64] { return d.LowLightShare })
	return ordinary
}

func meanOf[T ~float64](days []model.Drivers, standIn model.Maybe[T], get func(model.Drivers) model.Maybe[T]) model.Maybe[T] {
	var sum T
	n := 0
	for _, d := range days {
		if v := get(d); v.Known {
			sum += v.Value
			n++
		}
	}
	if n == 0 {
		return standIn
	}
	return model.Known(sum / T(n))
}
