package plan

import (
	"fmt"
	"time"

	"osier/model"
	"osier/model/air"
	"osier/model/caution"
	"osier/model/solar"
	"osier/model/water"
)

// beforeStart is how much weather before the hours asked for the cautions look
// at (yesterday's thunder, and the dry week before it), and afterEnd how much after them: thunder
// on its way.
const (
	beforeStart = (8*24 + 3) * time.Hour
	afterEnd    = 4 * time.Hour
)

// When the weather is called stale: a report by its age (weather pack, section
// 4), a forecast by how long ago its feed last stood by it (cautions pack,
// section 1).
const (
	staleReportMin   = 90
	staleForecastMin = 6 * 60
)

// Surroundings is what is known of an outing besides the weather.
type Surroundings struct {
	caution.Around
	Credits []string // by feed, as their licences ask
	Version string   // of the weather
	Demo    bool
}

// Conditions says what the weather means at the water in the hours from one
// instant to another, with the cautions that follow from it.
func (h *History) Conditions(from, to time.Time, s Surroundings) (model.Conditions, error) {
	hours, err := h.toldHours(from, to)
	if err != nil {
		return model.Conditions{}, err
	}
	sun, err := h.sun(from)
	if err != nil {
		return model.Conditions{}, err
	}
	cautions, err := h.cautions(from, to, s)
	if err != nil {
		return model.Conditions{}, err
	}
	c := model.Conditions{
		Water: h.Water.ID, AskedAt: h.Now, Zone: h.Water.Zone, Version: s.Version, Credits: s.Credits,
		Sun: sun, Hours: hours, Cautions: cautions, Deferral: model.Deferral, Demo: s.Demo,
	}
	c.Source, c.AgeMin = h.newest(from, to)
	c.Stale = h.stale(from, to)
	c.Notes = h.notes(hours)
	return c, nil
}

func (h *History) cautions(from, to time.Time, s Surroundings) ([]model.Caution, error) {
	hours, err := h.conditionHours(from.Add(-beforeStart), to.Add(afterEnd))
	if err != nil {
		return nil, err
	}
	found := caution.Check(caution.Input{
		Around: s.Around, Water: h.Water, Zone: h.zone, From: from, Until: to, Hours: hours,
		Now: h.Now, ForecastAgeH: h.forecastAgeH(from, to),
	})
	return append([]model.Caution{}, found...), nil // a list, if an empty one
}

// conditionHours are the hours of a span by their values, which is what cautions go
// by: without where each came from. They may be shared, and stay as they are.
func (h *History) conditionHours(from, to time.Time) ([]model.ConditionHour, error) {
	first, last := h.span(from, to)
	if h.conditions != nil {
		return h.conditions[first:last:last], nil
	}
	out := make([]model.ConditionHour, 0, last-first)
	for i := first; i < last; i++ {
		c, err := h.condition(i)
		if err != nil {
			return nil, fmt.Errorf("conditions at %s: %w", h.hours[i].At.Format(time.RFC3339), err)
		}
		out = append(out, c)
	}
	return out, nil
}

// toldHours are the hours of a span with where each value came from, and how old it
// is now.
func (h *History) toldHours(from, to time.Time) ([]model.ConditionHour, error) {
	hours, err := h.conditionHours(from, to)
	if err != nil {
		return nil, err
	}
	hours = append(make([]model.ConditionHour, 0, len(hours)), hours...)
	first, _ := h.span(from, to)
	for i := range hours {
		hours[i].Provenance = h.provenance(&h.hours[first+i], &hours[i])
		hours[i].Thunder.From = h.aged(hours[i].Thunder.From)
	}
	return hours, nil
}

