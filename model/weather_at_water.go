package model

import (
	"math"
	"slices"
	"sort"
	"time"
)

// Rules for making hours out of reports.
const (
	// A report counts for the whole hour nearest to it, within half an hour.
	nearestReport = 30 * time.Minute
	// Values between two reports at most this far apart are drawn in between:
	// stations that report every three hours are common. Our choice.
	longestBridge = 3 * time.Hour
	// Steps of a forecast up to this long are drawn in between.
	longestStep = 6 * time.Hour
	// lapseCPerM is the temperature lapse of the standard atmosphere (ICAO
	// Doc 7488: 6.5 K per km). Dew point is moved alike, so that the spread
	// between the two stays as reported; our choice.
	lapseCPerM = 0.0065
	// thunderReachKm is how near a station must be for its thunder to be
	// thunder at the water: lightning strikes reach some 16 km (10 miles) from
	// a storm, and the storm moves. Our choice, on the safe side.
	thunderReachKm = 30
)

// Sources is all the weather known near a water: reports by station, in order
// of time, and forecasts, the one to go by first.
type Sources struct {
	Near         []NearStation
	Observations map[string][]Observation // by StationKey
	Forecasts    []Forecast
	// Reanalysis is a model's account of the past at the water, in order of
	// time. It is no report: it fills hours that no station gives, as modelled.
	Reanalysis []Observation
}

// StationKey names a station of a feed.
func StationKey(source, id string) string { return source + "/" + id }

// WeatherAt makes the hourly series at a water from the first whole hour not
// before from to the last not after to. Temperature and dew point are the
// weighted mean of the stations that have them, moved to the water's height;
// everything else is the best station's, never averaged. Which is best is judged
// for each day by ChooseStations, at the day's end or now: a day long past keeps
// the stations that were good then. Stations that are one place count once in
// the mean, and where the water's sources name stations that have a value, they
// alone make it. No report after now is read. Hours that no station covers are
// the reanalysis', then the forecast's where there is one, and otherwise
// missing. Every value carries its provenance, aged at now.
func WeatherAt(in Sources, from, to, now time.Time) []WeatherHour {
	return AppendWeather(nil, in, from, to, now)
}

// AppendWeather adds the hours of WeatherAt to others.
func AppendWeather(hours []WeatherHour, in Sources, from, to, now time.Time) []WeatherHour {
	j := &joiner{in: in, now: now, raining: map[string]bool{}}
	first := ceilHour(from)
	hours = slices.Grow(hours, max(0, int(to.Sub(first)/time.Hour)+1))
	for at := first; !at.After(to); at = at.Add(time.Hour) {
		hours = append(hours, j.hour(at))
	}
	return hours
}

func ceilHour(t time.Time) time.Time {
	t = t.UTC()
	if whole := t.Truncate(time.Hour); whole.Equal(t) {
		return whole
	}
	return t.Truncate(time.Hour).Add(time.Hour)
}

type joiner struct {
	in  Sources
	now time.Time
	// The stations in the order of one day, worked out once for it.
	day     time.Time
	ranked  []reporter
	raining map[string]bool // by StationKey
}

// reporter is a station with its reports, in order of time.
type reporter struct {
	NearStation
	place   string
	reports []Observation
	around  int  // where those begin that may bear on the hour laid out
	rains   bool // whether any of them tells of rain
}

// rank puts the stations in the order that holds at an hour.
func (j *joiner) rank(hour time.Time) {
	day := hour.Truncate(24 * time.Hour)
	if j.ranked != nil && day.Equal(j.day) {
		return
	}
	judged := day.Add(24 * time.Hour)
	if judged.After(j.now) {
		judged = j.now
	}
	j.day, j.ranked = day, make([]reporter, 0, len(j.in.Near))
	choices, _ := rankStations(j.in.Near, j.in.Observations, judged)
	for _, c := range choices {
		if !c.Avoided {
			key := StationKey(c.Source, c.ID)
			j.ranked = append(j.ranked, reporter{NearStation: c.NearStation, place: c.place(), reports: j.in.Observations[key], rains: j.rains(key)})
		}
	}
}

