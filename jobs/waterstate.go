package jobs

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"osier/model"
	"osier/model/plan"
	"osier/model/water"
)

// How the model of a water is taken up where it stood; all our choice but the
// first. Every run is spun up to the end of some week and goes on from there, so
// that it gives the same figures whether that state was stored or is made anew.
const (
	// spinUp leaves eight days for weather to be missing before the twenty that
	// remove the guess at the start (reference pack, water-and-fish 2.1).
	spinUp = 28 * 24 * time.Hour
	// week is how far apart the states lie; weeks begin on Monday, 00:00 UTC.
	week = 7 * 24 * time.Hour
	// leastBack is how much weather before the hours asked for is wanted by the
	// hour: the cautions look back eight days and three hours, and the pressure
	// of those hours a day and two hours more.
	leastBack = 10 * 24 * time.Hour
	// settledAfter is how old a state is before it is stored: late reports are in by
	// then, and no forecast stands where one may still come.
	settledAfter = 3 * 24 * time.Hour
	// keptBack is how far back states are made that no reading asks for: as far
	// as an answer with readings begins.
	keptBack = runIn + week
	// lineBack is how far back readings count for a water's line: what silts up
	// or grows over in longer is another water.
	lineBack = 3 * 365 * 24 * time.Hour
)

// kept is what is stored of a run.
type kept struct {
	plan.SpunUp
	Credits []string `json:"credits"` // that the licences of its weather ask for
}

// stateAt is where the model of a water stood at the end of a week: as stored,
// or spun up to it. It is false where the weather is too short for that.
func stateAt(ctx context.Context, s Weather, w model.Water, at, now time.Time) (kept, bool, error) {
	if !at.Add(settledAfter).After(now) {
		stored, err := storedStates(ctx, s, w, at, at)
		if err != nil {
			return kept{}, false, err
		}
		if len(stored) > 0 {
			return stored[0], true, nil
		}
	}
	up, hours, ok, err := spunUp(ctx, s, w, at, now)
	return kept{up, credits(hours)}, ok, err
}

func storedStates(ctx context.Context, s Weather, w model.Water, from, to time.Time) ([]kept, error) {
	bodies, err := s.WaterStates(ctx, w.ID, from, to)
	if err != nil {
		return nil, err
	}
	out := make([]kept, len(bodies))
	for i, body := range bodies {
		if err := json.Unmarshal(body, &out[i]); err != nil {
			return nil, fmt.Errorf("read a stored state of %s: %w", w.ID, err)
		}
	}
	return out, nil
}

// spunUp runs the model to the end of a week, and gives the weather that it ran
// through. It is false where that is too short.
func spunUp(ctx context.Context, s Weather, w model.Water, at, now time.Time) (up plan.SpunUp, hours []model.WeatherHour, ok bool, err error) {
	reported := false
	for end := at.Add(week - spinUp); !end.After(at); end = end.Add(week) {
		var by bool
		if hours, by, err = addWeek(ctx, s, w, hours, end, now); err != nil {
			return up, nil, false, err
		}
		reported = reported || by
	}
	up, ok, err = spin(w, hours, reported, now)
	return up, hours, ok, err
}

// spin runs the model through some weeks, of which it must be known whether any
// was reported: forecasts alone spin nothing up.
func spin(w model.Water, hours []model.WeatherHour, reported bool, now time.Time) (plan.SpunUp, bool, error) {
	if !reported {
		return plan.SpunUp{}, false, nil
	}
	return plan.SpinUp(w, hours, now)
}

// addWeek adds the week that ends at an instant to the hours before it, the last
// of its own at its end, and says whether a station or a reanalysis reported in it.
// It is made from the stations that served in that week and from nothing else, so
// that it is the same whatever it is read for.
func addWeek(ctx context.Context, s Weather, w model.Water, hours []model.WeatherHour, end, now time.Time) (_ []model.WeatherHour, reported bool, err error) {
	sources, err := readSources(ctx, s, w, end.Add(-week), end, now)
	if err != nil {
		return hours, false, fmt.Errorf("weather at %s: %w", w.ID, err)
	}
	return model.AppendWeather(hours, sources, end.Add(time.Hour-week), end, now), len(sources.Near) > 0 || len(sources.Reanalysis) > 0, nil
}

// observed says whether nothing of some weather that the water rests on was
// forecast: what does is not stored.
func observed(hours []model.WeatherHour) bool {
	for i := range hours {
		h := &hours[i]
		for _, r := range []*model.Reading{&h.AirC, &h.DewC, &h.RHPct, &h.WindMps, &h.Cloud} {
			if r.From.Kind == model.Forecasted {
				return false
			}
		}
	}
	return true
}

// beginning is the end of the week from which an answer runs: early enough for
// what looks back from the hours asked for, and for the readings that correct
// them.
func beginning(from time.Time, readings []model.MeterReading) time.Time {
	first := from.Add(-leastBack)
	for _, r := range readings {
		if r.Calibrates() && r.At.Add(-time.Hour).Before(first) {
			first = r.At.Add(-time.Hour)
		}
	}
	return first.UTC().Truncate(week)
}

