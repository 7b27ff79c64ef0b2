package plan

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"time"

	"osier/model"
	"osier/model/air"
	"osier/model/water"
)

// calibrate holds the thermometer readings against the model.
func (h *History) calibrate(readings []model.MeterReading) error {
	for _, r := range readings {
		i, ok := h.hourNearest(r.At)
		if ok && r.Calibrates() && correctable(h.temps[i]) && !h.belowItsLayer(r, h.temps[i]) {
			h.meter = append(h.meter, r)
		}
	}
	slices.SortStableFunc(h.meter, func(a, b model.MeterReading) int { return a.At.Compare(b.At) })
	for _, r := range h.meter {
		i, _ := h.hourNearest(r.At)
		modelled := h.temps[i].SurfaceC
		if deep(h.Water, r.DepthM) {
			modelled = h.temps[i].BottomC
		}
		h.residuals = append(h.residuals, water.Residual{
			At: r.At, DiffC: float64(r.WaterC.Value) - modelled, MemorySdC: h.temps[i].MemorySdC,
		})
	}
	var err error
	if h.corrected, err = water.NewCalibration(h.residuals); err != nil {
		return fmt.Errorf("correct it by readings: %w", err)
	}
	return nil
}

// With is the history corrected by more readings beside its own, such as those of
// one angler's records. The history itself stays as it is.
func (h *History) With(readings []model.MeterReading) (*History, error) {
	more := *h
	more.meter, more.residuals, more.conditions = slices.Clone(h.meter), nil, nil
	err := more.calibrate(readings)
	return &more, err
}

// correctable says whether readings bear on an estimate. The climate has no
// error to learn from one day, and the figure under ice is a convention.
func correctable(e water.Estimate) bool { return e.Basis != water.FromClimate && !e.Ice }

// deep says whether a depth lies in the lower half of the water. A reading of
// no depth was taken where a thermometer is usually held: near the surface.
func deep(w model.Water, depthM model.Maybe[model.Metres]) bool {
	return depthM.Or(0) > w.MeanDepthM/2
}

// belowItsLayer says whether a reading was taken deep in water that the model
// has as one layer. On a still summer day the bottom is some degrees cooler
// there than the figure near the surface, which such a reading must not cool:
// the cautions for fish go by it.
func (h *History) belowItsLayer(r model.MeterReading, e water.Estimate) bool {
	return deep(h.Water, r.DepthM) && e.BottomDepthM <= e.SurfaceDepthM
}

// BelowItsLayer says so of a reading that has not been kept yet.
func (h *History) BelowItsLayer(r model.MeterReading) bool {
	i, ok := h.hourNearest(r.At)
	return ok && h.belowItsLayer(r, h.temps[i])
}

// Readings are those that correct the water temperature, in order of time.
func (h *History) Readings() []model.MeterReading { return h.meter }

// hourNearest is the hour whose instant lies within half an hour of a time.
func (h *History) hourNearest(at time.Time) (int, bool) {
	i := sort.Search(len(h.hours), func(i int) bool { return !h.hours[i].At.Before(at.Add(-30 * time.Minute)) })
	return i, i < len(h.hours) && h.hours[i].At.Sub(at) <= 30*time.Minute
}

// readBefore is the calibration by the readings that had been taken before an
// instant: what was known when a session began.
func (h *History) readBefore(at time.Time) water.Calibration {
	n := sort.Search(len(h.residuals), func(i int) bool { return !h.residuals[i].At.Before(at) })
	if n == len(h.residuals) {
		return h.corrected
	}
	c, err := water.NewCalibration(h.residuals[:n])
	if err != nil { // they were all accepted once
		return water.Calibration{}
	}
	return c
}

// waterAt is the model's estimate for an hour, corrected where it can be.
func (h *History) waterAt(i int, by water.Calibration) water.Estimate {
	if !correctable(h.temps[i]) {
		return h.temps[i]
	}
	return by.Apply(h.temps[i])
}

// waterEstimate puts an hour's estimate into the words of a document.
func (h *History) waterEstimate(i int, by water.Calibration) model.WaterEstimate {
	e := h.waterAt(i, by)
	w := model.WaterEstimate{
		Value: air.Round(e.SurfaceC, 2), Low: air.Round(e.LowC, 2), High: air.Round(e.HighC, 2),
		Kind: model.Modelled, Depth: "one mixed layer: the same near the surface and at the depth fished",
		DepthM: air.Round(e.SurfaceDepthM, 2), Ice: e.Ice, Bottom: air.Round(e.BottomHighC, 2),
	}
	if e.BottomC != e.SurfaceC {
		w.Depth = "near the surface; the bottom, where the feeder lies, has a figure of its own"
		w.AtBottom = model.Known(model.DepthEstimate{
			Value: air.Round(e.BottomC, 2), Low: air.Round(math.Min(e.BottomLowC, e.BottomC), 2),
			High: air.Round(math.Max(e.BottomHighC, e.BottomC), 2), DepthM: air.Round(e.BottomDepthM, 2),
		})
	}
	switch e.Basis {
	case water.FromClimate:
		w.Kind = model.Assumed
		w.Depth = "from the climate of the water, no weather behind it; for any depth"
		w.AtBottom = model.Maybe[model.DepthEstimate]{}
		return w
	case water.Carried:
		w.Depth += "; the air of the hour was missing, the day's mean was carried on"
	}
	if correctable(e) {
		if h.line.Readings > 0 {
			w.Depth += fmt.Sprintf("; moved by what %d earlier thermometer readings say of this water", h.line.Readings)
		}
		w.CalibratedBy = h.calibratedBy(e.At)
	}
	return w
}

// calibratedBy counts the readings that had been taken by an instant.
func (h *History) calibratedBy(at time.Time) model.Maybe[model.CalibratedBy] {
	n := sort.Search(len(h.residuals), func(i int) bool { return h.residuals[i].At.After(at) })
	if n == 0 {
		return model.Maybe[model.CalibratedBy]{}
	}
	return model.Known(model.CalibratedBy{Readings: n, NewestAgeH: air.Round(at.Sub(h.residuals[n-1].At).Hours(), 1)})
}

// waterSource says in words what a water temperature comes from.
func waterSource(by model.Maybe[model.CalibratedBy]) string {
	const source = "model of the water"
	if !by.Known {
		return source
	}
	return fmt.Sprintf("%s, corrected by %d thermometer readings, the newest %.1f days old", source, by.Value.Readings, by.Value.NewestAgeH/24)
}