// rains says whether a station tells of rain at all: few do, and a day of reports
// would be looked through for each hour of those that do not.
func (j *joiner) rains(station string) bool {
	rains, known := j.raining[station]
	if !known {
		all := j.in.Observations[station]
		for i := 0; i < len(all) && !rains; i++ {
			rains = all[i].Rain.Known
		}
		j.raining[station] = rains
	}
	return rains
}

func (j *joiner) hour(at time.Time) WeatherHour {
	j.rank(at)
	for i := range j.ranked {
		s := &j.ranked[i]
		s.around = firstFrom(s.reports, at.Add(-longestBridge))
	}
	h := WeatherHour{
		At:          at,
		AirC:        j.mean(at, func(o *Observation) Maybe[float64] { return widen(o.AirC) }),
		DewC:        j.mean(at, func(o *Observation) Maybe[float64] { return widen(o.DewC) }),
		WindMps:     j.best(at, func(o *Observation) Maybe[float64] { return widen(o.WindMps) }),
		Cloud:       j.best(at, cloudFraction),
		SeaLevelHPa: j.best(at, func(o *Observation) Maybe[float64] { return widen(o.SeaLevelHPa) }),
		QNHHPa:      j.best(at, func(o *Observation) Maybe[float64] { return widen(o.QNHHPa) }),
		RainMm:      j.rain(at),
		Thunder:     j.thunder(at),
	}
	// Direction and gust belong to the wind they came with: a calm report must
	// not take the gust of another station, nor that of an earlier report.
	h.WindFromDeg = j.with(h.WindMps, func(o *Observation) Maybe[float64] { return widen(o.WindFromDeg) })
	h.GustMps = j.with(h.WindMps, func(o *Observation) Maybe[float64] { return widen(o.GustMps) })
	if s, ok := j.station(h.QNHHPa); ok {
		whole, _ := j.at(s, at, wholeHPa)
		h.WholeHPa = whole.value > 0
	}
	j.fillFromReanalysis(&h)
	j.fillFromForecast(&h)
	return h
}

func widen[T ~float64](m Maybe[T]) Maybe[float64] {
	return Maybe[float64]{Value: float64(m.Value), Known: m.Known}
}

func cloudFraction(o *Observation) Maybe[float64] {
	if !o.CloudOktas.Known {
		return Maybe[float64]{}
	}
	return Known(math.Min(1, float64(o.CloudOktas.Value)/8))
}

// stationValue is what one station says of an hour, and when it said it.
type stationValue struct {
	value float64
	at    time.Time
	kind  Kind
	doubt bool // the report is flagged as doubtful by its station or its archive
}

// at finds a station's value for an hour: the nearest report within half an
// hour, else a line between neighbours at most three hours apart.
func (j *joiner) at(s *reporter, hour time.Time, get func(*Observation) Maybe[float64]) (stationValue, bool) {
	all := s.reports
	var before, after *stationValue
	var held [2]stationValue // what they point to
	for i := s.around; i < len(all) && !all[i].At.After(hour.Add(longestBridge)) && !all[i].At.After(j.now); i++ {
		v := get(&all[i])
		if !v.Known {
			continue
		}
		sv := stationValue{value: v.Value, at: all[i].At, kind: Observed, doubt: all[i].LowTrust}
		if !sv.at.After(hour) {
			held[0] = sv
			before = &held[0]
			continue
		}
		held[1] = sv
		after = &held[1]
		break
	}
	if near, ok := nearest(hour, before, after); ok {
		return near, true
	}
	if before != nil && after != nil && after.at.Sub(before.at) <= longestBridge {
		share := float64(hour.Sub(before.at)) / float64(after.at.Sub(before.at))
		return stationValue{value: before.value + share*(after.value-before.value), at: before.at, kind: Interpolated, doubt: before.doubt || after.doubt}, true
	}
	return stationValue{}, false
}

// firstFrom is where the reports from an instant on begin.
func firstFrom(all []Observation, at time.Time) int {
	return sort.Search(len(all), func(i int) bool { return !all[i].At.Before(at) })
}