// condition is one hour: what was read, and what follows from it.
func (h *History) condition(i int) (model.ConditionHour, error) {
	w := h.hours[i]
	elevation, ok := solar.Elevation(h.Water.LatDeg, h.Water.LonDeg, w.At)
	if !ok {
		return model.ConditionHour{}, fmt.Errorf("the sun's height is not known")
	}
	pressure, kind := w.Pressure()
	c := model.ConditionHour{
		At: w.At.In(h.zone), Weather: w.Kind(),
		AirC:        known[model.Celsius](w.AirC),
		DewC:        known[model.Celsius](w.DewC),
		RHPct:       humidity(w),
		WindMps:     known[model.MetresPerSecond](w.WindMps),
		WindFromDeg: known[model.Degrees](w.WindFromDeg),
		GustMps:     known[model.MetresPerSecond](w.GustMps),
		PressureHPa: known[model.Hectopascals](pressure), PressureKind: kind,
		RainMm: known[model.Millimetres](w.RainMm), CloudFraction: known[float64](w.Cloud),
		WaterC: h.waterEstimate(i, h.corrected), Light: h.darkest(i, elevation), SunElevationDeg: air.Round(elevation, 2),
		Thunder: w.Thunder, Change24hHPa: h.change24h(i),
	}
	if !c.DewC.Known && c.AirC.Known && c.RHPct.Known {
		if dew, ok := air.DewPoint(float64(c.AirC.Value), c.RHPct.Value); ok {
			c.DewC = model.Known(model.Celsius(dew))
		}
	}
	t := h.trend(i)
	c.TendencyText, c.TendencyNote = t.Word, t.Note
	if t.Known {
		c.Tendency3hHPa = model.Known(model.Hectopascals(t.ChangeHPa))
	}
	c.FeelsLikeC, c.FeelsLikeKind = feelsLike(c)
	return c, nil
}

func known[T ~float64](r model.Reading) model.Maybe[T] {
	return model.Maybe[T]{Value: T(r.Value), Known: r.Known}
}

// feelsLike is missing in the cold when nobody measured the wind.
func feelsLike(c model.ConditionHour) (model.Maybe[model.Celsius], string) {
	if !c.AirC.Known {
		return model.Maybe[model.Celsius]{}, ""
	}
	const notMeasured = -1 // air.FeelsLike takes a negative wind as not known
	wind := float64(c.WindMps.Or(notMeasured))
	feels, kind := air.FeelsLike(float64(c.AirC.Value), wind, c.RHPct.Value, c.RHPct.Known)
	if kind == "unknown" {
		return model.Maybe[model.Celsius]{}, ""
	}
	return model.Known(model.Celsius(feels)), kind
}

// darkest is the light of the darker end of the hour: night that falls within it
// is what somebody alone must know.
func (h *History) darkest(i int, elevationDeg float64) model.Light {
	end, ok := solar.Elevation(h.Water.LatDeg, h.Water.LonDeg, h.hours[i].At.Add(time.Hour))
	if ok && end < elevationDeg {
		return lightAt(end)
	}
	return lightAt(elevationDeg)
}

// lightAt sorts the sun's height: it rises and sets at -0.833 degrees, which
// holds its radius and the bending of light, and civil twilight ends at -6
// (NOAA solar calculation details).
func lightAt(elevationDeg float64) model.Light {
	switch {
	case elevationDeg >= -0.833:
		return model.Daylight
	case elevationDeg >= -6:
		return model.Twilight
	}
	return model.Dark
}

// provenance says of each value where it came from. What is computed from
// readings comes from where they do, and is missing where it could not be.
func (h *History) provenance(w *model.WeatherHour, c *model.ConditionHour) map[string]model.Provenance {
	pressure, _ := w.Pressure()
	humid := w.DewC.From
	if !w.DewC.Known {
		humid = w.RHPct.From
	}
	p := map[string]model.Provenance{
		"relative_humidity_pct":    ifKnown(c.RHPct.Known, humid),
		"feels_like_c":             ifKnown(c.FeelsLikeC.Known, w.AirC.From),
		"pressure_tendency_3h_hpa": ifKnown(c.Tendency3hHPa.Known, pressure.From),
		"pressure_change_24h_hpa":  ifKnown(c.Change24hHPa.Known, pressure.From),
		"air_temp_c":               w.AirC.From, "dew_point_c": w.DewC.From, "wind_mps": w.WindMps.From,
		"wind_from_deg": w.WindFromDeg.From, "gust_mps": w.GustMps.From, "pressure_hpa": pressure.From,
		"rain_mm": w.RainMm.From, "cloud_fraction": w.Cloud.From, "thunder": w.Thunder.From,
		"water_temp_c": {Kind: model.Modelled, Source: waterSource(c.WaterC.CalibratedBy)},
	}
	if c.WaterC.Kind == model.Assumed {
		p["water_temp_c"] = model.Provenance{Kind: model.Assumed, Source: "climate of the water"}
	}
	for name, from := range p {
		p[name] = h.aged(from)
	}
	return p
}

// ifKnown is the provenance of a computed value, missing where there is none.
func ifKnown(known bool, from model.Provenance) model.Provenance {
	if !known {
		return model.Provenance{Kind: model.Missing}
	}
	return from
}

