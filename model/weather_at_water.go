package model

import (
	"math"
	"slices"
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
// of time, and forecasts, the newest issue first.
type Sources struct {
	Near         []NearStation
	Observations map[string][]Observation // by StationKey
	Forecasts    []Forecast
}

// StationKey names a station of a feed.
func StationKey(source, id string) string { return source + "/" + id }

// WeatherAt makes the hourly series at a water from the first whole hour not
// before from to the last not after to. Temperature and dew point are the
// weighted mean of the stations that have them, moved to the water's height;
// everything else is the best station's, never averaged. No report after now is
// read. Hours that no station covers are the forecast's where there is one, and
// otherwise missing. Every value carries its provenance, aged at now.
func WeatherAt(in Sources, from, to, now time.Time) []WeatherHour {
	j := joiner{in: in, now: now}
	var hours []WeatherHour
	for at := ceilHour(from); !at.After(to); at = at.Add(time.Hour) {
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
}

func (j joiner) hour(at time.Time) WeatherHour {
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
}

// at finds a station's value for an hour: the nearest report within half an
// hour, else a line between neighbours at most three hours apart.
func (j joiner) at(s NearStation, hour time.Time, get func(*Observation) Maybe[float64]) (stationValue, bool) {
	all := j.in.Observations[StationKey(s.Source, s.ID)]
	first, _ := slices.BinarySearchFunc(all, hour.Add(-longestBridge), func(o Observation, t time.Time) int { return o.At.Compare(t) })
	var before, after *stationValue
	for i := first; i < len(all) && !all[i].At.After(hour.Add(longestBridge)) && !all[i].At.After(j.now); i++ {
		v := get(&all[i])
		if !v.Known {
			continue
		}
		sv := stationValue{value: v.Value, at: all[i].At, kind: Observed}
		if !sv.at.After(hour) {
			before = &sv
			continue
		}
		after = &sv
		break
	}
	if near, ok := nearest(hour, before, after); ok {
		return near, true
	}
	if before != nil && after != nil && after.at.Sub(before.at) <= longestBridge {
		share := float64(hour.Sub(before.at)) / float64(after.at.Sub(before.at))
		return stationValue{value: before.value + share*(after.value-before.value), at: before.at, kind: Interpolated}, true
	}
	return stationValue{}, false
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
func (j joiner) best(hour time.Time, get func(*Observation) Maybe[float64]) Reading {
	for _, s := range j.in.Near {
		if v, ok := j.at(s, hour, get); ok {
			return j.reading(s, v)
		}
	}
	return missing()
}

// mean is the weighted mean over the stations that have the value, each moved
// to the water's height; it names the best of them.
func (j joiner) mean(hour time.Time, get func(*Observation) Maybe[float64]) Reading {
	var sum, weights float64
	r := missing()
	for _, s := range j.in.Near {
		v, ok := j.at(s, hour, get)
		if !ok {
			continue
		}
		if weights == 0 {
			r = j.reading(s, v)
		}
		sum += s.Weight * (v.value + lapseCPerM*float64(s.HeightM))
		weights += s.Weight
	}
	if weights > 0 {
		r.Value = sum / weights
	}
	return r
}

func (j joiner) reading(s NearStation, v stationValue) Reading {
	return Reading{Value: v.value, Known: true, From: Provenance{
		Kind: v.kind, Source: s.Source, Station: s.ID, DistanceKm: Known(s.DistanceKm),
		At: Known(v.at), AgeMin: Known(j.now.Sub(v.at).Minutes()),
	}}
}

func missing() Reading { return Reading{From: Provenance{Kind: Missing}} }

// station finds the station a reading came from.
func (j joiner) station(r Reading) (NearStation, bool) {
	for _, s := range j.in.Near {
		if r.Known && s.ID == r.From.Station && s.Source == r.From.Source {
			return s, true
		}
	}
	return NearStation{}, false
}

// with takes another value out of the very report that a reading came from;
// what was drawn between two reports has none.
func (j joiner) with(r Reading, get func(*Observation) Maybe[float64]) Reading {
	s, ok := j.station(r)
	if !ok || r.From.Kind != Observed {
		return missing()
	}
	all := j.in.Observations[StationKey(s.Source, s.ID)]
	i, ok := slices.BinarySearchFunc(all, r.From.At.Value, func(o Observation, t time.Time) int { return o.At.Compare(t) })
	if !ok {
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

// rain is the depth of the hour before, its even share of the report whose
// time covers it. That time ends at the whole hour nearest to the report:
// stations that report some minutes before the hour are common.
func (j joiner) rain(hour time.Time) Reading {
	const longest = 24 * time.Hour
	for _, s := range j.in.Near {
		all := j.in.Observations[StationKey(s.Source, s.ID)]
		i, _ := slices.BinarySearchFunc(all, hour.Add(-nearestReport), func(o Observation, t time.Time) int { return o.At.Compare(t) })
		for ; i < len(all) && !all[i].At.After(hour.Add(longest)) && !all[i].At.After(j.now); i++ {
			r, until := all[i].Rain, all[i].At.Round(time.Hour)
			if !r.Known || r.Value.OverH < 1 || hour.Add(-time.Hour).Before(until.Add(-time.Duration(r.Value.OverH*float64(time.Hour)))) {
				continue
			}
			kind := Observed
			if r.Value.OverH > 1 {
				kind = Interpolated
			}
			return j.reading(s, stationValue{value: float64(r.Value.Mm) / r.Value.OverH, at: all[i].At, kind: kind})
		}
	}
	return missing()
}

// thunder is what the near stations heard in the hour up to At. One that heard
// it outranks any that did not, and a silence proves nothing.
func (j joiner) thunder(hour time.Time) ThunderHour {
	t := ThunderHour{From: Provenance{Kind: Missing}}
	for _, s := range j.in.Near {
		if s.DistanceKm > thunderReachKm {
			continue
		}
		all := j.in.Observations[StationKey(s.Source, s.ID)]
		i, _ := slices.BinarySearchFunc(all, hour.Add(-time.Hour), func(o Observation, t time.Time) int { return o.At.Compare(t.Add(1)) })
		for ; i < len(all) && !all[i].At.After(hour) && !all[i].At.After(j.now); i++ {
			if louder(all[i].Thunder, t.Observed) {
				t.Observed = all[i].Thunder
				t.From = j.reading(s, stationValue{at: all[i].At, kind: Observed}).From
			}
		}
	}
	return t
}

func louder(a, b Thunder) bool {
	order := []Thunder{ThunderUnknown, ThunderNone, ThunderVicinity, ThunderRecent, ThunderNow}
	return slices.Index(order, a) > slices.Index(order, b)
}

// fillFromForecast gives what no station gave from the newest issue that covers
// the hour.
func (j joiner) fillFromForecast(h *WeatherHour) {
	for i := range j.in.Forecasts {
		f := &j.in.Forecasts[i]
		step, ok := f.at(h.At)
		if !ok {
			continue
		}
		from := Provenance{Kind: Forecasted, Source: f.Source, At: Known(f.IssuedAt), AgeMin: Known(j.now.Sub(f.IssuedAt).Minutes()), ConfirmedMin: Known(j.now.Sub(f.ConfirmedAt).Minutes())}
		fill := func(r *Reading, v Maybe[float64]) bool {
			if r.Known || !v.Known {
				return false
			}
			*r = Reading{Value: v.Value, Known: true, From: from}
			return true
		}
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

// Kind says how the hour's weather as a whole came to be, judged by air
// temperature and wind: missing when either is, else the least certain of them.
func (h WeatherHour) Kind() Kind {
	for _, k := range []Kind{Missing, Forecasted, Interpolated} {
		if h.AirC.From.Kind == k || h.WindMps.From.Kind == k {
			return k
		}
	}
	return Observed
}
