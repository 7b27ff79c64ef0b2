package model

import (
	"slices"
	"time"
)

// fillFromReanalysis gives what no station gave from the reanalysis of the very
// hour. Thunder is not in it.
func (j *joiner) fillFromReanalysis(h *WeatherHour) {
	i := firstFrom(j.in.Reanalysis, h.At)
	if i == len(j.in.Reanalysis) || !j.in.Reanalysis[i].At.Equal(h.At) || h.At.After(j.now) {
		return
	}
	o := &j.in.Reanalysis[i]
	fill := filler(Provenance{Kind: Modelled, Source: o.Source, At: Known(o.At), AgeMin: j.ageMin(o.At)})
	fill(&h.AirC, widen(o.AirC))
	fill(&h.DewC, widen(o.DewC))
	if fill(&h.WindMps, widen(o.WindMps)) { // direction and gust belong to their wind
		fill(&h.WindFromDeg, widen(o.WindFromDeg))
		fill(&h.GustMps, widen(o.GustMps))
	}
	if !h.QNHHPa.Known {
		fill(&h.SeaLevelHPa, widen(o.SeaLevelHPa))
	}
	fill(&h.Cloud, cloudFraction(o))
	fill(&h.RainMm, hourlyRain(o))
}

// filler gives values of one origin to readings that have none.
func filler(from Provenance) func(r *Reading, v Maybe[float64]) bool {
	return func(r *Reading, v Maybe[float64]) bool {
		if r.Known || !v.Known {
			return false
		}
		*r = Reading{Value: v.Value, Known: true, From: from}
		return true
	}
}

// hourlyRain is the depth of a report whose rain fell within an hour.
func hourlyRain(o *Observation) Maybe[float64] {
	if !o.Rain.Known || o.Rain.Value.OverH != 1 {
		return Maybe[float64]{}
	}
	return Known(float64(o.Rain.Value.Mm))
}

// fillFromForecast gives what nothing else gave from the first forecast that
// covers the hour.
func (j *joiner) fillFromForecast(h *WeatherHour) {
	for i := range j.in.Forecasts {
		f := &j.in.Forecasts[i]
		step, ok := f.at(h.At)
		if !ok {
			continue
		}
		from := Provenance{Kind: Forecasted, Source: f.Source, At: Known(f.IssuedAt), AgeMin: j.ageMin(f.IssuedAt), ConfirmedMin: j.ageMin(f.ConfirmedAt)}
		fill := filler(from)
		fill(&h.AirC, widen(step.AirC))
		fill(&h.DewC, widen(step.DewC))
		fill(&h.RHPct, step.RHPct)
		if fill(&h.WindMps, widen(step.WindMps)) {
			fill(&h.WindFromDeg, widen(step.WindFromDeg))
			fill(&h.GustMps, widen(step.GustMps))
		}
		if !h.QNHHPa.Known {
			fill(&h.SeaLevelHPa, widen(step.SeaLevelHPa))
		}
		fill(&h.Cloud, step.CloudFraction)
		if step.Rain.Known {
			fill(&h.RainMm, Known(float64(step.Rain.Value.Mm)))
		}
		if h.At.Add(time.Hour).After(j.now) || h.Thunder.Observed == ThunderUnknown {
			h.Thunder.Symbol, h.Thunder.Probability = step.Thunder, step.ThunderProbability
			if step.Thunder.Known || step.ThunderProbability.Known {
				h.Thunder.From = from
			}
		}
		return
	}
}

// at gives the forecast for a whole hour: a step, or a line between two steps
// at most six hours apart. Rain is the depth of the hour before; thunder is the
// step's that the hour lies in.
func (f *Forecast) at(hour time.Time) (ForecastHour, bool) {
	i, exact := slices.BinarySearchFunc(f.Hours, hour, func(s ForecastHour, t time.Time) int { return s.At.Compare(t) })
	switch {
	case exact:
		step := f.Hours[i]
		step.Rain = f.rainBefore(i, hour)
		return step, true
	case i == 0 || i == len(f.Hours) || f.Hours[i].At.Sub(f.Hours[i-1].At) > longestStep:
		return ForecastHour{}, false
	}
	a, b := f.Hours[i-1], f.Hours[i]
	share := float64(hour.Sub(a.At)) / float64(b.At.Sub(a.At))
	step := ForecastHour{
		At: hour, StepH: a.StepH,
		AirC: along(a.AirC, b.AirC, share), DewC: along(a.DewC, b.DewC, share), RHPct: along(a.RHPct, b.RHPct, share),
		WindMps: along(a.WindMps, b.WindMps, share), WindFromDeg: a.WindFromDeg, GustMps: along(a.GustMps, b.GustMps, share),
		SeaLevelHPa: along(a.SeaLevelHPa, b.SeaLevelHPa, share), CloudFraction: along(a.CloudFraction, b.CloudFraction, share),
		ThunderProbability: a.ThunderProbability, Thunder: a.Thunder,
	}
	step.Rain = f.rainBefore(i, hour)
	return step, true
}

func along[T ~float64](a, b Maybe[T], share float64) Maybe[T] {
	if !a.Known || !b.Known {
		return Maybe[T]{}
	}
	return Known(a.Value + T(share)*(b.Value-a.Value))
}

// rainBefore is the even share of the hour before in the step before i.
func (f *Forecast) rainBefore(i int, hour time.Time) Maybe[Rain] {
	if i == 0 {
		return Maybe[Rain]{}
	}
	r := f.Hours[i-1].Rain
	if !r.Known || r.Value.OverH < 1 || hour.After(f.Hours[i-1].At.Add(time.Duration(r.Value.OverH*float64(time.Hour)))) {
		return Maybe[Rain]{}
	}
	return Known(Rain{Mm: r.Value.Mm / Millimetres(r.Value.OverH), OverH: 1})
}
