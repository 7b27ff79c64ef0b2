package model

import (
	"math"
	"time"
)

// Skew is how far a device's clock is behind, from when a batch was sent by it
// and received here; an error where it is missing or more than a week off. What
// the way took makes the clock seem further behind than it is, so of all batches
// of a session the least counts (ClockOf).
func Skew(sent, received time.Time) (time.Duration, error) {
	if sent.IsZero() {
		return 0, Invalidf("sent_at", "give the device's clock as it sends", "it is missing")
	}
	skew := received.Sub(sent)
	if skew > mostSkew || skew < -mostSkew {
		return 0, Invalidf("sent_at", "set the device's clock", "%s is more than a week off", sent.Format(time.RFC3339))
	}
	return skew, nil
}

// mostClockSetS is a century; a clock that lost its battery begins in 1970.
const mostClockSetS = 100 * 365.25 * 24 * 3600

// ValidateClockSet refuses what no clock was set by.
func ValidateClockSet(seconds float64) error {
	return Between("clock_set_s", seconds, -mostClockSetS, mostClockSetS, "s")
}

// clockSet is by how much the clock that told the event had been set since the
// device began to count.
func (e Event) clockSet() time.Duration {
	return time.Duration(math.Round(e.ClockSetS * float64(time.Second)))
}

// SkewOf is how far the clock that told an event is behind, where the clock that
// sent its batch is so far: between them it may have been set.
func (b EventBatch) SkewOf(e Event, sending time.Duration) time.Duration {
	return sending + Event{ClockSetS: b.ClockSetS}.clockSet() - e.clockSet()
}

// leastSkewUsed is how far off a clock must seem before times are put right by
// it: less cannot be told from what the way took, and would move every time of a
// session a little with every batch. Our choice.
const leastSkewUsed = 5 * time.Second

// DeviceClock is how a device's clock runs against ours.
type DeviceClock struct {
	behind time.Duration // one that was set by nearest is behind by this
	set    time.Duration
	least  time.Duration // one that was never set seems behind by this
}

// ClockOf is the best estimate of how far a device's clock is behind: the least
// that its batches showed, since the way only adds to it. A clock that was set
// while it logged is several, and of all that they showed each is known by how
// far it was set from the others. The one that was nearest to ours is behind by
// whole seconds, and by none below 5 s; the others differ from it as the device
// says. What a device did not see is not found out here (seenLate tells of it).
func ClockOf(events []LoggedEvent) DeviceClock {
	var c DeviceClock
	for i, e := range events {
		if never := e.Skew + e.clockSet(); i == 0 || never < c.least {
			c.least = never
		}
	}
	for i, e := range events {
		set := e.clockSet()
		off, best := (c.least - set).Abs(), (c.least - c.set).Abs()
		if i == 0 || off < best || off == best && set < c.set {
			c.set = set
		}
	}
	if c.behind = (c.least - c.set).Round(time.Second); (c.least - c.set).Abs() < leastSkewUsed {
		c.behind = 0
	}
	return c
}

// Behind is how far the clock that told an event is behind ours.
func (c DeviceClock) Behind(e Event) time.Duration { return c.behind + c.set - e.clockSet() }

// leastLate is how much later than the quickest batch another may arrive before
// it is doubted: a phone waits 20 s for an answer. Our choice.
const leastLate = 2 * time.Minute

// seenLate is by how much longer than the quickest batch another took, where
// that is more than any way takes.
func (c DeviceClock) seenLate(events []LoggedEvent) time.Duration {
	var most time.Duration
	for _, e := range events {
		most = max(most, e.Skew+e.clockSet()-c.least)
	}
	if most < leastLate {
		return 0
	}
	return most
}
