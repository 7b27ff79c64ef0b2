package model

import (
	"cmp"
	"slices"
)

// InForce are the events that hold, by when they happened, with when each was
// written down; both are put right by the clock that told them. An event gives way to the one
// that replaces it, of several to the one written last; a withdrawal leaves
// nothing in its place, and one that is itself withdrawn is as if it had never
// been. An event that replaces one that has not come yet stands in its place
// already. The order in which they came changes nothing; identifiers are unique,
// as the store keeps them.
func InForce(logged []LoggedEvent) []Event {
	c := correctionsOf(logged)
	var standing []*Event
	for _, place := range c.places() {
		e := c.standing(place)
		if e == nil || e.Kind == EventWithdraw {
			continue
		}
		standing = append(standing, e)
	}
	slices.SortFunc(standing, func(a, b *Event) int {
		return cmp.Or(a.At.Compare(b.At), slices.Index(eventKinds, a.Kind)-slices.Index(eventKinds, b.Kind), cmp.Compare(a.ID, b.ID))
	})
	out := make([]Event, len(standing))
	for i, e := range standing {
		out[i] = *e
	}
	return out
}

// corrections are events by their names, and what replaces each, the one written
// last first.
type corrections struct {
	byID      map[string]*Event
	replacing map[string][]*Event
}

// correctionsOf works on copies, whose times are put right: which of two was
// written last cannot be told by a clock that was set between them.
func correctionsOf(logged []LoggedEvent) corrections {
	c := corrections{byID: make(map[string]*Event, len(logged)), replacing: map[string][]*Event{}}
	copies, clock := make([]Event, len(logged)), ClockOf(logged)
	for i := range logged {
		e := logged[i].Event
		behind := clock.Behind(e)
		e.At, e.MadeAt = e.At.Add(behind), Known(e.written().Add(behind))
		copies[i] = e
		c.byID[copies[i].ID] = &copies[i]
	}
	c.cutCircles()
	for _, e := range c.byID {
		if e.Replaces != "" {
			c.replacing[e.Replaces] = append(c.replacing[e.Replaces], e)
		}
	}
	for _, rivals := range c.replacing {
		slices.SortFunc(rivals, func(a, b *Event) int {
			return cmp.Or(b.written().Compare(a.written()), cmp.Compare(b.ID, a.ID))
		})
	}
	return c
}

// cutCircles lets events that replace each other in a circle begin with the one
// of the least name: no device makes such, and any answer does as long as it is
// always the same.
func (c corrections) cutCircles() {
	walkOf := map[string]int{}
	walk := 0
	for id := range c.byID {
		walk++
		at := id
		for c.corrects(at) != "" && walkOf[at] == 0 {
			walkOf[at] = walk
			at = c.corrects(at)
		}
		if walkOf[at] == walk {
			c.byID[c.leastInCircle(at)].Replaces = ""
		}
	}
}

// corrects is the name of what an event replaces; empty for none, and for one
// that has not come.
func (c corrections) corrects(id string) string {
	if e := c.byID[id]; e != nil {
		return e.Replaces
	}
	return ""
}

func (c corrections) leastInCircle(id string) string {
	least := id
	for at := c.corrects(id); at != id; at = c.corrects(at) {
		least = min(least, at)
	}
	return least
}

// places are the names under which something may stand: of events that replace
// none, and of those that are replaced and have not come.
func (c corrections) places() []string {
	var places []string
	for id, e := range c.byID {
		if e.Replaces == "" {
			places = append(places, id)
		}
	}
	for id := range c.replacing {
		if c.byID[id] == nil {
			places = append(places, id)
		}
	}
	return places
}

// standing finds what stands in the place of an event; nil where it was taken
// back, or has not come and nothing replaces it.
func (c corrections) standing(id string) *Event {
	for _, r := range c.replacing[id] {
		e := c.standing(r.ID)
		switch {
		case e == nil: // it was itself taken back
		case e.Kind == EventWithdraw:
			return nil
		default:
			return e
		}
	}
	return c.byID[id]
}
