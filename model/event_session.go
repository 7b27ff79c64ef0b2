package model

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Live is a session as its events tell it, before or after its end.
type Live struct {
	// Session is what they tell in the shape of a record. It is complete with the
	// end: before it the session runs to the last event, and has no totals.
	Session Session   `json:"record"`
	Ended   bool      `json:"ended"`
	Open    *OpenCast `json:"open_cast"` // the cast in the water, if any
	// Soaks are the casts in their order, the one in the water last.
	Soaks []Soak `json:"soaks"`
	// Changed is when clip, feeder or hook were last changed.
	Changed Maybe[time.Time] `json:"changed_at"`
	// PausedAt is since when nobody fishes; not known while somebody does.
	PausedAt Maybe[time.Time] `json:"paused_at"`
	Demo     bool             `json:"demo"`
}

// OpenCast is a cast that is still in the water.
type OpenCast struct {
	Cast    time.Time        `json:"cast_at"`
	Settled Maybe[time.Time] `json:"settled_at"`
	Bitten  bool             `json:"bitten"` // a true bite came already
}

// Soak is one cast as the timing model reads it, in minutes from when the feeder
// settled, or flew where nobody said.
type Soak struct {
	From time.Time `json:"from"`
	// Min is to the wind-in, or to the last event while it is in the water; 0
	// where a bite came that nobody timed, so that the cast says nothing of
	// waiting.
	Min     float64        `json:"min"`
	BiteMin Maybe[float64] `json:"bite_min"` // the first true bite
	Open    bool           `json:"open"`
}

// BuildLive rebuilds a session from its events in force, by when they happened.
// What contradicts is left out and queried: nothing is lost in silence. It is an
// error where there is no start or no cast yet.
func BuildLive(id string, logged []LoggedEvent) (Live, error) {
	b := liveBuilder{open: -1}
	b.out.Session = Session{ID: id, Style: FullLog, Rods: 1}
	events := InForce(logged)
	for _, e := range events {
		b.take(e)
	}
	if b.start == nil {
		return Live{}, Invalidf("events", "send an event of kind start, with water, angler and group", "session %s has no start", id)
	}
	if len(b.casts) == 0 {
		return Live{}, Invalidf("events", "send an event of kind cast when the first cast is made", "session %s has no cast yet", id)
	}
	b.finish(events[len(events)-1].At)
	clock := ClockOf(logged)
	b.tellClock(events, clock)
	b.tellLate(clock.seenLate(logged))
	if !b.out.Ended {
		return b.out, nil
	}
	var err error
	if b.out.Session, err = b.out.Session.withTotals(); err != nil {
		return Live{}, fmt.Errorf("add up the casts of session %s: %w", id, err)
	}
	return b.out, nil
}

// finish makes the record: the session runs from the first cast to the end, or
// to the last event while it goes on.
func (b *liveBuilder) finish(last time.Time) {
	s := &b.out.Session
	b.out.Ended = b.ended.Known
	s.Start, s.End = b.casts[0].cast, b.ended.Or(last)
	if b.open >= 0 {
		c := b.casts[b.open]
		b.out.Open = &OpenCast{Cast: c.cast, Settled: c.settled, Bitten: c.record.Outcome.TrueBite()}
	}
	for _, c := range b.casts {
		b.close(c)
	}
	s.BreaksMin, s.LineBites = b.pause.Minutes(), Known(b.liners)
	if b.fills > 0 { // who logs casts alone has not said that nothing was fed
		s.FeedUsed.Fills = Known(b.fills)
	}
	s.WrittenAt = Known(b.writtenAt())
}

// close puts a cast into the record. One that was wound in as it was thrown has
// no place there, and is told.
func (b *liveBuilder) close(c liveCast) {
	s := &b.out.Session
	out := c.out.Or(s.End)
	if c.liner && !c.record.Outcome.TrueBite() {
		c.record.Outcome = LineBite
	}
	c.record.In, c.record.Out = c.from(), out
	soak := Soak{From: c.from(), Min: out.Sub(c.from()).Minutes(), BiteMin: c.record.BiteMin, Open: !c.out.Known}
	if c.record.Outcome.TrueBite() && !c.record.BiteMin.Known {
		soak.Min = 0
	}
	b.out.Soaks = append(b.out.Soaks, soak)
	switch {
	case out.After(c.record.In):
		s.Casts = append(s.Casts, c.record)
	case !soak.Open:
		b.ask("the cast at %s was wound in as it settled, and is left out with whatever came of it", timeOfDay(c.cast))
	}
}

// writtenAt is when the session was written down: as long after its end as half
// of the casts were written after they were made, or later. So a slip mended next
// day does not make a log kept at the water one from memory; our choice. Nothing
// was written after the last event that was.
func (b *liveBuilder) writtenAt() time.Time {
	lags := make([]time.Duration, 0, len(b.casts))
	for _, c := range b.casts {
		lags = append(lags, c.lag)
	}
	slices.Sort(lags)
	end := b.out.Session.End
	written := end.Add(max(0, lags[len(lags)/2]))
	if written.After(b.written) {
		written = b.written
	}
	if written.Before(end) {
		return end
	}
	return written
}

// leastSkewTold is how far a clock may be off before it is said; our choice.
const leastSkewTold = time.Minute

// tellClock says how far off the clock was, and where it was set.
func (b *liveBuilder) tellClock(events []Event, clock DeviceClock) {
	first := clock.Behind(events[0])
	off := []string{clockWords(first)}
	for _, e := range events {
		if now := clock.Behind(e); (now - first).Abs() >= leastSkewTold {
			off = append(off, clockWords(now))
			first = now
		}
	}
	switch {
	case len(off) > 1:
		b.ask("the device's clock was set while it logged (%s), and every time is put right by the clock that told it", strings.Join(off, ", then "))
	case first.Abs() >= leastSkewTold:
		b.ask("the device's clock was %s, and every time is put right by it", off[0])
	}
}

func clockWords(behind time.Duration) string {
	switch {
	case behind >= leastSkewTold:
		return fmt.Sprintf("%.0f min behind", behind.Minutes())
	case behind <= -leastSkewTold:
		return fmt.Sprintf("%.0f min ahead", -behind.Minutes())
	}
	return "right"
}

// tellLate says that a clock may have been set where the device did not see it.
func (b *liveBuilder) tellLate(late time.Duration) {
	if late > 0 {
		b.ask("what the device sent came up to %.0f min later than its clock says: it lay about on the way, or the clock was set unseen, and then times are off by up to so much", late.Minutes())
	}
}

// ask raises a doubt about what the events tell.
func (b *liveBuilder) ask(format string, args ...any) {
	b.out.Session.Queries = append(b.out.Session.Queries, Query{Field: "events", Text: fmt.Sprintf(format, args...)})
}

func timeOfDay(t time.Time) string { return t.Format(time.TimeOnly) }
