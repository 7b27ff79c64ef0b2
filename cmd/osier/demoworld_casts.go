package main

import (
	"math"
	"time"

	"osier/model"
)

// demoPace is the rhythm of a session.
type demoPace struct {
	soakMin, handlingMin, fishMin float64
	fillG, mostFillG              float64
}

// demoCast is one cast before it has its place in the hour.
type demoCast struct {
	wetMin  float64 // settled to wound in
	biteMin float64 // settled to the bite
	outcome model.Outcome
}

const strikeMin = 0.3 // from a bite to a fish on, or to winding in

// casts lays out a full log: in every stretch as many casts with a bite as
// there were bites, empty casts in the time between, in random order, and all
// of it stretched to fill the time. So an hour with many bites has quick ones.
func (p demoPace) casts(s *demoStream, stretches []demoStretch, catch demoCatch) []model.Cast {
	var out []model.Cast
	landed := 0
	for _, st := range stretches {
		list := p.drawCasts(s, st)
		totalMin := 0.0
		for _, c := range list {
			totalMin += c.wetMin + p.handlingMin
		}
		scale := st.to.Sub(st.from).Minutes() / totalMin
		fillG := math.Min(p.mostFillG, math.Max(p.mostFillG/2.2, st.feedGH*st.hours()/float64(len(list))))
		passedMin := 0.0
		for _, c := range list {
			in := st.from.Add(minutes(passedMin))
			passedMin += c.wetMin * scale
			cast := model.Cast{In: in, Out: st.from.Add(minutes(passedMin)), FillG: model.Known(model.Grams(math.Round(fillG))), Outcome: c.outcome}
			passedMin += p.handlingMin * scale
			if c.outcome.TrueBite() {
				cast.BiteMin = model.Known(roundTo(c.biteMin*scale, 0.1))
			}
			if c.outcome == model.FishLanded {
				cast.Group, cast.FishG = catch.groups[landed], model.Known(catch.grams[landed])
				landed++
			}
			out = append(out, cast)
		}
	}
	return out
}

// minutes is a time to the second, as a watch shows it.
func minutes(min float64) time.Duration {
	return time.Duration(math.Round(min*60)) * time.Second
}

func (p demoPace) drawCasts(s *demoStream, st demoStretch) []demoCast {
	var list []demoCast
	takenMin := 0.0
	add := func(c demoCast) {
		list = append(list, c)
		takenMin += c.wetMin + p.handlingMin
	}
	for i := range st.bites {
		wait := biteWait(s, p.soakMin)
		c := demoCast{wetMin: wait + strikeMin, biteMin: wait, outcome: model.FishLanded}
		switch {
		case i < st.fish:
			c.wetMin += p.fishMin
		case s.uniform() < 0.7:
			c.outcome = model.MissedBite
		default:
			c.outcome = model.FishLost
		}
		add(c)
	}
	liners := st.liners
	for wholeMin := st.hours() * 60; len(list) == 0 || takenMin+0.6*(p.soakMin+p.handlingMin) < wholeMin; {
		c := demoCast{wetMin: p.soakMin * s.between(0.85, 1.15), outcome: model.NoBite}
		if liners > 0 && s.uniform() < 0.5 {
			c.outcome = model.LineBite
			liners--
		}
		add(c)
	}
	shuffle(s, list)
	return list
}

// biteWait is the time to a bite that comes within the soak, by the waiting
// times of the statistics pack, section 7: S = 1/(1 + (t/14)^1.8).
func biteWait(s *demoStream, soakMin float64) float64 {
	const scaleMin, shape = 14, 1.8
	left := 1 / (1 + math.Pow(soakMin/scaleMin, shape))
	still := s.between(left, 1)
	return scaleMin * math.Pow(1/still-1, 1/shape)
}

// tally writes the hours down as an hourly tally does.
func (p demoPace) tally(stretches []demoStretch) []model.Interval {
	out := make([]model.Interval, len(stretches))
	for i, st := range stretches {
		biteCasts := float64(st.bites) * (p.soakMin/2 + p.handlingMin)
		empty := math.Max(0, st.hours()*60-biteCasts-float64(st.fish)*p.fishMin) / (p.soakMin + p.handlingMin)
		out[i] = model.Interval{
			Start: st.from, End: st.to,
			Casts: model.Known(max(1, st.bites+int(math.Round(empty)))),
			Bites: model.Known(st.bites), LineBites: model.Known(st.liners), Fish: model.Known(st.fish),
			RateGH: model.Known(model.GramsPerHour(roundTo(st.feedGH, 5))),
		}
	}
	return out
}
