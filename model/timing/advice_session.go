package timing

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Event is something that happened at a minute of the session.
type Event struct {
	AtMin float64
	Kind  EventKind
}

// EventKind is what happened. Events of the same minute count in this order,
// whatever order they come in: what is changed between two casts goes with the
// second, and a bite in the minute of a cast came on the drop.
type EventKind int

// The kinds. A pause lasts until the next event of another minute. A missed
// bite and a fish are true bites, with or without a Bite before them.
const (
	EventPause EventKind = iota
	EventLineChanged
	EventFeedRaised
	EventFeedLowered
	EventOtherChange // of hook bait, hook length, soak or feeder
	EventCast
	EventSettled
	EventLineBite
	EventBite
	EventMissed
	EventFish
)

// lineCast is one cast on the line fished now. Its times are on the clock of minutes
// fished, which stops in a pause and starts with the line's first cast.
type lineCast struct {
	fromMin                      float64 // settled, else cast in
	outMin                       float64 // wound in, as far as the next cast tells
	biteMin                      float64 // of the first true bite
	strikes, outcomes, lineBites int
	finished                     bool // another cast followed
}

// trueBites counts a strike and what came of it once.
func (c lineCast) trueBites() int { return max(c.strikes, c.outcomes) }

// over is whether the cast has told what it had to tell.
func (c lineCast) over() bool { return c.finished || c.trueBites() > 0 }

// session is what the events say of the line fished now.
type session struct {
	casts     []lineCast
	fishedMin float64
	bites     int
	lineBites int
	fresh     Belief // before this line's first cast
	now       Belief

	changed         bool // anything, at any time
	changedAtCast   int  // casts on this line before the last change
	feedChangedCast int  // the same of the last change of feed
	raised          bool // the last change of feed was a raise, on this line
	raisedMin       float64
}

// castsSinceChange counts the casts that have told something since.
func (s session) castsSinceChange() int { return over(s.casts[s.changedAtCast:]) }

func over(casts []lineCast) int {
	n := 0
	for _, c := range casts {
		if c.over() {
			n++
		}
	}
	return n
}

// readSession plays the events up to now in order.
func readSession(in AdviceInput) (session, error) {
	events := make([]Event, 0, len(in.Events))
	for i, e := range in.Events {
		if !(e.AtMin >= 0) || math.IsInf(e.AtMin, 1) || e.Kind < EventPause || e.Kind > EventFish {
			return session{}, fmt.Errorf("event %d is of kind %d at minute %g; the kind must be from %d to %d, the minute 0 or more", i+1, e.Kind, e.AtMin, EventPause, EventFish)
		}
		if e.AtMin <= in.NowMin {
			events = append(events, e)
		}
	}
	slices.SortFunc(events, func(a, b Event) int {
		return cmp.Or(cmp.Compare(a.AtMin, b.AtMin), cmp.Compare(a.Kind, b.Kind))
	})
	s := session{fresh: in.Plan}
	paused, lastMin := false, 0.0
	for _, e := range events {
		if e.AtMin > lastMin {
			s.pass(e.AtMin-lastMin, paused)
			paused, lastMin = false, e.AtMin
		}
		if e.Kind == EventPause {
			paused = true
			continue
		}
		if err := s.play(e.Kind, in); err != nil {
			return session{}, err
		}
	}
	s.pass(in.NowMin-lastMin, paused)
	return s, s.weigh()
}

// pass lets time go by; it counts from the line's first cast on.
func (s *session) pass(minutes float64, paused bool) {
	if len(s.casts) > 0 && !paused {
		s.fishedMin += minutes
	}
}

func (s *session) play(kind EventKind, in AdviceInput) error {
	switch kind {
	case EventLineChanged:
		return s.changeLine(in)
	case EventFeedRaised, EventFeedLowered:
		s.change()
		s.feedChangedCast = len(s.casts)
		s.raised, s.raisedMin = kind == EventFeedRaised, s.fishedMin
	case EventOtherChange:
		s.change()
	case EventCast:
		if n := len(s.casts); n > 0 {
			last := &s.casts[n-1]
			last.finished = true
			last.outMin = max(last.fromMin, s.fishedMin-in.HandlingMin)
		}
		s.casts = append(s.casts, lineCast{fromMin: s.fishedMin})
	default:
		s.happen(kind)
	}
	return nil
}

func (s *session) change() { s.changed, s.changedAtCast = true, len(s.casts) }

// happen notes what happened on the cast in the water; before the first cast
// there is nothing to note it on.
func (s *session) happen(kind EventKind) {
	if len(s.casts) == 0 {
		return
	}
	c := &s.casts[len(s.casts)-1]
	if kind > EventLineBite && c.trueBites() == 0 {
		c.biteMin = s.fishedMin
	}
	switch kind {
	case EventSettled:
		if c.trueBites() == 0 && c.lineBites == 0 {
			c.fromMin = s.fishedMin
		}
	case EventLineBite:
		c.lineBites++
	case EventBite:
		c.strikes++
	case EventMissed, EventFish:
		c.outcomes++
	}
}

// changeLine starts anew on another line: the evidence of the old one stays
// behind, but for what it says of the day.
func (s *session) changeLine(in AdviceInput) error {
	if err := s.weigh(); err != nil {
		return err
	}
	fresh, ok := s.nextLine(in.Plan)
	if !ok {
		return fmt.Errorf("a fresh line after one with %d bites in %g minutes has no rate that can be computed with", s.bites, s.fishedMin)
	}
	*s = session{fresh: fresh, changed: true}
	return nil
}

// nextLine is what is believed of another line before its first cast: the plan,
// its mean multiplied by the square root of what this line gives against it.
func (s session) nextLine(plan Belief) (Belief, bool) {
	carry := math.Pow(s.now.MeanH()/plan.MeanH(), MoveCarryOver)
	rate, err := NewRate(plan.Rate.Shape, plan.Rate.Hours/carry)
	return Belief{Feeding: plan.Feeding, Rate: rate}, err == nil
}

// weigh counts the bites and works out what they teach.
func (s *session) weigh() (err error) {
	s.bites, s.lineBites = 0, 0
	for _, c := range s.casts {
		s.bites += c.trueBites()
		s.lineBites += c.lineBites
	}
	s.now, err = s.fresh.After(s.bites, s.fishedMin/60, FalseBitesH)
	return err
}
