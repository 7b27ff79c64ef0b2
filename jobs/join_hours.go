package jobs

import (
	"context"
	"slices"
	"time"

	"osier/model"
)

// How many weeks are held laid out, and how many of them stay when there is no
// room for more: those that a session looks back on with its readings, and those
// that spin the water up to them. Our choice.
const (
	mostWeeks = 24
	weeksStay = 13
)

// laidOut is the weather at a water by the hour, week after week, each laid out
// once. What it gives out must not be changed, and holds until weeks had to make
// room: see moved.
type laidOut struct {
	store Weather
	water model.Water
	now   time.Time

	first    time.Time // the beginning of the first week held
	held     []model.WeatherHour
	reported []bool // of each week: whether a station or a reanalysis did
	moved    int    // how often the hours given out were written over
}

const hoursOfWeek = int(week / time.Hour)

// weekEnd is the end of the week that a time belongs to.
func weekEnd(t time.Time) time.Time { return t.UTC().Add(week - time.Nanosecond).Truncate(week) }

// hours are those from one instant to another, and whether any of their weeks was
// reported. Weeks from before those held are laid out for once.
func (l *laidOut) hours(ctx context.Context, from, to time.Time) (hours []model.WeatherHour, reported bool, err error) {
	begin, end := weekEnd(from).Add(-week), weekEnd(to)
	in := l
	switch {
	case len(l.reported) > 0 && begin.Before(l.first):
		in = &laidOut{store: l.store, water: l.water, now: l.now, first: begin}
	case len(l.reported) == 0 || begin.After(l.until()):
		l.first, l.held, l.reported = begin, l.held[:0], l.reported[:0]
		l.moved++
	}
	for in.until().Before(end) {
		if err := in.add(ctx, begin); err != nil {
			return nil, false, err
		}
	}
	zero := in.first.Add(time.Hour)
	i, j := int(from.Sub(zero)/time.Hour), int(to.Sub(zero)/time.Hour)
	if zero.Add(time.Duration(i) * time.Hour).Before(from) {
		i++
	}
	weeks := in.reported[begin.Sub(in.first)/week : end.Sub(in.first)/week]
	return slices.Clip(in.held[i : j+1]), slices.Contains(weeks, true), nil
}

// until is the end of the last week held.
func (l *laidOut) until() time.Time { return l.first.Add(time.Duration(len(l.reported)) * week) }

// add lays out the week after the last. Where too many are held the earliest make
// room, but none from begin on.
func (l *laidOut) add(ctx context.Context, begin time.Time) error {
	if gone := min(len(l.reported)-weeksStay, int(begin.Sub(l.first)/week)); len(l.reported) >= mostWeeks && gone > 0 {
		l.held, l.reported = slices.Delete(l.held, 0, gone*hoursOfWeek), slices.Delete(l.reported, 0, gone)
		l.first = l.first.Add(time.Duration(gone) * week)
		l.moved++
	}
	if l.held == nil {
		l.held = make([]model.WeatherHour, 0, mostWeeks*hoursOfWeek)
	}
	hours, reported, err := addWeek(ctx, l.store, l.water, l.held, l.until().Add(week), l.now)
	if err != nil {
		return err
	}
	l.held, l.reported = hours, append(l.reported, reported)
	return nil
}
