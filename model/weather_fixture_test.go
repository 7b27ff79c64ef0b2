package model_test

import (
	"math"
	"time"

	"osier/model"
)

// kmPerDegree is the length of a degree of a meridian on the mean sphere.
const kmPerDegree = 6371.0088 * math.Pi / 180

// mere is the water of the weather tests, at the crossing of two round degrees.
var mere = model.Water{ID: "reedmere", LatDeg: 52, LonDeg: -1, ElevationM: 60}

// stationAt is a station so many kilometres north of the water, so many metres
// above it.
func stationAt(id string, km, aboveM float64) model.Station {
	return model.Station{
		ID: id, Source: "feed", LatDeg: mere.LatDeg + km/kmPerDegree, LonDeg: mere.LonDeg,
		ElevationM: model.Known(mere.ElevationM + model.Metres(aboveM)),
	}
}

func clock(hourMinute string) time.Time { return at("2026-02-06T" + hourMinute + ":00Z") }

// reportAt is a report of a station with nothing in it but its time.
func reportAt(station, hourMinute string, values ...func(*model.Observation)) model.Observation {
	o := model.Observation{Station: station, Source: "feed", At: clock(hourMinute)}
	for _, set := range values {
		set(&o)
	}
	return o
}

func airC(v model.Celsius) func(*model.Observation) {
	return func(o *model.Observation) { o.AirC = model.Known(v) }
}

func dewC(v model.Celsius) func(*model.Observation) {
	return func(o *model.Observation) { o.DewC = model.Known(v) }
}

func windMps(v model.MetresPerSecond) func(*model.Observation) {
	return func(o *model.Observation) { o.WindMps = model.Known(v) }
}

func fromDeg(v model.Degrees) func(*model.Observation) {
	return func(o *model.Observation) { o.WindFromDeg = model.Known(v) }
}

func gustMps(v model.MetresPerSecond) func(*model.Observation) {
	return func(o *model.Observation) { o.GustMps = model.Known(v) }
}

func qnh(v model.Hectopascals, whole bool) func(*model.Observation) {
	return func(o *model.Observation) { o.QNHHPa, o.WholeHPa = model.Known(v), whole }
}

func seaLevel(v model.Hectopascals) func(*model.Observation) {
	return func(o *model.Observation) { o.SeaLevelHPa = model.Known(v) }
}

func rain(mm model.Millimetres, overH float64) func(*model.Observation) {
	return func(o *model.Observation) { o.Rain = model.Known(model.Rain{Mm: mm, OverH: overH}) }
}

func oktas(v int) func(*model.Observation) {
	return func(o *model.Observation) { o.CloudOktas = model.Known(v) }
}

func thunder(v model.Thunder) func(*model.Observation) {
	return func(o *model.Observation) { o.Thunder = v }
}

// sources puts stations and their reports together.
func sources(stations []model.Station, reports ...model.Observation) model.Sources {
	in := model.Sources{Near: model.Near(mere, stations), Observations: map[string][]model.Observation{}}
	for _, r := range reports {
		key := model.StationKey(r.Source, r.Station)
		in.Observations[key] = append(in.Observations[key], r)
	}
	return in
}

// hourAt is the weather of one whole hour, as known late that day.
func hourAt(in model.Sources, hourMinute string) model.WeatherHour {
	return hourKnownAt(in, hourMinute, "23:59")
}

func hourKnownAt(in model.Sources, hourMinute, now string) model.WeatherHour {
	return model.WeatherAt(in, clock(hourMinute), clock(hourMinute), clock(now))[0]
}
