package plan

import (
	"fmt"
	"time"

	"osier/model"
	"osier/model/air"
	"osier/model/water"
)

// SpunUp is where the model of a water stands after its weather, and what it
// made of the last week, by which readings of that week can be held against it
// for years. It is all that has to be stored of a run.
type SpunUp struct {
	State    water.State            `json:"state"`
	SurfaceC []model.Maybe[float64] `json:"surface_c"`          // by the hour, the last at the state; null where no reading bears on it
	BottomC  []model.Maybe[float64] `json:"bottom_c,omitempty"` // the same for water with layers
}

// weekH is how much of a run is kept by the hour.
const weekH = 7 * 24

// SpinUp runs a water through weather until nothing is left of the guess at its
// start. It is false where the weather is too short for that: the first air
// temperature must lie twenty days back (reference pack, water-and-fish 2.1).
// The hours are those of NewHistory; fewer than a week's are too short.
func SpinUp(w model.Water, hours []model.WeatherHour, now time.Time) (SpunUp, bool, error) {
	if start := weatherBegins(hours, now); start == len(hours) || len(hours)-start < water.RunInDays*24 {
		return SpunUp{}, false, nil
	}
	estimates, state, err := waterTemperatures(w, hours, now)
	if err != nil {
		return SpunUp{}, false, fmt.Errorf("water temperature at %s: %w", w.ID, err)
	}
	up := SpunUp{State: state.Value}
	for _, e := range estimates[len(estimates)-weekH:] {
		var surface, bottom model.Maybe[float64]
		if correctable(e) {
			surface, bottom = model.Known(air.Round(e.SurfaceC, 3)), model.Known(air.Round(e.BottomC, 3))
		}
		up.SurfaceC = append(up.SurfaceC, surface)
		if e.BottomDepthM > e.SurfaceDepthM {
			up.BottomC = append(up.BottomC, bottom)
		}
	}
	return up, true, nil
}

// Pair lays a reading beside the model's figure for its hour and depth; false
// for one that corrects nothing, and for one of another week.
func (u SpunUp) Pair(w model.Water, r model.MeterReading) (water.Pair, bool) {
	figures, deep := u.SurfaceC, deep(w, r.DepthM)
	if deep {
		figures = u.BottomC
	}
	i := len(figures) - 1 - int(u.State.At.Sub(r.At.Round(time.Hour))/time.Hour)
	if !r.Calibrates() || i < 0 || i >= len(figures) || !figures[i].Known {
		return water.Pair{}, false
	}
	return water.Pair{At: r.At, ModelC: figures[i].Value, ReadingC: max(0, float64(r.WaterC.Value))}, true
}