// nearest takes the nearer report within half an hour; the earlier of two that
// are equally near.
func nearest(hour time.Time, before, after *stationValue) (stationValue, bool) {
	var found *stationValue
	if before != nil && hour.Sub(before.at) <= nearestReport {
		found = before
	}
	if after != nil && after.at.Sub(hour) <= nearestReport && (found == nil || after.at.Sub(hour) < hour.Sub(found.at)) {
		found = after
	}
	if found == nil {
		return stationValue{}, false
	}
	return *found, true
}

// best takes the value of the best station that has one.
func (j *joiner) best(hour time.Time, get func(*Observation) Maybe[float64]) Reading {
	for i := range j.ranked {
		s := &j.ranked[i]
		if v, ok := j.at(s, hour, get); ok {
			return j.reading(s, v)
		}
	}
	return missing()
}

// mean is the weighted mean over the places that have the value, each moved to
// the water's height; it names the best of them.
func (j *joiner) mean(hour time.Time, get func(*Observation) Maybe[float64]) Reading {
	var sum, weights float64
	var places [2 * MostPlaces]string
	counted := places[:0]
	named := false
	r := missing()
	for i := range j.ranked {
		s := &j.ranked[i]
		if named && s.Wished == 0 {
			break
		}
		if slices.Contains(counted, s.place) {
			continue
		}
		v, ok := j.at(s, hour, get)
		if !ok {
			continue
		}
		if weights == 0 {
			r = j.reading(s, v)
		}
		counted, named = append(counted, s.place), s.Wished > 0
		sum += s.Weight * (v.value + lapseCPerM*float64(s.HeightM))
		weights += s.Weight
	}
	if weights > 0 {
		r.Value = sum / weights
	}
	return r
}

func (j *joiner) reading(s *reporter, v stationValue) Reading {
	return Reading{Value: v.value, Known: true, From: Provenance{
		Kind: v.kind, Source: s.Source, Station: s.ID, DistanceKm: Known(s.DistanceKm),
		At: Known(v.at), AgeMin: j.ageMin(v.at), LowTrust: v.doubt,
	}}
}

func (j *joiner) ageMin(at time.Time) Maybe[float64] { return MinutesSince(at, j.now) }

// MinutesSince is how old something of an instant is at another, in minutes. It is
// never negative: a feed's clock may be ahead of ours.
func MinutesSince(at, now time.Time) Maybe[float64] { return Known(max(0, now.Sub(at).Minutes())) }

func missing() Reading { return Reading{From: Provenance{Kind: Missing}} }

// station finds the station a reading came from.
func (j *joiner) station(r Reading) (*reporter, bool) {
	for i := range j.ranked {
		if s := &j.ranked[i]; r.Known && s.ID == r.From.Station && s.Source == r.From.Source {
			return s, true
		}
	}
	return nil, false
}

// with takes another value out of the very report that a reading came from;
// what was drawn between two reports has none.
func (j *joiner) with(r Reading, get func(*Observation) Maybe[float64]) Reading {
	s, ok := j.station(r)
	if !ok || r.From.Kind != Observed {
		return missing()
	}
	all := s.reports
	i := firstFrom(all, r.From.At.Value)
	if i == len(all) || !all[i].At.Equal(r.From.At.Value) {
		return missing()
	}
	v := get(&all[i])
	if !v.Known {
		return missing()
	}
	return Reading{Value: v.Value, Known: true, From: r.From}
}

// wholeHPa is 1 for a report with an altimeter setting in whole hectopascals, 0
// for one in finer steps.
func wholeHPa(o *Observation) Maybe[float64] {
	whole := Maybe[float64]{Known: o.QNHHPa.Known}
	if o.WholeHPa {
		whole.Value = 1
	}
	return whole
}

// Kind says how the hour's weather as a whole came to be, judged by air
// temperature and wind: missing when either is, else the least certain of them.
func (h WeatherHour) Kind() Kind {
	for _, k := range []Kind{Missing, Forecasted, Modelled, Interpolated} {
		if h.AirC.From.Kind == k || h.WindMps.From.Kind == k {
			return k
		}
	}
	return Observed
}
