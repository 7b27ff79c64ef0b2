package main

import (
	"fmt"
	"math"
	"time"

	"osier/model"
	"osier/model/feeder"
)

// demoSession is a session as it was and as its angler wrote it down.
type demoSession struct {
	angler demoAngler
	truth  demoSessionTruth
	record model.Session
	airC   float64 // mean over the hours fished
}

// cold says whether it was fished in water under 8 C.
func (s demoSession) cold() bool { return s.truth.WaterC < coldWaterC }

// demoStretch is one clock hour of a session, or part of one, as it was.
type demoStretch struct {
	from, to            time.Time
	ratePerH            float64 // true, before the multiplier
	bites, liners, fish int
	feedGH              float64 // at its beginning
}

func (st demoStretch) hours() float64 { return st.to.Sub(st.from).Hours() }

// sessions fishes every outing of the year.
func (m *demoMaker) sessions() ([]demoSession, []demoMatch, error) {
	var sessions []demoSession
	var matches []demoMatch
	for _, o := range m.outings() {
		s, err := m.fish(o)
		if err != nil {
			return nil, nil, fmt.Errorf("invent session %s: %w", o.id(), err)
		}
		sessions = append(sessions, s)
		if !o.match {
			continue
		}
		if n := len(matches); n == 0 || !matches[n-1].Start.Equal(o.start) {
			matches = append(matches, demoMatch{Water: s.truth.Water, Start: o.start})
		}
		last := &matches[len(matches)-1]
		last.Sessions = append(last.Sessions, s.truth.ID)
	}
	return sessions, matches, nil
}

// fish makes one session: the plan, then its bites hour by hour, then what was
// written down of it.
func (m *demoMaker) fish(o demoOuting) (demoSession, error) {
	a, w := demoAnglers[o.angler], m.waters[o.place]
	s := newDemoStream(m.seed, drawSession, angleDay(o.angler, o.start))
	at := m.index(o.start)
	t := demoSessionTruth{
		ID: o.id(), Water: w.ID, Angler: a.handle, Group: o.group, Style: a.style, Start: o.start,
		Hours: o.end.Sub(o.start).Hours(), Match: o.match, WaterC: m.waterC[o.place][at], Warming24hC: m.warming(o.place, at),
	}
	starting, ok := feeder.StartingRateGH(feeder.Group(o.group), t.WaterC)
	if !ok {
		return demoSession{}, fmt.Errorf("no starting rate for %s at %.1f C", o.group, t.WaterC)
	}
	bias := a.bias
	if t.WaterC < coldWaterC {
		bias = a.cold
	}
	t.PlannedGH = math.Max(5, roundTo(starting*math.Exp(bias+demoRules.PlanSd*s.normal()), 5))
	t.FeedZ = math.Log(t.PlannedGH / starting)
	waterDay := newDemoStream(m.seed, drawWaterDay, angleDay(o.place, o.start)).normal()
	logRate := demoRules.Intercept + demoWaterEffects[o.place] + m.effects[o.angler] +
		demoRules.WaterDaySd*waterDay + demoRules.SessionSd*s.normal() + demoRules.feed(t.FeedZ)
	t.Multiplier = s.gamma(demoRules.Size) / demoRules.Size

	stretches := m.stretches(o, s, &t, logRate)
	record, err := writeDown(s, o, a, w, t, stretches)
	if err != nil {
		return demoSession{}, err
	}
	out := demoSession{angler: a, truth: t, record: record, airC: m.meanAirC(o)}
	if a.reads && s.uniform() < 0.6 {
		out.record.WaterTemp = model.Known(model.WaterReading{
			C:      model.Celsius(roundTo(t.WaterC+0.15*s.normal(), 0.1)),
			DepthM: model.Known(model.Metres(0.5)), At: model.Known(o.start), Instrument: true,
		})
	}
	return out, nil
}

// stretches fishes hour by hour and adds up what came of it. A good hour makes
// the angler feed more in the next, which does nothing to the bites: whoever
// reads feed as their cause has it backwards.
func (m *demoMaker) stretches(o demoOuting, s *demoStream, t *demoSessionTruth, logRate float64) []demoStretch {
	const goodHour, raise, mostRaise = 4, 1.3, 2.0
	feedGH, expected := t.PlannedGH, 0.0
	var out []demoStretch
	for from := o.start; from.Before(o.end); {
		to := from.Truncate(time.Hour).Add(time.Hour)
		if to.After(o.end) {
			to = o.end
		}
		i := m.index(from)
		waterC := m.waterC[o.place][i]
		st := demoStretch{from: from, to: to, feedGH: feedGH}
		middle := from.Add(to.Sub(from) / 2)
		st.ratePerH = math.Exp(logRate + demoRules.temperature(waterC) +
			demoRules.weather(m.hours[i], t.Warming24hC, m.waters[o.place].Colour) +
			demoRules.hourOfDay(middle, o.light, waterC))
		st.bites = s.poisson(st.ratePerH * t.Multiplier * st.hours())
		st.fish = s.binomial(st.bites, demoRules.LandedShare)
		st.liners = s.poisson((demoRules.LinersPerH + demoRules.LinersPerBite*st.ratePerH) * st.hours())
		out = append(out, st)
		expected += st.ratePerH * st.hours()
		t.Bites += st.bites
		t.Fish += st.fish
		t.LineBites += st.liners
		if st.bites >= goodHour {
			feedGH = math.Min(feedGH*raise, mostRaise*t.PlannedGH)
		}
		from = to
	}
	t.RatePerH = expected / t.Hours
	return out
}

// meanAirC is the mean of the hours fished, as the product will take it.
func (m *demoMaker) meanAirC(o demoOuting) float64 {
	sum, n := 0.0, 0
	for i := m.index(o.start); m.hours[i].at.Before(o.end); i++ {
		sum += m.hours[i].airC
		n++
	}
	return sum / float64(n)
}
