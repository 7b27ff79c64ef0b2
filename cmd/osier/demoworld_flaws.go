package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"osier/model"
)

// flawPlanter spoils records the way people do, one flaw to a session, and
// keeps the list.
type flawPlanter struct {
	stream   *demoStream
	sessions []demoSession
	taken    map[string]bool
	flaws    []demoFlaw
	sent     sentRecords
	err      error
}

// plantFlaws turns honest records into those that were sent in.
func (m *demoMaker) plantFlaws(sessions []demoSession) (sentRecords, []demoFlaw, error) {
	p := &flawPlanter{
		stream: newDemoStream(m.seed, drawFlaw, 0), sessions: sessions, taken: map[string]bool{},
		sent: sentRecords{decimalPounds: map[string]bool{}},
	}
	p.unwrittenBlanks(m)
	p.clocks()
	p.airForWater()
	p.late(m.now)
	p.loads()
	p.pounds()
	twice := p.twice()
	p.noPlan()
	if p.err != nil {
		return p.sent, nil, p.err
	}
	for _, s := range p.sessions {
		if s.truth.SentIn {
			p.sent.sessions = append(p.sent.sessions, s.record)
		}
	}
	p.sent.sessions = append(p.sent.sessions, twice...)
	return p.sent, p.flaws, nil
}

// candidates are the sessions sent in that have no flaw yet.
func (p *flawPlanter) candidates(fit func(demoSession) bool) []*demoSession {
	var out []*demoSession
	for i := range p.sessions {
		s := &p.sessions[i]
		if s.truth.SentIn && !p.taken[s.truth.ID] && fit(*s) {
			out = append(out, s)
		}
	}
	return out
}

// draw picks n of the candidates at random.
func (p *flawPlanter) draw(kind string, n int, fit func(demoSession) bool) []*demoSession {
	list := p.candidates(fit)
	shuffle(p.stream, list)
	return p.first(kind, n, list)
}

func (p *flawPlanter) first(kind string, n int, list []*demoSession) []*demoSession {
	if len(list) < n {
		if p.err == nil {
			p.err = fmt.Errorf("plant the flaw %q: %d sessions would do, and %d are needed", kind, len(list), n)
		}
		return nil
	}
	return list[:n]
}

func (p *flawPlanter) note(kind string, s *demoSession, caughtBy, what string, args ...any) {
	p.taken[s.truth.ID] = true
	p.flaws = append(p.flaws, demoFlaw{Kind: kind, Session: s.truth.ID, What: fmt.Sprintf(what, args...), CaughtBy: caughtBy})
}

// telling says whether the demo's findings rest on a session: marlo's winter.
// Flaws that would take it out of fits go elsewhere.
func telling(s demoSession) bool { return s.angler.bias != s.angler.cold && s.cold() }

func (p *flawPlanter) unwrittenBlanks(m *demoMaker) {
	for i := range p.sessions {
		s := &p.sessions[i]
		s.truth.SentIn = s.truth.Fish > 0 || m.month(s.truth.Start) >= s.angler.blanks
		if !s.truth.SentIn {
			p.note(flawNoBlanks, s, "model.MissingBlanks over the angler's records", "a blank that was never written down")
		}
	}
}

// clocks plants the first sessions after the change of October, written by a
// clock that was not put back. Everything in the record moves by an hour.
func (p *flawPlanter) clocks() {
	list := p.candidates(func(s demoSession) bool {
		_, offsetS := s.record.Start.Zone()
		return offsetS == 0
	})
	slices.SortStableFunc(list, func(a, b *demoSession) int {
		return cmp.Compare(sinceOctober(a.record.Start), sinceOctober(b.record.Start))
	})
	summer := time.FixedZone("", 3600)
	late := func(t time.Time) time.Time { return t.Add(-time.Hour).In(summer) }
	for _, s := range p.first(flawClock, flawsOfClock, list) {
		r := &s.record
		r.Start, r.End = late(r.Start), late(r.End)
		r.WrittenAt.Value, r.Planned.DecidedAt.Value = late(r.WrittenAt.Value), late(r.Planned.DecidedAt.Value)
		if r.WaterTemp.Known {
			r.WaterTemp.Value.At.Value = late(r.WaterTemp.Value.At.Value)
		}
		for i := range r.Intervals {
			r.Intervals[i].Start, r.Intervals[i].End = late(r.Intervals[i].Start), late(r.Intervals[i].End)
		}
		for i := range r.Casts {
			r.Casts[i].In, r.Casts[i].Out = late(r.Casts[i].In), late(r.Casts[i].Out)
		}
		p.note(flawClock, s, "query: start", "began at %s, and is written as %s: the October change was missed",
			s.truth.Start.Format(time.RFC3339), r.Start.Format(time.RFC3339))
	}
}

