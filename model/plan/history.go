package plan

import (
	"fmt"
	"math"
	"sort"
	"time"

	"osier/model"
	"osier/model/air"
	"osier/model/water"
)

// leastPastAir is how many past hours must have an air temperature before the
// water is modelled from weather at all; with fewer the climate answers. A
// 2 m water follows the air of some five days. Our choice.
const leastPastAir = 5 * 24

// History is the hourly weather at a water, past and forecast, with the water
// temperature it makes.
type History struct {
	Water model.Water
	Now   time.Time
	zone  *time.Location
	hours []model.WeatherHour
	line  water.Line
	temps []water.Estimate // one for each hour, by the weather and the line

	meter     []model.MeterReading // those that correct the model, in order of time
	residuals []water.Residual     // what each says of it
	corrected water.Calibration    // by all of them

	// Of one that is told from a Shared:
	conditions []model.ConditionHour // of every hour; nil where they are worked out when asked for
	stood      map[issue]time.Time   // when its feed last stood by it; nil where ages are those of its own time
}

// Before is what is known of a water from before the hours of a history.
type Before struct {
	State model.Maybe[water.State] // where the model stood; without one it starts anew
	Line  water.Line               // what the readings of years say of it
}

// NewHistory runs the water through its weather, with nothing known from before
// it. Otherwise it is ContinueHistory.
func NewHistory(w model.Water, hours []model.WeatherHour, readings []model.MeterReading, now time.Time) (*History, error) {
	return ContinueHistory(w, Before{}, hours, readings, now)
}

// ContinueHistory runs the water through its weather, on from where it stood.
// The hours must follow each other without a break, and the state where there is
// one; they may reach as far back as there is weather, and as far ahead as there
// is a forecast. Of the thermometer readings those count that fall within the
// hours the model was run for.
func ContinueHistory(w model.Water, before Before, hours []model.WeatherHour, readings []model.MeterReading, now time.Time) (*History, error) {
	zone, err := w.Location()
	if err != nil {
		return nil, err
	}
	h := &History{Water: w, Now: now, zone: zone, hours: hours, line: before.Line}
	if h.temps, err = temperaturesFrom(w, before.State, hours, now); err != nil {
		return nil, fmt.Errorf("water temperature at %s: %w", w.ID, err)
	}
	for i, e := range h.temps {
		if correctable(e) {
			h.temps[i] = h.line.Apply(e)
		}
	}
	if err := h.calibrate(readings); err != nil {
		return nil, fmt.Errorf("water temperature at %s: %w", w.ID, err)
	}
	return h, nil
}

// site turns the domain's water into what the slab needs.
func site(w model.Water) water.Site {
	s := water.NewSite(w.LatDeg, w.LonDeg, float64(w.MeanDepthM))
	s.Shelter = w.ShelterFactor.Or(water.DefaultShelter)
	mean, span, _ := w.Climate()
	s.ClimateMeanC, s.ClimateAmplitudeC = float64(mean), float64(span)
	return s
}

// temperaturesFrom gives one estimate an hour, on from the state where there is
// one.
func temperaturesFrom(w model.Water, state model.Maybe[water.State], hours []model.WeatherHour, now time.Time) ([]water.Estimate, error) {
	if !state.Known {
		estimates, _, err := waterTemperatures(w, hours, now)
		return estimates, err
	}
	estimates, _, err := water.Run(site(w), state.Value, slabHours(hours), nil)
	return estimates, err
}

// waterTemperatures gives one estimate an hour: the climate's until weather
// begins, and the slab's from there on. The state is that after the last hour,
// not known where no weather began.
func waterTemperatures(w model.Water, hours []model.WeatherHour, now time.Time) (estimates []water.Estimate, last model.Maybe[water.State], err error) {
	s := site(w)
	estimates = make([]water.Estimate, 0, len(hours))
	start := weatherBegins(hours, now)
	for _, h := range hours[:start] {
		e, err := water.ClimateEstimate(s, h.At)
		if err != nil {
			return nil, last, err
		}
		estimates = append(estimates, e)
	}
	if start == len(hours) {
		return estimates, last, nil
	}
	forcing := slabHours(hours[start:])
	state, err := water.StartFromAir(s, hours[start].At.Add(-time.Hour), forcing)
	if err != nil {
		return nil, last, err
	}
	estimates, state, err = water.Run(s, state, forcing, estimates)
	return estimates, model.Known(state), err
}

// weatherBegins is the first hour from which the slab can run: the first with
// an air temperature, when there are enough of them before now.
func weatherBegins(hours []model.WeatherHour, now time.Time) int {
	first, past := len(hours), 0
	for i, h := range hours {
		if !h.AirC.Known {
			continue
		}
		first = min(first, i)
		if !h.At.After(now) && h.AirC.From.Kind != model.Forecasted {
			past++
		}
	}
	if past < leastPastAir {
		return len(hours)
	}
	return first
}

func slabHours(hours []model.WeatherHour) []water.Hour {
	out := make([]water.Hour, len(hours))
	for i, h := range hours {
		out[i] = slabHour(h)
	}
	return out
}

func slabHour(h model.WeatherHour) water.Hour {
	rh := humidity(h)
	return water.Hour{
		At:            h.At,
		AirC:          water.Reading{Value: h.AirC.Value, Known: h.AirC.Known},
		RHPct:         water.Reading{Value: rh.Value, Known: rh.Known},
		WindMps:       water.Reading{Value: h.WindMps.Value, Known: h.WindMps.Known},
		CloudFraction: water.Reading{Value: h.Cloud.Value, Known: h.Cloud.Known},
	}
}

// humidity is the relative humidity in percent: made from the dew point where
// one was reported, else the forecast's own.
func humidity(h model.WeatherHour) model.Maybe[float64] {
	if h.AirC.Known && h.DewC.Known {
		if rh, ok := air.RelativeHumidity(h.AirC.Value, h.DewC.Value); ok {
			return model.Known(rh)
		}
	}
	return model.Maybe[float64]{Value: math.Min(100, h.RHPct.Value), Known: h.RHPct.Known}
}

// span lists the indices of the hours that begin before to and are not over by
// from.
func (h *History) span(from, to time.Time) (first, last int) {
	first = sort.Search(len(h.hours), func(i int) bool { return h.hours[i].At.After(from.Add(-time.Hour)) })
	last = sort.Search(len(h.hours), func(i int) bool { return !h.hours[i].At.Before(to) })
	return first, max(first, last)
}

// Between gives the water temperature at a depth and the air temperature over
// the hours of an outing, as far as they are known: what a record's own readings
// are held against. Readings taken from then on do not count.
func (h *History) Between(from, to time.Time, depthM model.Maybe[model.Metres]) (model.Maybe[model.WaterEstimate], model.Maybe[model.Celsius]) {
	first, last := h.span(from, to)
	if first == last {
		return model.Maybe[model.WaterEstimate]{}, model.Maybe[model.Celsius]{}
	}
	before := h.readBefore(from)
	middle := h.waterEstimate((first+last)/2, before)
	for i := first; i < last; i++ {
		e := h.waterAt(i, before)
		middle.Low, middle.High = math.Min(middle.Low, e.LowC), math.Max(middle.High, e.HighC)
		if deep(h.Water, depthM) {
			middle.Low, middle.High = math.Min(middle.Low, e.BottomLowC), math.Max(middle.High, e.BottomHighC)
		}
	}
	airC := mean[model.Celsius](h.hours[first:last], func(w model.WeatherHour) model.Reading { return w.AirC })
	return model.Known(middle), airC
}
