package main

import (
	"math"
	"time"

	"osier/model"
)

// inventedSource names the invented weather wherever it is shown.
const inventedSource = "invented"

// observations turns the invented hours into what a station reported.
func observations(station model.Station, hours []demoHour) []model.Observation {
	out := make([]model.Observation, len(hours))
	for i, h := range hours {
		out[i] = model.Observation{
			Station: station.ID, Source: station.Source, At: h.at,
			AirC: model.Known(model.Celsius(h.airC)), DewC: model.Known(model.Celsius(h.dewC)),
			WindMps: model.Known(model.MetresPerSecond(h.windMps)), WindFromDeg: model.Known(model.Degrees(h.fromDeg)),
			GustMps:     model.Known(model.MetresPerSecond(h.gustMps)),
			SeaLevelHPa: model.Known(model.Hectopascals(h.seaLevelHPa)),
			Rain:        model.Known(model.Rain{Mm: model.Millimetres(h.rainMm), OverH: 1}),
			CloudOktas:  model.Known(h.oktas), Thunder: h.thunder,
		}
	}
	return out
}

// forecast is what somebody at now might have said of the hours to come: the
// truth with an error that grows with the lead, a little for the first day and
// about 3 C by the ninth.
func forecast(seed uint64, station model.Station, now time.Time, hours []demoHour) model.Forecast {
	f := model.Forecast{
		Source: inventedSource, LatDeg: station.LatDeg, LonDeg: station.LonDeg, IssuedAt: now, FetchedAt: now, ConfirmedAt: now,
		Hours: make([]model.ForecastHour, len(hours)),
	}
	// The error is drawn by the issue: the same hour is missed otherwise
	// tomorrow. Errors of one variable hang together from hour to hour.
	series := func(variable uint64) []float64 {
		return autoregression(seed, drawForecast, variable<<20^uint64(hourNumber(now)), 0.95, 0, len(hours))
	}
	air, wind, pressure, cloud := series(1), series(2), series(3), series(4)
	for i, h := range hours {
		days := h.at.Sub(now).Hours() / 24
		warmth := air[i] * (0.5 + 0.3*days)
		blow := math.Exp(wind[i] * (0.1 + 0.04*days))
		cover := float64(h.oktas)/8 + cloud[i]*(0.08+0.03*days)
		chance := thunderChance(h, days)
		f.Hours[i] = model.ForecastHour{
			At: h.at, StepH: 1,
			AirC:               model.Known(model.Celsius(roundTo(h.airC+warmth, 0.1))),
			DewC:               model.Known(model.Celsius(roundTo(h.dewC+warmth, 0.1))),
			WindMps:            model.Known(model.MetresPerSecond(roundTo(h.windMps*blow, 0.1))),
			WindFromDeg:        model.Known(model.Degrees(h.fromDeg)),
			GustMps:            model.Known(model.MetresPerSecond(roundTo(h.gustMps*blow, 0.1))),
			SeaLevelHPa:        model.Known(model.Hectopascals(roundTo(h.seaLevelHPa+pressure[i]*(0.3+0.5*days), 0.1))),
			CloudFraction:      model.Known(roundTo(math.Max(0, math.Min(1, cover)), 0.01)),
			Rain:               rainToCome(hours, i),
			ThunderProbability: model.Known(chance),
			Thunder:            model.Known(chance >= 0.4),
		}
	}
	return f
}

// thunderChance is surer the nearer the storm is in time.
func thunderChance(h demoHour, leadDays float64) float64 {
	return roundTo(0.7*h.thunderSoonFraction*math.Exp(-leadDays/6), 0.01)
}

// rainToCome is the rain of the step that begins at an hour, which the hours
// keep with the hour that it ends at. Past the last hour nobody knows.
func rainToCome(hours []demoHour, i int) model.Maybe[model.Rain] {
	if i+1 == len(hours) {
		return model.Maybe[model.Rain]{}
	}
	return model.Known(model.Rain{Mm: model.Millimetres(hours[i+1].rainMm), OverH: 1})
}
