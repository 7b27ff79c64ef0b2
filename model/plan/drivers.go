package plan

import (
	"fmt"
	"math"
	"time"

	"osier/model"
	"osier/model/activity"
	"osier/model/feeder"
	"osier/model/fish"
	"osier/model/solar"
	"osier/model/water"
)

// lowLightDeg is the height of the sun under which light counts as low: the
// hour or so after rising and before setting, and the dark. Our choice.
const lowLightDeg = 6

// Outing is what somebody plans to do, or did, as far as the drivers need it.
type Outing struct {
	Start, End time.Time
	Whole      Stretch // the session that this is an hour of; zero means itself
	Group      model.Group
	PlannedGH  model.Maybe[model.GramsPerHour] // decided before the first cast
	CapacityMl model.Maybe[model.Millilitres]
	DistanceM  model.Maybe[model.Metres]
	DepthM     model.Maybe[model.Metres]
	PegEffortH model.Maybe[float64] // the angler's own rod-hours on the peg in the seven days before
}

// Stretch is a session from its first cast to its last wind-in.
type Stretch struct{ Start, End time.Time }

// whole is the session: thermometer readings count up to its start, and rain as
// what would fall over all of it, so that an hour and a session are on one scale.
func (o Outing) whole() Stretch {
	if o.Whole.Start.IsZero() {
		return Stretch{o.Start, o.End}
	}
	return o.Whole
}

// Drivers gathers what the regression may read about an outing: figures known
// before its first cast, averaged over the hours fished where they vary.
// Values not known stay missing.
func (h *History) Drivers(o Outing) model.Drivers {
	first, last := h.span(o.Start, o.End)
	mid := o.Start.Add(o.End.Sub(o.Start) / 2).In(h.zone)
	d := model.Drivers{
		DayOfYear:  float64(o.Start.In(h.zone).YearDay()),
		MidHour:    float64(mid.Hour()) + float64(mid.Minute())/60,
		PegEffortH: o.PegEffortH, PlannedGH: o.PlannedGH, CapacityMl: o.CapacityMl,
	}
	if first == last {
		return d
	}
	before := h.readBefore(o.whole().Start)
	d.WaterC = model.Known(model.Celsius(h.meanWater(first, last, before)))
	d.Warming48hC = h.warming(first)
	d.WindMps = mean[model.MetresPerSecond](h.hours[first:last], func(w model.WeatherHour) model.Reading { return w.WindMps })
	d.CloudFraction = mean[float64](h.hours[first:last], func(w model.WeatherHour) model.Reading { return w.Cloud })
	d.RainMm = h.rainDuring(o.whole(), first, last)
	d.Pressure3hHPa, d.Pressure24hHPa = h.pressureChanges(first)
	d.LowLightShare = h.lowLight(first, last)
	h.feedDrivers(o, &d)
	return d
}

// mean averages a value over the hours that have it; missing when fewer than
// half of them do.
func mean[T ~float64](hours []model.WeatherHour, get func(model.WeatherHour) model.Reading) model.Maybe[T] {
	sum, n := 0.0, 0
	for _, h := range hours {
		if r := get(h); r.Known {
			sum += r.Value
			n++
		}
	}
	if 2*n < len(hours) || n == 0 {
		return model.Maybe[T]{}
	}
	return model.Known(T(sum / float64(n)))
}

// rainDuring is the rain of the session if it rains as it does in the hours
// given: the depth at a whole hour fell in the hour before it, so it is the hours
// after the first that count.
func (h *History) rainDuring(whole Stretch, first, last int) model.Maybe[model.Millimetres] {
	if last+1 > len(h.hours) {
		return model.Maybe[model.Millimetres]{}
	}
	perHour := mean[model.Millimetres](h.hours[first+1:last+1], func(w model.WeatherHour) model.Reading { return w.RainMm })
	if !perHour.Known {
		return perHour
	}
	return model.Known(perHour.Value * model.Millimetres(whole.End.Sub(whole.Start).Hours()))
}

// meanWater is where the feeder lies: on the bottom.
func (h *History) meanWater(first, last int, by water.Calibration) float64 {
	sum := 0.0
	for i := first; i < last; i++ {
		sum += h.waterAt(i, by).BottomC
	}
	return sum / float64(last-first)
}

