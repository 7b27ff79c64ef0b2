package jobs

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"osier/model"
)

// oxygenBack is how long an oxygen reading is handed to the cautions; they say
// how long it counts. Our choice.
const oxygenBack = 24 * time.Hour

// readingsOf lists the readings of a water taken by now that may correct its
// temperature in what an angler is told: those posted, which are facts of the
// water for everybody, and those inside the angler's own session records, which
// are nobody else's to see (design, section 5, rule 8). Without an angler it is
// those posted alone.
func readingsOf(ctx context.Context, s Weather, w model.Water, angler string, from, to, now time.Time) ([]model.MeterReading, error) {
	if to.After(now) {
		to = now
	}
	readings, err := s.MeterReadings(ctx, w.ID, from, to)
	if err != nil || angler == "" {
		return readings, err
	}
	recorded, err := recordedReadings(ctx, s, w, angler, from, to)
	return append(readings, recorded...), err
}

// recordedReadings lists the readings inside the session records of an angler, or
// with none named of everybody, by when the session started.
func recordedReadings(ctx context.Context, s Weather, w model.Water, angler string, from, to time.Time) (readings []model.MeterReading, err error) {
	sessions, err := s.SessionsWithReading(ctx, w.ID, from, to)
	for i := range sessions {
		if angler != "" && sessions[i].Angler != angler {
			continue
		}
		if r := sessions[i].MeterReading(); r.Known && !r.Value.At.After(to) {
			readings = append(readings, r.Value)
		}
	}
	return readings, err
}

// oxygenReadings lists the recent readings of an oxygen meter.
func oxygenReadings(ctx context.Context, s Weather, water string, now time.Time) ([]model.MeterReading, error) {
	readings, err := s.MeterReadings(ctx, water, now.Add(-oxygenBack), now)
	if err != nil {
		return nil, err
	}
	var out []model.MeterReading
	for _, r := range readings {
		if r.Instrument && (r.OxygenMgL.Known || r.OxygenPct.Known) {
			out = append(out, r)
		}
	}
	return out, nil
}

// RecordReading checks what a meter showed, raises the doubts there are about
// it, and keeps it. The same reading again is recognised and changes nothing;
// fresh says whether it was new.
func (r *Recorder) RecordReading(ctx context.Context, m model.MeterReading) (stored model.MeterReading, fresh bool, err error) {
	now := r.Now()
	w, err := r.Store.Water(ctx, m.Water)
	if err != nil {
		return m, false, err
	}
	if err := m.ValidateAt(now); err != nil {
		return m, false, err
	}
	m.At, m.Session, m.Queries, m.EnteredAt, m.Demo = m.At.UTC().Truncate(time.Second), "", nil, now, r.Demo
	if m.ID, err = m.DerivedID(); err != nil {
		return m, false, err
	}
	if was, err := r.Store.MeterReading(ctx, m.ID); err == nil || model.CodeOf(err) != model.NotFound {
		return was, false, err
	}
	if m.Queries, err = r.doubts(ctx, m, w); err != nil {
		return m, false, err
	}
	return m, true, r.Store.AddMeterReading(ctx, m)
}

// doubts holds a temperature against the water and the air of its hour.
func (r *Recorder) doubts(ctx context.Context, m model.MeterReading, w model.Water) ([]model.Query, error) {
	if !m.WaterC.Known {
		return nil, nil
	}
	weather, err := loadWeather(ctx, r.Store, w, "", m.At, m.At.Add(time.Hour), r.Now())
	if err != nil {
		return nil, err
	}
	var around model.Surroundings
	around.WaterC, around.AirC = weather.history.Between(m.At, m.At.Add(time.Second), m.DepthM)
	doubts := m.Doubts(around)
	if weather.history.BelowItsLayer(m) {
		doubts = append(doubts, model.Query{
			Field: "depth_m", Excludes: "field",
			Text: "it was read in the lower half of a water that is modelled as one layer, so it corrects nothing",
		})
	}
	return doubts, nil
}

// Readings lists what meters showed at a water, the newest first, a page at a
// time. next is where the page after begins, empty on the last.
func (r *Recorder) Readings(ctx context.Context, water string, from, until time.Time, after string, limit int) (page []model.MeterReading, next string, err error) {
	if _, err := r.Store.Water(ctx, water); err != nil {
		return nil, "", err
	}
	before := ""
	if after != "" {
		if until, before, err = readingCursor(after); err != nil {
			return nil, "", err
		}
	}
	page, err = r.Store.NewestMeterReadings(ctx, water, from, until, before, limit+1)
	if err != nil || len(page) <= limit {
		return page, "", err
	}
	last := page[limit-1]
	return page[:limit], fmt.Sprintf("%d.%s", last.At.Unix(), last.ID), nil
}

func readingCursor(after string) (at time.Time, id string, err error) {
	seconds, id, ok := strings.Cut(after, ".")
	n, err := strconv.ParseInt(seconds, 10, 64)
	if !ok || err != nil || id == "" {
		return at, "", model.Invalidf("after", "give the `next` of the page before", "%q is no place in the list", after)
	}
	return time.Unix(n, 0), id, nil
}
