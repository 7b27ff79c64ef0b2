package jobs

import (
	"context"
	"time"

	"osier/model"
)

// watch is weather that is read at one time, and notes between which times the
// same would have been read and made of it but for its age. All that the time of
// reading decides turns at
//
//   - a whole hour, by the clock in UTC: which hours and days are over;
//   - the instant of a report, and any number of whole hours after it: which
//     reports there are, and how stations are ranked by those of two days;
//   - the instant at which a forecast was fetched, or last stood by, and
//     forecastStands after that: which forecasts there are, and their order;
//   - the instant of a reading.
type watch struct {
	Weather
	standing
	forecasts []model.Forecast // that were read
}

// standing is the time between two turns.
type standing struct{ now, after, before time.Time }

func newWatch(s Weather, now time.Time) *watch {
	w := &watch{Weather: s, standing: standing{now: now, after: now.Add(-time.Hour), before: now.Add(time.Hour)}}
	w.hourly(now.Truncate(time.Hour))
	return w
}

// holds says whether what was read is what would be read at another time.
func (s standing) holds(at time.Time) bool {
	return at.Equal(s.now) || at.After(s.after) && at.Before(s.before)
}

// turns notes an instant at which something changes.
func (s *standing) turns(at time.Time) {
	switch {
	case at.After(s.now):
		if at.Before(s.before) {
			s.before = at
		}
	case at.After(s.after):
		s.after = at
	}
}

// hourly notes an instant and all that lie whole hours from it.
func (s *standing) hourly(at time.Time) {
	since := s.now.Sub(at) % time.Hour
	if since < 0 {
		since += time.Hour
	}
	s.turns(s.now.Add(-since))
	s.turns(s.now.Add(time.Hour - since))
}

// Observations are read an hour further than asked, for those that are of a time
// to come.
func (w *watch) Observations(ctx context.Context, source, station string, from, to time.Time) ([]model.Observation, error) {
	all, err := w.Weather.Observations(ctx, source, station, from, to.Add(time.Hour))
	for i := range all {
		if all[i].At.After(w.now.Add(-model.Lately - time.Hour)) {
			w.hourly(all[i].At)
		}
	}
	return within(all, func(o *model.Observation) time.Time { return o.At }, from, to), err
}

// Forecasts are those of an hour later, where none of them came in between.
func (w *watch) Forecasts(ctx context.Context, latDeg, lonDeg float64, at time.Time, limit int) ([]model.Forecast, error) {
	all, err := w.Weather.Forecasts(ctx, latDeg, lonDeg, at.Add(time.Hour), limit)
	if err != nil {
		return nil, err
	}
	between := false
	for _, f := range all {
		between = between || f.FetchedAt.After(at) || f.ConfirmedAt.After(at)
		for _, turn := range []time.Time{f.FetchedAt, f.ConfirmedAt, f.ConfirmedAt.Add(forecastStands)} {
			w.turns(turn)
		}
	}
	if between {
		if all, err = w.Weather.Forecasts(ctx, latDeg, lonDeg, at, limit); err != nil {
			return nil, err
		}
		for _, f := range all {
			w.turns(f.ConfirmedAt.Add(forecastStands))
		}
	}
	w.forecasts = append(w.forecasts, all...)
	return all, nil
}

// MeterReadings are read an hour further than asked too.
func (w *watch) MeterReadings(ctx context.Context, water string, from, to time.Time) ([]model.MeterReading, error) {
	all, err := w.Weather.MeterReadings(ctx, water, from, to.Add(time.Hour))
	for i := range all {
		w.turns(all[i].At)
	}
	return within(all, func(r *model.MeterReading) time.Time { return r.At }, from, to), err
}

// SessionsWithReading are read an hour further than asked too.
func (w *watch) SessionsWithReading(ctx context.Context, water string, from, to time.Time) ([]model.Session, error) {
	all, err := w.Weather.SessionsWithReading(ctx, water, from, to.Add(time.Hour))
	for i := range all {
		w.turns(all[i].Start)
		if r := all[i].MeterReading(); r.Known {
			w.turns(r.Value.At)
		}
	}
	return within(all, started, from, to), err
}
