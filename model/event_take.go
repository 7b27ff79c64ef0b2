package model

import "time"

// liveBuilder takes events in the order in which they happened.
type liveBuilder struct {
	out     Live
	start   *EventStartOf
	casts   []liveCast
	open    int          // the cast in the water, -1 for none
	fillG   Maybe[Grams] // of the fill that the next cast carries
	feeder  FeederUsed   // on the line now
	fills   int
	liners  int
	pause   time.Duration
	ended   Maybe[time.Time]
	written time.Time // the last of all that holds
}

// liveCast is a cast as it is built up.
type liveCast struct {
	cast    time.Time
	lag     time.Duration // from the cast to when it was written down
	settled Maybe[time.Time]
	out     Maybe[time.Time]
	record  Cast
	liner   bool
}

// from is when the feeder lay still, or flew where nobody said.
func (c liveCast) from() time.Time { return c.settled.Or(c.cast) }

func (b *liveBuilder) take(e Event) {
	if e.written().After(b.written) {
		b.written = e.written()
	}
	if b.ended.Known && e.Kind != EventReading {
		b.leaveOut(e, "it comes after the end")
		return
	}
	switch e.Kind {
	case EventStart:
		b.begin(e)
	case EventCast:
		b.cast(e)
	case EventFill, EventTopUp:
		b.fill(e)
	case EventChange:
		b.change(e)
	case EventReading:
		b.reading(e)
	case EventPause:
		b.windIn(e.At)
		b.out.PausedAt = Known(b.out.PausedAt.Or(e.At))
	case EventEnd:
		b.windIn(e.At)
		b.resume(e.At)
		b.ended = Known(e.At)
	default:
		b.happen(e)
	}
}

func (b *liveBuilder) leaveOut(e Event, why string) {
	b.ask("%s at %s is left out: %s", e.Kind, timeOfDay(e.At), why)
}

func (b *liveBuilder) begin(e Event) {
	if b.start != nil {
		b.leaveOut(e, "the session had begun already, and its first start holds")
		return
	}
	b.start = e.Start
	s := &b.out.Session
	s.Water, s.Angler, s.Group, s.Peg, s.PlanID, s.DepthM = e.Start.Water, e.Start.Angler, e.Start.Group, e.Start.Peg, e.Start.PlanID, e.Start.DepthM
	s.Opening = e.Start.Opening
	if e.Start.RateGH.Known {
		s.Planned = PlannedFeed{RateGH: e.Start.RateGH, DecidedAt: e.MadeAt}
	}
	b.tie(e)
}

func (b *liveBuilder) cast(e Event) {
	b.windIn(e.At)
	b.resume(e.At)
	b.casts = append(b.casts, liveCast{cast: e.At, lag: e.written().Sub(e.At), record: Cast{Outcome: NoBite, FillG: b.fillG}})
	b.open, b.fillG = len(b.casts)-1, Maybe[Grams]{}
}

// windIn closes the cast in the water.
func (b *liveBuilder) windIn(at time.Time) {
	if b.open >= 0 {
		b.casts[b.open].out = Known(at)
		b.open = -1
	}
}

// resume ends a pause. One before the first cast is none of the session.
func (b *liveBuilder) resume(at time.Time) {
	if b.out.PausedAt.Known && len(b.casts) > 0 {
		b.pause += at.Sub(b.out.PausedAt.Value)
	}
	b.out.PausedAt = Maybe[time.Time]{}
}

// fill counts what was fed beside the opening, which the start tells.
func (b *liveBuilder) fill(e Event) {
	b.fills += e.Fills.Or(1)
	if e.Particles != "" {
		b.out.Session.Particles = e.Particles
	}
	if e.Kind == EventTopUp {
		return
	}
	b.windIn(e.At)
	b.fillG = e.FillG
	if e.Feeder != (FeederUsed{}) && e.Feeder != b.feeder {
		b.change(e)
	}
}

// change notes that something else is tied on from here, so that the timing
// model can start anew. The record keeps what was there at the first cast.
func (b *liveBuilder) change(e Event) {
	if len(b.casts) == 0 {
		b.tie(e)
		return
	}
	b.out.Changed = Known(e.At)
	if e.Feeder != (FeederUsed{}) {
		b.feeder = e.Feeder
	}
}

// tie notes what was on the line at the first cast, in the record.
func (b *liveBuilder) tie(e Event) {
	s := &b.out.Session
	if e.Feeder != (FeederUsed{}) {
		b.feeder, s.Feeder = e.Feeder, e.Feeder
	}
	if e.DistanceM.Known {
		s.DistanceM = e.DistanceM
	}
	if e.HookBait != "" {
		s.HookBait = e.HookBait
	}
	if e.HookLengthCm.Known {
		s.HookLengthCm = e.HookLengthCm
	}
}

// reading keeps the first: a record has room for one.
func (b *liveBuilder) reading(e Event) {
	if b.out.Session.WaterTemp.Known {
		b.leaveOut(e, "the record holds the first reading; send this one as a reading of the water")
		return
	}
	b.out.Session.WaterTemp = Known(WaterReading{C: e.Temp.Value, DepthM: e.DepthM, At: Known(e.At), Instrument: true})
}

// happen is what the tip says.
func (b *liveBuilder) happen(e Event) {
	c := b.castOf(e)
	if c == nil {
		b.leaveOut(e, "no cast is in the water")
		return
	}
	switch e.Kind {
	case EventLineBite:
		b.liners++
		c.liner = true
	case EventSettled:
		switch {
		case c.settled.Known:
			b.leaveOut(e, "the feeder had settled already, and the first time holds")
		case c.record.Outcome.TrueBite():
			b.leaveOut(e, "a bite had come on the drop, and is timed from the cast")
		default:
			c.settled = Known(e.At)
		}
	default:
		if c.record.Outcome == FishLanded {
			b.leaveOut(e, "the fish of this cast is landed already; was a cast not logged?")
			return
		}
		c.bite(e)
	}
}

// castOf finds the cast an event belongs to: the one in the water. The last one
// keeps what happened at the instant of its wind-in, and what may be told after
// it: how the fight ended.
func (b *liveBuilder) castOf(e Event) *liveCast {
	if b.open >= 0 {
		return &b.casts[b.open]
	}
	if len(b.casts) == 0 {
		return nil
	}
	last := &b.casts[len(b.casts)-1]
	fought := e.Kind == EventMissed || e.Kind == EventLost || e.Kind == EventFish
	if fought || last.out.Value.Equal(e.At) {
		return last
	}
	return nil
}

// biteRank orders what a true bite came to: a cast that had a bite, and then a
// fish, has a fish.
var biteRank = map[Outcome]int{MissedBite: 1, FishLost: 2, FishLanded: 3}

// bite notes a true bite. It is timed where its first sign is the bite or the
// strike: when a fish was lost or on the bank says nothing of when it bit.
func (c *liveCast) bite(e Event) {
	outcome := map[EventKind]Outcome{EventBite: MissedBite, EventMissed: MissedBite, EventLost: FishLost, EventFish: FishLanded}[e.Kind]
	inWater := !c.out.Known || !e.At.After(c.out.Value)
	if !c.record.Outcome.TrueBite() && outcome == MissedBite && inWater {
		c.record.BiteMin = Known(e.At.Sub(c.from()).Minutes())
	}
	if biteRank[outcome] > biteRank[c.record.Outcome] {
		c.record.Outcome = outcome
	}
	if outcome == FishLanded {
		c.record.Group, c.record.FishG = e.Group, e.FishG
	}
}
