package main

import (
	"fmt"
	"math"
	"time"

	"osier/model"
	"osier/model/feeder"
)

const demoMatchNote = "match (invented)"

// bycatch is the share of fish of the water's other group. Our choice.
const bycatch = 0.12

// writeDown makes the honest record of a session in its angler's style.
func writeDown(s *demoStream, o demoOuting, a demoAngler, w model.Water, t demoSessionTruth, stretches []demoStretch) (model.Session, error) {
	choice, err := feeder.ColdStart(feeder.Input{
		Group: feeder.Group(o.group), WaterC: t.WaterC, WaterLowC: t.WaterC, WaterHighC: t.WaterC,
		Hours: t.Hours, KnownWater: true, WishedRateGH: t.PlannedGH,
	})
	if err != nil {
		return model.Session{}, fmt.Errorf("choose a feeder: %w", err)
	}
	r := model.Session{
		ID: t.ID, Water: w.ID, Angler: a.handle, Group: o.group, Style: a.style, Start: o.start, End: o.end, Rods: 1, Peg: o.peg,
		Bites: model.Known(t.Bites), LineBites: model.Known(t.LineBites), Blank: t.Fish == 0,
		Planned: model.PlannedFeed{
			RateGH:    model.Known(model.GramsPerHour(t.PlannedGH)),
			DecidedAt: model.Known(o.start.Add(-time.Duration(s.between(30, 840)) * time.Minute)),
		},
		DistanceM: model.Known(castDistance(s, o.place)), DepthM: model.Known(castDepth(s, o.place)),
		Groundbait: groundbaits[o.group], HookBait: hookBaits[o.group][s.below(2)],
		WaterColour: w.Colour, Demo: true,
	}
	if t.Match {
		r.Notes = demoMatchNote
	}
	distanceM, depthM := float64(r.DistanceM.Value), float64(r.DepthM.Value)
	need, _ := feeder.NeedWeight(distanceM, depthM, 0, false)
	weightG, _ := feeder.WeightStepUp(feeder.WeightSteps(), need.TotalG())
	r.Feeder = model.FeederUsed{
		Type:       feeder.FeederType(distanceM, depthM),
		CapacityMl: model.Known(model.Millilitres(choice.Feeder.CapacityMl)), WeightG: model.Known(model.Grams(weightG)),
	}
	r.Opening = model.Opening{Fills: model.Known(choice.Feed.OpeningFills), Release: choice.Feed.OpeningRelease}
	handlingMin := feeder.HandlingMin(distanceM)
	pace := demoPace{
		soakMin: choice.Rhythm.SoakMin, handlingMin: handlingMin, fillG: choice.Feeder.FillG,
		mostFillG: 1.1 * feeder.DefaultDensityGMl * choice.Feeder.CapacityMl,
	}
	pace.fishMin, _ = feeder.MinutesPerFish(feeder.Group(o.group))
	r.RecastMin = model.Known(roundTo(pace.soakMin+handlingMin, 0.5))
	r.FeedUsed = feedUsed(stretches, choice.Feeder.FillG*float64(choice.Feed.OpeningFills), choice.Feeder.FillG)

	catch := drawCatch(s, t.Fish, o.group, w)
	r.Fish = catch.counts
	if t.Fish > 0 {
		r.Weight = model.Known(weighed(a, catch.totalG()))
	}
	switch a.style {
	case model.FullLog:
		r.Casts = pace.casts(s, stretches, catch)
		r.CastCount = model.Known(len(r.Casts))
	case model.Hourly:
		r.Intervals = pace.tally(stretches)
	}
	if a.rounds {
		r.Bites = model.Known(max(int(roundTo(float64(t.Bites), 5)), t.Fish))
	}
	r.WrittenAt = model.Known(writtenAt(s, a.style, o.end))
	return r, nil
}

var (
	groundbaits = map[model.Group]string{model.Silver: "fine crumb", model.Bream: "crumb and fishmeal", model.Carp: "fishmeal"}
	hookBaits   = map[model.Group][2]string{
		model.Silver: {"one maggot", "two pinkies"}, model.Bream: {"worm and maggot", "three maggots"}, model.Carp: {"6 mm pellet", "corn"},
	}
)

// writtenAt is soon after for those who write as they fish, and that night or
// the next morning for those who do not.
func writtenAt(s *demoStream, style model.Style, end time.Time) time.Time {
	lagMin := s.between(20, 180)
	if style == model.Summary {
		lagMin = s.between(60, 600)
	}
	return end.Add(time.Duration(lagMin) * time.Minute)
}

// feedUsed is what was really fed, and what was mixed and left.
func feedUsed(stretches []demoStretch, openingG, fillG float64) model.FeedUsed {
	usedG := openingG
	for _, st := range stretches {
		usedG += st.feedGH * st.hours()
	}
	usedDryG := usedG * feeder.DryShare
	mixed := math.Ceil(usedDryG*1.25/100) * 100
	return model.FeedUsed{
		MixedDryG: model.Known(model.Grams(mixed)), LeftDryG: model.Known(model.Grams(roundTo(mixed-usedDryG, 10))),
		Fills: model.Known(int(math.Round(usedG / fillG))),
	}
}

// demoCatch is the fish of a session, in the order they came.
type demoCatch struct {
	groups []model.Group
	grams  []model.Grams
	counts map[model.Group]int // nil for a blank
}

func (c demoCatch) totalG() (sum model.Grams) {
	for _, g := range c.grams {
		sum += g
	}
	return sum
}

// Fish weigh about this; the spread is a factor of e^0.4. Our choice.
var usualFishG = map[model.Group]float64{model.Silver: 110, model.Bream: 900, model.Carp: 1600}

func drawCatch(s *demoStream, n int, fishedFor model.Group, w model.Water) demoCatch {
	var c demoCatch
	for range n {
		g := fishedFor
		if s.uniform() < bycatch {
			g = otherGroup(w, fishedFor)
		}
		if c.counts == nil {
			c.counts = map[model.Group]int{}
		}
		c.counts[g]++
		c.groups = append(c.groups, g)
		c.grams = append(c.grams, model.Grams(math.Round(usualFishG[g]*math.Exp(0.4*s.normal()))))
	}
	return c
}

func otherGroup(w model.Water, g model.Group) model.Group {
	if w.Groups[0] == g {
		return w.Groups[1]
	}
	return w.Groups[0]
}

// weighed is the catch as the angler's scales or eyes have it: to 10 g, to the
// ounce, or to the pound.
func weighed(a demoAngler, g model.Grams) model.Weight {
	how := model.Estimated
	if a.style != model.Summary {
		how = model.Weighed
	}
	switch {
	case a.rounds:
		pounds := math.Max(1, math.Round(float64(g)/gramsPerOunce/ouncesPerPound))
		return model.Weight{G: model.Grams(pounds * ouncesPerPound * gramsPerOunce), How: how}
	case a.pounds:
		return model.Weight{G: model.Grams(math.Max(1, math.Round(float64(g)/gramsPerOunce)) * gramsPerOunce), How: how}
	}
	return model.Weight{G: model.Grams(math.Max(10, roundTo(float64(g), 10))), How: how}
}
