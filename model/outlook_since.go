package model

import (
	"fmt"
	"slices"
	"time"
)

// since says in a sentence what this water's part of an outlook does not tell of
// a restriction: that it was made since, or was lifted since.
func (w OutlookWater) since(r Restriction) (text string, is bool) {
	if len(w.Days) == 0 {
		return "", false
	}
	from, until := w.Days[0].From, w.Days[len(w.Days)-1].Until
	known := slices.IndexFunc(w.Restrictions, func(told Restriction) bool { return told.ID == r.ID })
	_, _, holds := r.Within(from, until)
	switch {
	case known < 0 && holds:
		return w.madeSince(r), true
	case known >= 0 && r.LiftedAt.Known && !w.Restrictions[known].LiftedAt.Known && r.LiftedAt.Value.Before(until):
		return fmt.Sprintf("A restriction that this outlook names at %s (%s) was lifted on %s: %s. Decided by %s.",
			w.Name, r.What(), w.clock(r.LiftedAt.Value), r.LiftedWhy, r.LiftedBy), true
	}
	return "", false
}

func (w OutlookWater) madeSince(r Restriction) string {
	end := "until it is lifted"
	switch {
	case r.LiftedAt.Known:
		end = "until it was lifted on " + w.clock(r.LiftedAt.Value)
	case r.Until.Known:
		end = "until " + w.clock(r.Until.Value)
	}
	return fmt.Sprintf("%s: %s from %s %s: %s. Decided by %s, after this outlook was published.", w.Name, r.What(), w.clock(r.From), end, r.Reason, r.DecidedBy)
}

// clock is an instant by the clock at the water.
func (w OutlookWater) clock(t time.Time) string {
	zone, err := time.LoadLocation(w.Zone)
	if err != nil {
		zone = time.UTC
	}
	return t.In(zone).Format("Monday 2 January 2006, 15:04 MST")
}

// What is what a restriction asks, in a few words.
func (r Restriction) What() string {
	switch r.Kind {
	case WaterClosed:
		return "closed"
	case NoKeepnets:
		return "no keepnets"
	case FeedLimit:
		return fmt.Sprintf("at most %g g of dry feed a day", float64(r.FeedLimitDryG.Value))
	}
	return string(r.Kind)
}
