package plan

import (
	"errors"
	"fmt"
	"math"
	"time"

	"osier/model"
	"osier/model/activity"
	"osier/model/caution"
	"osier/model/feeder"
)

// Input is all that a plan is made from.
type Input struct {
	Question   model.Question
	History    *History
	Around     Surroundings
	Kit        *model.Kit // nil when none is recorded
	KnownWater bool       // by the question, or by the records
	Fit        activity.Fit
	FitID      string
	FeedSeed   uint64               // fixes the draws of the feed choice
	UsualFeedZ model.Maybe[float64] // the angler's usual ln(planned / trade's rate) hereabouts
	Evidence   model.Evidence
	PegEffortH model.Maybe[float64]
	Usual      model.Drivers // of this water and season, to hold the day against
}

// The spot fished when nobody named it (design, section 4).
const usualDistanceM = 25

// Build makes the plan. Cautions come first: they cap feed and strike hours out
// before the model is asked anything.
func Build(in Input) (model.Plan, error) {
	q, h := in.Question, in.History
	start, end := q.Start, q.End()
	conditions, err := h.Conditions(start, end, in.Around)
	if err != nil {
		return model.Plan{}, err
	}
	open := openHours(conditions)
	cold := in.coldStart(conditions, open)
	trade, err := feeder.ColdStart(cold)
	if err != nil {
		return model.Plan{}, refused(err)
	}
	chosen, choice := trade, nothingFed()
	if !noneOpen(open) {
		if chosen, choice, err = in.chooseFeed(cold, trade); err != nil {
			return model.Plan{}, err
		}
	}
	p := model.Plan{
		IssuedAt: h.Now, Question: q, Water: q.Water, WaterName: h.Water.Name, Group: q.Group,
		Start: start.In(h.zone), Hours: q.Hours, Fit: in.FitID,
		Weather: planWeather(conditions), Conditions: conditions.Hours, Cautions: conditions.Cautions,
		Evidence: in.Evidence, Deferral: model.Deferral, Demo: in.Around.Demo,
	}
	in.putTrade(&p, chosen, open)
	p.Feed.Choice = choice
	p.Cautions = caution.Overfeeding(p.Cautions, in.water(), start, end, float64(p.Feed.TotalDryG))
	if err := in.putActivity(&p, chosen, conditions, open); err != nil {
		return model.Plan{}, err
	}
	p.Confidence = in.confidence(conditions)
	p.WouldChange = in.wouldChange(chosen, conditions)
	return p, nil
}

// refused turns the trade's own refusal into the domain's error.
func refused(err error) error {
	var f *feeder.FieldError
	if errors.As(err, &f) {
		return model.Invalidf(f.Field, f.Remedy, "%s", f.Problem)
	}
	return fmt.Errorf("plan the feed: %w", err)
}

// water is the water with the feed limit that holds in the hours asked for.
func (in Input) water() model.Water {
	w := in.History.Water
	w.FeedLimitDryG = in.Around.FeedLimitDryG(w, in.Question.Start, in.Question.End())
	return w
}

// openHours says which of the hours are not struck out by a caution.
func openHours(c model.Conditions) []bool {
	open := make([]bool, len(c.Hours))
	for i, h := range c.Hours {
		open[i] = !caution.Struck(c.Cautions, h.At)
	}
	return open
}

// hoursOpen is how much of the time asked for is not struck out.
func (in Input) hoursOpen(c model.Conditions, open []bool) float64 {
	total := 0.0
	for i, h := range c.Hours {
		if !open[i] {
			continue
		}
		from, to := h.At, h.At.Add(time.Hour)
		if from.Before(in.Question.Start) {
			from = in.Question.Start
		}
		if end := in.Question.End(); to.After(end) {
			to = end
		}
		total += to.Sub(from).Hours()
	}
	return math.Min(total, in.Question.Hours)
}

// coldStart asks the trade's question: what would be done with no records.
func (in Input) coldStart(c model.Conditions, open []bool) feeder.Input {
	q, w := in.Question, in.water()
	value, low, high := waterOver(c.Hours)
	hours := in.hoursOpen(c, open)
	if hours == 0 { // every hour is struck out: the tackle is still worth knowing, the feed is set to nothing after
		hours = q.Hours
	}
	f := feeder.Input{
		Group: feeder.Group(q.Group), WaterC: value, WaterLowC: low, WaterHighC: high,
		DistanceM: float64(q.DistanceM.Or(usualDistanceM)), DepthM: float64(q.DepthM.Or(w.MeanDepthM)),
		Wind: windOver(c.Hours), Hours: hours, KnownWater: in.KnownWater,
		RodMaxG: float64(q.RodMaxG.Or(0)), DryLimitG: float64(w.FeedLimitDryG.Or(0)),
		CastBearingDeg: float64(q.BearingDeg.Value), CastBearingKnown: q.BearingDeg.Known,
	}
	f.LevelCap, _ = levelCap(c.Cautions)
	if in.Kit != nil {
		f.Kit = kitOf(*in.Kit)
	}
	return f
}

// levelCap is the most that the cautions leave of the feed, and why (trade pack,
// section 3.2); no level where they leave it alone.
func levelCap(cautions []model.Caution) (level feeder.Level, why string) {
	switch {
	case caution.Asks(cautions, "low_oxygen", model.Care):
		return feeder.Lean, "low_oxygen: oxygen may be low"
	case caution.OxygenInDoubt(cautions):
		return feeder.Lean, "low_oxygen: it was not checked, and the water may be 22 C or more"
	case caution.Asks(cautions, "fish_heat", model.Care):
		return feeder.Even, "fish_heat: the water may be 24 C or more"
	}
	return "", ""
}

func kitOf(k model.Kit) feeder.Kit {
	kit := feeder.Kit{RodRatingG: float64(k.RodMaxG.Or(0)), DensityGMl: k.DensityGMl().Or(0)}
	for _, f := range k.Feeders {
		kit.Feeders = append(kit.Feeders, feeder.KitFeeder{Type: f.Type, CapacityMl: float64(f.CapacityMl), WeightG: float64(f.WeightG)})
	}
	return kit
}

// waterOver is the mean water temperature where the feeder lies, and the mean
// ends of its 80 % interval. The upper end is that near the surface where the
// water has layers: the heat caps go by it.
func waterOver(hours []model.ConditionHour) (value, low, high float64) {
	for _, h := range hours {
		value += h.WaterC.AtFeeder()
		low += h.WaterC.LowAtFeeder()
		high += h.WaterC.High
	}
	n := math.Max(1, float64(len(hours)))
	return value / n, low / n, high / n
}

// windOver is the strongest mean wind of the hours, with its direction: the
// weight tied on must hold in it.
func windOver(hours []model.ConditionHour) feeder.Wind {
	var w feeder.Wind
	for _, h := range hours {
		if h.WindMps.Known && (!w.SpeedKnown || float64(h.WindMps.Value) > w.SpeedMps) {
			w = feeder.Wind{
				SpeedMps: float64(h.WindMps.Value), SpeedKnown: true,
				FromDeg: float64(h.WindFromDeg.Value), FromKnown: h.WindFromDeg.Known,
			}
		}
	}
	return w
}

func planWeather(c model.Conditions) model.PlanWeather {
	w := model.PlanWeather{Source: c.Source, Version: c.Version, AgeMin: c.AgeMin, Stale: c.Stale, Credits: c.Credits}
	for _, h := range c.Hours {
		if h.Weather == model.Missing {
			w.MissingHours++
		}
	}
	if len(c.Hours) > 0 {
		w.Provenance = c.Hours[0].Provenance
	}
	return w
}
