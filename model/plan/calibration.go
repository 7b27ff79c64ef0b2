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

// calibrate holds the thermometer readings against the model. A reading counts
// where the model was run by weather: the climate has no error to learn from
// one day.
func (h *History) calibrate(readings []model.MeterReading) error {
	for _, r := range readings {
		i, ok := h.hourNearest(r.At)
		if !ok || !r.Calibrates() || h.temps[i].Basis == water.FromClimate {
			continue
		}
		h.meter = append(h.meter, r)
	}
	slices.SortStableFunc(h.meter, func(a, b model.MeterReading) int { return a.At.Compare(b.At) })
	for _, r := range h.meter {
		i, _ := h.hourNearest(r.At)
		modelled := h.temps[i].SurfaceC
		if float64(r.DepthM.Or(0)) > float64(h.Water.MeanDepthM)/2 {
			modelled = h.temps[i].BottomC
		}
		h.residuals = append(h.residuals, water.Residual{At: r.At, DiffC: float64(r.WaterC.Value) - modelled})
	}
	var err error
	if h.corrected, err = water.NewCalibration(h.residuals); err != nil {
		return fmt.Errorf("correct it by readings: %w", err)
	}
	return nil
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

// waterAt is the model's estimate for an hour, corrected. The climate's is left
// as it is.
func (h *History) waterAt(i int, by water.Calibration) water.Estimate {
	if h.temps[i].Basis == water.FromClimate {
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
	w.CalibratedBy = h.calibratedBy(e.At)
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
