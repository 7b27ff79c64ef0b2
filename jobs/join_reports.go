package jobs

import (
	"context"
	"slices"
	"sort"
	"time"

	"osier/model"
)

// heldBack is how long reports are held after they were asked for: as far as a
// session may look back, and the model of the water be spun up before that.
const heldBack = runIn + 2*week + spinUp

// readAhead is how much is read at once of the reports of a station. Our choice.
const readAhead = 8 * week

// heldReports is stored weather read for one water in order of time: what was
// read once is held for as long as it may be asked for again.
type heldReports struct {
	Weather
	now       time.Time
	near      []model.Station // in the one box that is asked for
	nearKnown bool
	issued    []model.Forecast // known now, for the one cell that is asked for
	told      bool
	lookedTo  time.Time // until when forecasts were looked for, and whether there were any
	any       bool
	stations  map[string]reportsOf // by StationKey
}

// reportsOf are all reports of one station from one instant to another, in order
// of time.
type reportsOf struct {
	from, to time.Time
	reports  []model.Observation
}

func holdReports(s Weather, now time.Time) *heldReports {
	return &heldReports{Weather: s, now: now, stations: map[string]reportsOf{}}
}

// StationsWithin is asked for one box again and again.
func (h *heldReports) StationsWithin(ctx context.Context, latLow, latHigh, lonLow, lonHigh float64) (_ []model.Station, err error) {
	if !h.nearKnown {
		h.near, err = h.Weather.StationsWithin(ctx, latLow, latHigh, lonLow, lonHigh)
		h.nearKnown = err == nil
	}
	return h.near, err
}

// Forecasts holds those of now; of another time they are asked for once.
func (h *heldReports) Forecasts(ctx context.Context, latDeg, lonDeg float64, at time.Time, limit int) (_ []model.Forecast, err error) {
	if !at.Equal(h.now) {
		return h.Weather.Forecasts(ctx, latDeg, lonDeg, at, limit)
	}
	if !h.told {
		h.issued, err = h.Weather.Forecasts(ctx, latDeg, lonDeg, at, limit)
		h.told = err == nil
	}
	return slices.Clone(h.issued), err
}

// foretold says whether any forecast may have been fetched by an instant. Where
// none had been long after it, as in years before the feeds were asked, sessions
// need not ask one by one.
func (h *heldReports) foretold(ctx context.Context, latDeg, lonDeg float64, by time.Time) (bool, error) {
	if by.After(h.lookedTo) {
		h.lookedTo = by.Add(readAhead)
		later, err := h.Weather.Forecasts(ctx, latDeg, lonDeg, h.lookedTo, 1)
		if err != nil {
			return false, err
		}
		h.any = len(later) > 0
	}
	return h.any, nil
}

// Observations reads what follows what is held, and gives out the part asked
// for. What lies before is read for once and not held.
func (h *heldReports) Observations(ctx context.Context, source, station string, from, to time.Time) ([]model.Observation, error) {
	key := model.StationKey(source, station)
	held, known := h.stations[key]
	from, to = from.Truncate(time.Second), to.Truncate(time.Second) // as the store counts
	switch {
	case known && from.Before(held.from):
		return h.Weather.Observations(ctx, source, station, from, to)
	case !known || from.After(held.to):
		held = reportsOf{from: from, to: from.Add(-time.Second)}
	}
	if to.After(held.to) {
		ahead := to
		if far := from.Add(readAhead); far.After(to) && far.Before(h.now) {
			ahead = far
		}
		more, err := h.Weather.Observations(ctx, source, station, held.to.Add(time.Second), ahead)
		if err != nil {
			return nil, err
		}
		if first := from.Add(-heldBack); first.After(held.from) {
			held.from, held.reports = first, held.reports[held.since(first):]
		}
		held.reports, held.to = append(held.reports, more...), ahead
		h.stations[key] = held
	}
	return slices.Clip(held.reports[held.since(from):held.since(to.Add(time.Second))]), nil
}

// since is where the reports from an instant on begin.
func (r reportsOf) since(at time.Time) int {
	return sort.Search(len(r.reports), func(i int) bool { return !r.reports[i].At.Before(at) })
}
