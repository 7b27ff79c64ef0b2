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
	temps []water.Estimate // one for each hour, by the weather alone

	meter     []model.MeterReading // those that correct the model, in order of time
	residuals []water.Residual     // what each says of it
	corrected water.Calibration    // by all of them
}

// NewHistory runs the water through its weather. The hours must follow each
// other without a break; they may reach as far back as there is weather, and
// as far ahead as there is a forecast. Of the thermometer readings those count
// that fall within the hours the model was run for.
func NewHistory(w model.Water, hours []model.WeatherHour, readings []model.MeterReading, now time.Time) (*History, error) {
	zone, err := w.Location()
	if err != nil {
		return nil, err
	}
	h := &History{Water: w, Now: now, zone: zone, hours: hours}
	if h.temps, err = waterTemperatures(w, hours, now); err != nil {
		return nil, fmt.Errorf("water temperature at %s: %w", w.ID, err)
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

// waterTemperatures gives one estimate an hour: the climate's until weather
// begins, and the slab's from there on.
func waterTemperatures(w model.Water, hours []model.WeatherHour, now time.Time) ([]water.Estimate, error) {
	s := site(w)
	estimates := make([]water.Estimate, 0, len(hours))
	start := weatherBegins(hours, now)
	for _, h := range hours[:start] {
		e, err := water.ClimateEstimate(s, h.At)
		if err != nil {
			return nil, err
		}
		estimates = append(estimates, e)
	}
	if start == len(hours) {
		return estimates, nil
	}
	forcing := make([]water.Hour, 0, len(hours)-start)
	for _, h := range hours[start:] {
		forcing = append(forcing, slabHour(h))
	}
	state, err := water.StartFromAir(s, hours[start].At.Add(-time.Hour), forcing)
	if err != nil {
		return nil, err
	}
	estimates, _, err = water.Run(s, state, forcing, estimates)
	return estimates, err
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
		if h.deep(depthM) {
			middle.Low, middle.High = math.Min(middle.Low, e.BottomLowC), math.Max(middle.High, e.BottomHighC)
		}
	}
	airC := mean[model.Celsius](h.hours[first:last], func(w model.WeatherHour) model.Reading { return w.AirC })
	return model.Known(middle), airC
}
