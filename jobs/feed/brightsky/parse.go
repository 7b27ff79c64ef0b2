package brightsky

import (
	"slices"
	"time"

	"osier/model"
)

// Answer is what one answer holds.
type Answer struct {
	Stations []Reports      // that measured something, as listed: the nearest first
	Forecast model.Forecast // without hours where the answer forecasts nothing
}

// Reports are the observations of one station in the order of time.
type Reports struct {
	Station      model.Station
	Observations []model.Observation
}

// Parse reads an answer. The forecast stands at the place of the first source
// it is from; its IssuedAt, FetchedAt and ConfirmedAt are left zero for the
// caller. A fault in one value, hour or source is a warning, and what it spoilt
// is missing; an answer without a single readable hour is an error that says
// what it was.
func Parse(body []byte) (Answer, []string, error) {
	doc, err := decode(body)
	if err != nil {
		return Answer{}, nil, err
	}
	r := &reader{unknown: map[int64]bool{}}
	r.readSources(doc)
	rows := r.rows(doc)
	if len(rows) == 0 {
		return Answer{}, r.warnings, model.Invalidf("weather", "an answer lists hours with their timestamp", "no entry in it has one that can be read")
	}
	s := sorting{observed: map[string][]model.Observation{}, stations: map[string]model.Station{}}
	for _, h := range rows {
		if otherUnits(h) {
			return Answer{}, nil, model.Invalidf("weather", "ask with units=dwd", "at %s temperature or pressure is in SI units, so the winds may be too", h.Timestamp)
		}
		r.sort(&s, h)
	}
	return Answer{Stations: s.reports(r.order), Forecast: s.madeForecast()}, r.warnings, nil
}

// sorting is the answer taken apart by source.
type sorting struct {
	observed map[string][]model.Observation // by station
	stations map[string]model.Station
	forecast model.Forecast
}

// sort gives each value of an hour to the source that it came from.
func (r *reader) sort(s *sorting, h row) {
	for _, q := range quantities {
		v, ok := r.value(h, q)
		if !ok {
			continue
		}
		switch from, ok := r.from(h, q.name); {
		case !ok:
		case from.forecast:
			q.forecasted(s.hour(from, h), v)
		case q.observed != nil:
			q.observed(s.report(from, h), v)
		}
	}
	if h.Condition == "" && h.Icon == "" {
		return
	}
	thunder := h.Condition == "thunderstorm" || h.Icon == "thunderstorm"
	switch from, ok := r.from(h, "condition"); {
	case !ok:
	case from.forecast:
		s.hour(from, h).Thunder = model.Known(thunder)
	case thunder:
		s.report(from, h).Thunder = model.ThunderNow
	}
}

// from is the source of one value: the one named for it alone, else the hour's.
func (r *reader) from(h row, name string) (source, bool) {
	id, ok := h.Fallback[name]
	if !ok {
		id = h.SourceID
	}
	s, ok := r.sources[id]
	if !ok && !r.unknown[id] {
		r.unknown[id] = true
		r.warn("%s: source %d is not among the sources that can be used; what came from it is left out", h.Timestamp, id)
	}
	return s, ok
}

// report is the station's observation of an hour. Hours come in order, so it
// is the last one or a new one.
func (s *sorting) report(from source, h row) *model.Observation {
	id := from.station.ID
	if _, known := s.stations[id]; !known {
		s.stations[id] = from.station
	}
	all := s.observed[id]
	if n := len(all); n == 0 || !all[n-1].At.Equal(h.at) {
		s.observed[id] = append(all, model.Observation{Station: id, Source: Source, At: h.at, Raw: h.raw})
	}
	return &s.observed[id][len(s.observed[id])-1]
}

// hour is the forecast's step of an hour, the last one or a new one.
func (s *sorting) hour(from source, h row) *model.ForecastHour {
	f := &s.forecast
	if len(f.Hours) == 0 {
		*f = model.Forecast{Source: Source, LatDeg: from.station.LatDeg, LonDeg: from.station.LonDeg}
	}
	if n := len(f.Hours); n == 0 || !f.Hours[n-1].At.Equal(h.at) {
		f.Hours = append(f.Hours, model.ForecastHour{At: h.at, StepH: 1})
	}
	return &f.Hours[len(f.Hours)-1]
}

// reports lists the stations in the order of their numbers. A calm has no
// direction.
func (s *sorting) reports(order []string) []Reports {
	var all []Reports
	for i, id := range order {
		if len(s.observed[id]) == 0 || slices.Index(order, id) < i {
			continue
		}
		for j := range s.observed[id] {
			if o := &s.observed[id][j]; o.WindMps == model.Known[model.MetresPerSecond](0) {
				o.WindFromDeg = model.Maybe[model.Degrees]{}
			}
		}
		all = append(all, Reports{Station: s.stations[id], Observations: s.observed[id]})
	}
	return all
}

// madeForecast is the forecast with each hour's rain moved to the step it falls
// in, which is the one before.
func (s *sorting) madeForecast() model.Forecast {
	hours := s.forecast.Hours
	for i := range hours {
		hours[i].Rain = model.Maybe[model.Rain]{}
		if i+1 < len(hours) && hours[i+1].At.Sub(hours[i].At) == time.Hour {
			hours[i].Rain = hours[i+1].Rain
		}
	}
	return s.forecast
}
