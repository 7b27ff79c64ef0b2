package model

import "time"

// Skew is how far a device's clock is behind, from when a batch was sent by it
// and received here; an error where it is missing or more than a week off. What
// the way took makes the clock seem further behind than it is, so of all batches
// of a session the least counts (LeastSkew).
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

// leastSkewUsed is how far off a clock must seem before times are put right by
// it: less cannot be told from what the way took, and would move every time of a
// session a little with every batch. Our choice.
const leastSkewUsed = 5 * time.Second

// LeastSkew is the best estimate of how far a device's clock is behind: the
// least that its batches showed, since the way only adds to it; in whole seconds,
// and none below 5 s. A clock that was set during the session is not found out.
func LeastSkew(events []LoggedEvent) time.Duration {
	var least time.Duration
	for i, e := range events {
		if i == 0 || e.Skew < least {
			least = e.Skew
		}
	}
	if least.Abs() < leastSkewUsed {
		return 0
	}
	return least.Round(time.Second)
}
