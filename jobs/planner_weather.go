package jobs

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"osier/model"
	"osier/model/plan"
)

// layoutOf is what the weather at a water is laid out for, once for all questions
// about the hours up to the end of a day.
type layoutOf struct {
	water    string
	angler   string // whose own readings may count; none where they have none here
	readings string // those that may correct it, by name
	begin    int64  // Unix time of the state that the water goes on from
	until    int64
}

// layout is weather at a water laid out by the hour, with the water it makes. It
// holds for any time at which the same stations, reports and forecasts would be
// chosen: then only their ages differ.
type layout struct {
	standing
	all    loaded
	shared *plan.Shared // nil where there is no state that it could go on from

	mu    sync.Mutex
	parts map[int]loaded // by how many of its hours
}

// recordsInHour is what one hour of a layout counts for.
const recordsInHour = 3

// futureAhead is how far ahead hours must reach for what is known of them not to
// depend on where they end: no report and no reading is of the time after now. Our
// choice, on the safe side.
const futureAhead = 2 * time.Hour

// weather is that of loadWeather, at the same time and to the bit.
func (h *heldReads) weather(ctx context.Context, w model.Water, angler string, from, to, now time.Time) (loaded, error) {
	if to.Before(now.Add(futureAhead)) {
		return loadWeather(ctx, h, w, angler, from, to, now)
	}
	readings, err := readingsOf(ctx, h, w, angler, from.Add(-runIn), to, now)
	if err != nil {
		return loaded{}, fmt.Errorf("readings at %s: %w", w.ID, err)
	}
	begin, until := beginning(from, readings), to.UTC().Truncate(24*time.Hour).Add(24*time.Hour)
	key := layoutOf{water: w.ID, readings: namesOf(readings), begin: begin.Unix(), until: until.Unix()}
	recorded, err := h.allWithReading(ctx, w.ID)
	if err != nil {
		return loaded{}, err
	}
	if recorded.of[angler] {
		key.angler = angler
	}
	made, err := h.laid.getWhere(h.room, key, func(l *layout) bool { return l.holds(now) }, func() (*layout, int, error) {
		l, err := layOut(ctx, h, w, angler, begin, readings, from, until, now)
		return l, 1 + recordsInHour*len(l.all.hours), err
	})
	if err != nil || made.shared == nil {
		return loadWeather(ctx, h, w, angler, from, to, now)
	}
	return made.until(to, now)
}

// layOut lays the weather out from where the water stood at the end of a week.
func layOut(ctx context.Context, s Weather, w model.Water, angler string, begin time.Time, readings []model.MeterReading, from, to, now time.Time) (*layout, error) {
	watched := newWatch(s, now)
	l := &layout{parts: map[int]loaded{}}
	line, err := lineBefore(ctx, watched, w, angler, begin, now)
	if err != nil {
		return l, err
	}
	all, err := weatherFrom(ctx, watched, w, begin, line, readings, from, to, now)
	if l.standing = watched.standing; err != nil || !all.before.State.Known {
		return l, err
	}
	l.all = all
	l.shared, err = plan.Share(all.history, watched.forecasts)
	return l, err
}

// until is its part up to an instant.
func (l *layout) until(to, now time.Time) (loaded, error) {
	history, hours := l.shared.Until(to, now)
	l.mu.Lock()
	defer l.mu.Unlock()
	part, known := l.parts[hours]
	if !known {
		var err error
		part = l.all
		part.hours = part.hours[:hours:hours]
		if part, err = part.named(); err != nil {
			return part, err
		}
		part.credits = slices.Clip(part.credits) // to which every answer adds its own
		l.parts[hours] = part
	}
	part.history = history
	return part, nil
}

// namesOf lists readings by name.
func namesOf(readings []model.MeterReading) string {
	var names strings.Builder
	for i := range readings {
		names.WriteString(readings[i].ID)
		names.WriteByte('\n')
	}
	return names.String()
}