// lineBefore is what the readings of years before an instant, as far as the
// angler may see them, say of the water.
// It is asked for at the beginning of a run, so that no reading counts in the
// line and in the offset as well.
func lineBefore(ctx context.Context, s Weather, w model.Water, angler string, at, now time.Time) (water.Line, error) {
	readings, err := readingsOf(ctx, s, w, angler, at.Add(-lineBack), at, now)
	if err != nil {
		return water.Line{}, err
	}
	if readings = calibrating(readings); len(readings) < water.LineReadings {
		return water.Line{}, nil
	}
	states, err := storedStates(ctx, s, w, at.Add(-lineBack), at)
	if err != nil {
		return water.Line{}, err
	}
	weeks := map[time.Time]kept{}
	for _, k := range states {
		weeks[k.State.At.UTC()] = k
	}
	return lineOf(w, readings, func(end time.Time) (plan.SpunUp, bool, error) {
		state, ok := weeks[end]
		return state.SpunUp, ok, nil
	})
}

// calibrating are those of some readings that correct the model.
func calibrating(readings []model.MeterReading) []model.MeterReading {
	return slices.DeleteFunc(slices.Clone(readings), func(r model.MeterReading) bool { return !r.Calibrates() })
}

// lineOf holds readings against where the model stood in their weeks, as far as
// that is known, and makes the line of them.
func lineOf(w model.Water, readings []model.MeterReading, stood func(weekEnd time.Time) (plan.SpunUp, bool, error)) (water.Line, error) {
	var pairs []water.Pair
	for _, r := range readings {
		state, ok, err := stood(weekOf(r))
		if err != nil {
			return water.Line{}, err
		}
		if p, paired := state.Pair(w, r); ok && paired {
			pairs = append(pairs, p)
		}
	}
	line, _, err := water.FitLine(pairs)
	return line, err
}

// weekOf is the end of the week that the hour nearest to a reading belongs to.
func weekOf(r model.MeterReading) time.Time {
	return r.At.UTC().Round(time.Hour).Add(week - time.Second).Truncate(week)
}

// StateStore is what keeping states reads, and where they are kept.
type StateStore interface {
	Weather
	Revision(ctx context.Context) (int64, error)
	PutWaterState(ctx context.Context, water string, at time.Time, state json.RawMessage, asOf int64) (kept bool, err error)
}

// keepStates stores where the model of a water stood at the end of each of the
// last weeks, and of those whose readings may make a line, as far as it is not
// stored yet, and says how many it stored. What changed while it was made is not
// stored; the next run makes it again.
func keepStates(ctx context.Context, s StateStore, w model.Water, now time.Time) (n int, err error) {
	missing, err := missingStates(ctx, s, w, now)
	if err != nil {
		return 0, err
	}
	for _, at := range missing {
		stored, err := keepState(ctx, s, w, at, now)
		if err != nil {
			return n, err
		}
		if stored {
			n++
		}
	}
	return n, nil
}

func keepState(ctx context.Context, s StateStore, w model.Water, at, now time.Time) (stored bool, err error) {
	asOf, err := s.Revision(ctx)
	if err != nil {
		return false, err
	}
	up, hours, ok, err := spunUp(ctx, s, w, at, now)
	if err != nil || !ok || !observed(hours) {
		return false, err
	}
	body, err := json.Marshal(kept{up, credits(hours)})
	if err != nil {
		return false, fmt.Errorf("keep a state of %s: %w", w.ID, err)
	}
	return s.PutWaterState(ctx, w.ID, at, body, asOf)
}

// missingStates lists the ends of weeks that are wanted and not stored, in order
// of time. A state is made from the weather alone, which everybody may see, so
// that readings inside records may ask for one: it serves those whose they are.
func missingStates(ctx context.Context, s Weather, w model.Water, now time.Time) ([]time.Time, error) {
	last := now.Add(-settledAfter).UTC().Truncate(week)
	var wanted []time.Time
	for at := last; at.After(now.Add(-keptBack)); at = at.Add(-week) {
		wanted = append(wanted, at)
	}
	readings, err := s.MeterReadings(ctx, w.ID, now.Add(-lineBack), now)
	if err != nil {
		return nil, err
	}
	recorded, err := recordedReadings(ctx, s, w, "", now.Add(-lineBack), now)
	if err != nil {
		return nil, err
	}
	readings = append(readings, recorded...)
	if len(readings) >= water.LineReadings {
		for _, r := range readings {
			if at := weekOf(r); r.Calibrates() && !at.After(last) {
				wanted = append(wanted, at)
			}
		}
	}
	states, err := storedStates(ctx, s, w, now.Add(-lineBack), now)
	if err != nil {
		return nil, err
	}
	slices.SortFunc(wanted, time.Time.Compare)
	wanted = slices.CompactFunc(wanted, time.Time.Equal)
	return slices.DeleteFunc(wanted, func(at time.Time) bool {
		return slices.ContainsFunc(states, func(k kept) bool { return k.State.At.Equal(at) })
	}), nil
}