// sinceOctober is the time since the last change to winter time: 01:00 GMT on
// the last Sunday of October.
func sinceOctober(t time.Time) time.Duration {
	t = t.UTC()
	for year := t.Year(); ; year-- {
		change := time.Date(year, time.October, 31, 1, 0, 0, 0, time.UTC)
		change = change.AddDate(0, 0, -int(change.Weekday()))
		if !change.After(t) {
			return t.Sub(change)
		}
	}
}

// airForWater takes the session with a reading whose air and water differ most.
func (p *flawPlanter) airForWater() {
	list := p.candidates(func(s demoSession) bool {
		return s.record.WaterTemp.Known && s.airC > 0
	})
	apart := func(s *demoSession) float64 { return math.Abs(s.airC - s.truth.WaterC) }
	slices.SortStableFunc(list, func(a, b *demoSession) int { return cmp.Compare(apart(b), apart(a)) })
	for _, s := range p.first(flawAir, 1, list) {
		s.record.WaterTemp.Value.C = model.Celsius(roundTo(s.airC, 0.1))
		p.note(flawAir, s, "query: water_temp", "%.1f C of air was written down, and the water had %.1f C", s.airC, s.truth.WaterC)
	}
}

func (p *flawPlanter) late(now time.Time) {
	fit := func(s demoSession) bool {
		return s.angler.rounds && s.record.End.Before(now.AddDate(0, 0, -10))
	}
	for _, s := range p.draw(flawLate, flawsOfLate, fit) {
		days := p.stream.between(2, 9)
		s.record.WrittenAt.Value = s.record.End.Add(minutes(days * 24 * 60).Truncate(time.Minute))
		p.note(flawLate, s, "query: written_at", "written %.1f days after the session", days)
	}
}

// loads are said on good days, by marlo while there are enough of them.
func (p *flawPlanter) loads() {
	list := p.candidates(func(s demoSession) bool {
		return s.truth.Style == model.Summary && !telling(s) && s.truth.Bites >= 3
	})
	shuffle(p.stream, list)
	others := func(s *demoSession) int {
		if s.angler.handle == "marlo" {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(list, func(a, b *demoSession) int { return cmp.Compare(others(a), others(b)) })
	for _, s := range p.first(flawLoads, flawsOfLoads, list) {
		s.record.Bites, s.record.BitesText = model.Maybe[int]{}, "loads"
		p.note(flawLoads, s, "query: bites", "%d bites, written as loads", s.truth.Bites)
	}
}

func (p *flawPlanter) pounds() {
	fit := func(s demoSession) bool {
		_, oz := poundsAndOunces(s.record.Weight.Value.G)
		return s.angler.pounds && s.record.Weight.Known && oz > 0 && !telling(s)
	}
	for _, s := range p.draw(flawPounds, flawsOfPounds, fit) {
		p.sent.decimalPounds[s.truth.ID] = true
		lb, oz := poundsAndOunces(s.record.Weight.Value.G)
		p.note(flawPounds, s, "refused: weight_lb", "%d lb %d oz, written as %d.%d lb", lb, oz, lb, oz)
	}
}

// twice sends one record of each file again.
func (p *flawPlanter) twice() (again []model.Session) {
	for _, style := range []model.Style{model.Hourly, model.FullLog} {
		for _, s := range p.draw(flawTwice, 1, func(s demoSession) bool { return s.truth.Style == style }) {
			r := s.record
			r.ID += "-again"
			r.WrittenAt.Value = r.WrittenAt.Value.Add(7 * time.Minute)
			again = append(again, r)
			p.note(flawTwice, s, "duplicate", "sent in twice, the second time as %s", r.ID)
		}
	}
	return again
}

// noPlan forgets the planned feed of one session in ten.
func (p *flawPlanter) noPlan() {
	all := 0
	for _, s := range p.sessions {
		if s.truth.SentIn {
			all++
		}
	}
	for _, s := range p.draw(flawNoPlan, (all+5)/10, func(s demoSession) bool { return !telling(s) }) {
		s.record.Planned = model.PlannedFeed{}
		p.note(flawNoPlan, s, "query: planned_feed", "%.0f g/h were planned, and nothing was written down", s.truth.PlannedGH)
	}
}