// warming is how much the water at the bottom has warmed over the 48 hours
// before, by the model alone: the readings of two days would show as a change
// of the water. Missing where either end rests on the climate alone.
func (h *History) warming(i int) model.Maybe[model.Celsius] {
	const back = 48
	if i < back || h.temps[i].Basis == water.FromClimate || h.temps[i-back].Basis == water.FromClimate {
		return model.Maybe[model.Celsius]{}
	}
	return model.Known(model.Celsius(h.temps[i].BottomC - h.temps[i-back].BottomC))
}

func (h *History) lowLight(first, last int) model.Maybe[float64] {
	low := 0
	for i := first; i < last; i++ {
		deg, ok := h.sunHeight(i)
		if !ok {
			return model.Maybe[float64]{}
		}
		if deg < lowLightDeg {
			low++
		}
	}
	return model.Known(float64(low) / float64(last-first))
}

// sunHeight is that at hour i. Where it was worked out already and rounded, the
// rounded one lies on the same side of low light unless it is just that.
func (h *History) sunHeight(i int) (deg float64, ok bool) {
	if h.conditions != nil && h.conditions[i].SunElevationDeg != lowLightDeg {
		return h.conditions[i].SunElevationDeg, true
	}
	return solar.Elevation(h.Water.LatDeg, h.Water.LonDeg, h.hours[i].At)
}

// feedDrivers holds the planned feed against the trade's figures at the water
// temperature: the starting rate, and the feeder the trade would choose for
// the planned rate.
func (h *History) feedDrivers(o Outing, d *model.Drivers) {
	waterC := float64(d.WaterC.Value)
	start, ok := feeder.StartingRateGH(feeder.Group(o.Group), waterC)
	if !ok {
		return
	}
	d.StartingGH = model.Known(model.GramsPerHour(start))
	if !o.CapacityMl.Known {
		return
	}
	choice, err := feeder.ColdStart(feeder.Input{
		Group: feeder.Group(o.Group), WaterC: waterC, WaterLowC: waterC, WaterHighC: waterC,
		Hours: math.Min(24, o.End.Sub(o.Start).Hours()), KnownWater: true, WishedRateGH: float64(o.PlannedGH.Or(0)),
	})
	if err == nil {
		d.ChoiceMl = model.Known(model.Millilitres(choice.Feeder.CapacityMl))
	}
}

// Covariates turns drivers into what the fit reads.
func Covariates(group model.Group, d model.Drivers) (activity.Covariates, error) {
	c := activity.Covariates{
		Warming48hC: float64(d.Warming48hC.Value), WindMps: float64(d.WindMps.Value),
		CloudFraction: d.CloudFraction.Value, RainMm: float64(d.RainMm.Value),
		PressureChange3hHPa: float64(d.Pressure3hHPa.Value), PressureChange24hHPa: float64(d.Pressure24hHPa.Value),
		DayOfYear: int(d.DayOfYear), MidHour: d.MidHour, LowLightShare: d.LowLightShare.Value,
		PegEffort7dRodHours: d.PegEffortH.Value, PlannedRateGH: float64(d.PlannedGH.Value),
		StartingRateGH: float64(d.StartingGH.Value), WaterC: float64(d.WaterC.Value),
		Known: activity.Known{
			LogAppetite: d.WaterC.Known, Warming48hC: d.Warming48hC.Known, WindMps: d.WindMps.Known,
			CloudFraction: d.CloudFraction.Known, RainMm: d.RainMm.Known,
			PressureChange3hHPa: d.Pressure3hHPa.Known, PressureChange24hHPa: d.Pressure24hHPa.Known,
			LowLightShare: d.LowLightShare.Known, PegEffort7dRodHours: d.PegEffortH.Known,
			Feed: d.PlannedGH.Known && d.StartingGH.Known, WaterC: d.WaterC.Known,
			LogCapacityRatio: d.CapacityMl.Known && d.ChoiceMl.Known,
		},
	}
	if d.WaterC.Known {
		appetite, err := fish.LogAppetite(string(group), float64(d.WaterC.Value))
		if err != nil {
			return c, fmt.Errorf("appetite of %s: %w", group, err)
		}
		c.LogAppetite = appetite
	}
	if c.Known.LogCapacityRatio {
		c.LogCapacityRatio = math.Log(float64(d.CapacityMl.Value / d.ChoiceMl.Value))
	}
	return c, nil
}