func (h *History) sun(at time.Time) (model.Sun, error) {
	t, ok := solar.SunTimes(h.Water.LatDeg, h.Water.LonDeg, at.In(h.zone))
	if !ok {
		return model.Sun{}, model.Invalidf("at", "give a day between 1900 and 2100", "the sun is not computed for %s", at.Format(time.DateOnly))
	}
	s := model.Sun{Noon: t.Noon.In(h.zone), DayLengthH: air.Round(t.DayLengthH(), 2)}
	if !t.Rise.IsZero() {
		s.Rise = model.Known(t.Rise.In(h.zone))
	}
	if !t.Set.IsZero() {
		s.Set = model.Known(t.Set.In(h.zone))
	}
	return s, nil
}

// newest names the best source of the hours in words, and the age in minutes
// of the newest report or forecast issue in use.
func (h *History) newest(from, to time.Time) (string, model.Maybe[float64]) {
	first, last := h.span(from, to)
	age := model.Maybe[float64]{}
	source := "no weather is known for these hours"
	for i := first; i < last; i++ {
		r := h.hours[i].AirC
		old := h.aged(r.From).AgeMin
		if !r.Known || age.Known && old.Value >= age.Value {
			continue
		}
		age = old
		source = r.From.Source
		if r.From.Station != "" {
			source = fmt.Sprintf("%s, station %s, %.0f km away", r.From.Source, r.From.Station, r.From.DistanceKm.Value)
		}
	}
	return source, age
}

// stale says whether any hour still to come, or now, rests on weather that is
// out of date, or on none; of hours that are all over, whether the last does.
func (h *History) stale(from, to time.Time) bool {
	first, last := h.span(from, to)
	if first == last {
		return true
	}
	ahead := first
	for ahead < last-1 && !h.hours[ahead].At.Add(time.Hour).After(h.Now) {
		ahead++
	}
	for i := ahead; i < last; i++ {
		if h.hourStale(i) {
			return true
		}
	}
	return false
}

// hourStale judges an hour by the age of its report, or by how long ago the feed
// stood by its forecast.
func (h *History) hourStale(i int) bool {
	from := h.aged(h.hours[i].AirC.From)
	switch from.Kind {
	case model.Forecasted:
		return from.ConfirmedMin.Or(staleForecastMin+1) > staleForecastMin
	case model.Observed, model.Interpolated:
		return from.AgeMin.Value > staleReportMin
	}
	return true
}

// forecastAgeH is how long ago the feed last stood by the forecast that the
// hours rest on; of several, the longest.
func (h *History) forecastAgeH(from, to time.Time) model.Maybe[float64] {
	first, last := h.span(from, to)
	oldest := model.Maybe[float64]{}
	for i := first; i < last; i++ {
		for _, r := range []model.Reading{h.hours[i].AirC, h.hours[i].WindMps} {
			if from := h.aged(r.From); from.Kind == model.Forecasted && from.ConfirmedMin.Value/60 > oldest.Or(-1) {
				oldest = model.Known(from.ConfirmedMin.Value / 60)
			}
		}
	}
	return oldest
}

// notes says in plain words what a reader of the hours must know.
func (h *History) notes(hours []model.ConditionHour) []string {
	notes := []string{}
	missing, unknownTrend, assumed := 0, 0, 0
	for _, c := range hours {
		if c.Weather == model.Missing {
			missing++
		}
		if !c.Tendency3hHPa.Known {
			unknownTrend++
		}
		if c.WaterC.Kind == model.Assumed {
			assumed++
		}
	}
	if missing > 0 {
		notes = append(notes, fmt.Sprintf("Weather is missing for %d of %d hours.", missing, len(hours)))
	}
	if unknownTrend > 0 {
		notes = append(notes, fmt.Sprintf("The pressure trend is unknown in %d of %d hours: no report or forecast of the same source lies three hours before.", unknownTrend, len(hours)))
	}
	if assumed > 0 {
		mean, span, given := h.Water.Climate()
		word := "assumed"
		if given {
			word = "given for this water"
		}
		notes = append(notes, fmt.Sprintf("The water temperature comes from the climate alone (mean %g C, range %g C, %s), give or take %g C: there is too little past weather to model it.",
			float64(mean), float64(span), word, water.ClimateHalfWidthC))
	}
	return notes
}
