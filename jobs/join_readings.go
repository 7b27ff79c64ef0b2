package jobs

import (
	"context"
	"sort"
	"time"

	"osier/model"
)

// readingsAhead is how much is read at once of the readings of a water. Our choice.
const readingsAhead = longestRun

// heldReadings are the thermometer readings of one water that may bear on its
// sessions, which come by start: those of the years that a line counts, and no
// more.
type heldReadings struct {
	store Weather
	water model.Water

	until  time.Time // what started or was read later has not been fetched yet
	posted []model.MeterReading
	own    map[string][]recordedReading // inside the records of each angler, by their start
}

// recordedReading is a reading inside a record.
type recordedReading struct {
	starts time.Time // the session
	model.MeterReading
}

func holdReadings(s Weather, w model.Water) *heldReadings {
	return &heldReadings{store: s, water: w, own: map[string][]recordedReading{}}
}

// upTo fetches what bears on a session that starts at an instant, and lets go of
// what bears on none from then on.
func (h *heldReadings) upTo(ctx context.Context, start time.Time) error {
	if !start.After(h.until) {
		return nil
	}
	first := start.Add(-lineBack - runIn - 2*week)
	from, to := first, start.Add(readingsAhead)
	if h.until.After(first) {
		from = h.until.Add(time.Second) // both ends of what was fetched are in it
	}
	posted, err := h.store.MeterReadings(ctx, h.water.ID, from, to)
	if err != nil {
		return err
	}
	sessions, err := h.store.SessionsWithReading(ctx, h.water.ID, from, to)
	if err != nil {
		return err
	}
	h.posted = append(later(h.posted, postedAt, first), posted...)
	for angler, readings := range h.own {
		h.own[angler] = later(readings, recordedAt, first)
	}
	for _, s := range sessions {
		if r := s.MeterReading(); r.Known {
			h.own[s.Angler] = append(h.own[s.Angler], recordedReading{s.Start, r.Value})
		}
	}
	h.until = to
	return nil
}

func postedAt(r model.MeterReading) time.Time { return r.At }
func recordedAt(r recordedReading) time.Time  { return r.starts }

// later are those of some readings, given by time, from an instant on.
func later[T any](readings []T, at func(T) time.Time, from time.Time) []T {
	return readings[sort.Search(len(readings), func(i int) bool { return !at(readings[i]).Before(from) }):]
}

// postedIn lists the readings posted that were taken from an instant on and
// before another; the list is the caller's own.
func (h *heldReadings) postedIn(from, before time.Time) []model.MeterReading {
	var out []model.MeterReading
	for _, r := range later(h.posted, postedAt, from) {
		if !r.At.Before(before) {
			break
		}
		out = append(out, r)
	}
	return out
}

// ownOf lists those inside an angler's own records that started from an instant
// on, as far as they were taken before another. It is what readingsOf adds for
// the angler.
func (h *heldReadings) ownOf(angler string, from, before time.Time) []model.MeterReading {
	var out []model.MeterReading
	for _, r := range later(h.own[angler], recordedAt, from) {
		if r.starts.After(before) {
			break
		}
		if r.At.Before(before) {
			out = append(out, r.MeterReading)
		}
	}
	return out
}
