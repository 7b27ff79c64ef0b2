package smhi

import (
	"time"

	"osier/model"
)

// Parse reads an answer of either shape. IssuedAt is the reference time, to
// which the model's run belongs. A fault in one value or one entry is a warning,
// and what it spoilt is missing; an answer that is no forecast at all is an
// error that says what it was. Entries come back in the order of time, each
// instant once.
func Parse(body []byte) (model.Forecast, []string, error) {
	doc, err := decode(body)
	if err != nil {
		return model.Forecast{}, nil, err
	}
	forecast := model.Forecast{Source: Source}
	if forecast.LonDeg, forecast.LatDeg, err = place(doc.Geometry.Coordinates); err != nil {
		return model.Forecast{}, nil, err
	}
	if forecast.IssuedAt, err = parseTime(doc.ReferenceTime); err != nil {
		return model.Forecast{}, nil, model.Invalidf("referenceTime", "it should be a time such as 2026-02-06T21:00:00Z", "%.40q is none", doc.ReferenceTime)
	}
	r := &reader{said: map[string]bool{}}
	entries := r.inOrder(doc.TimeSeries)
	if len(entries) == 0 {
		return model.Forecast{}, r.warnings, model.Invalidf("timeSeries", "a forecast lists hours with their time", "no entry in it has a time that can be read")
	}
	for i := range entries {
		h := r.hour(&entries[i])
		if i+1 < len(entries) {
			next := &entries[i+1]
			h.StepH = stepH(next.at.Sub(h.At))
			h.Rain = r.rainBetween(h.At, next)
		}
		forecast.Hours = append(forecast.Hours, h)
	}
	return forecast, r.warnings, nil
}

// hour reads what an entry says of its instant.
func (r *reader) hour(e *entry) model.ForecastHour {
	h := model.ForecastHour{
		At:                 e.at,
		AirC:               read[model.Celsius](r, e, airTemperature),
		RHPct:              read[float64](r, e, humidity),
		WindMps:            read[model.MetresPerSecond](r, e, windSpeed),
		WindFromDeg:        read[model.Degrees](r, e, windDirection),
		GustMps:            read[model.MetresPerSecond](r, e, gustSpeed),
		SeaLevelHPa:        read[model.Hectopascals](r, e, seaLevel),
		CloudFraction:      r.share(e, cloudCover),
		ThunderProbability: r.share(e, thunderChance),
	}
	if h.WindFromDeg.Value == 360 {
		h.WindFromDeg.Value = 0
	}
	if s, ok := r.value(e, symbol); ok {
		h.Thunder = model.Known(s == thunderstorm || s == thunder)
	}
	return h
}

// The weather symbols with thunder, of 1 to 27 (from memory).
const (
	thunderstorm = 11
	thunder      = 21
)

// longestStep is the longest step of the feed.
const longestStep = 12 * time.Hour

// stepH is how long an entry holds in hours: until the next one, or for its
// instant alone, which is 0, where a hole follows. So does the last entry.
func stepH(untilNext time.Duration) float64 {
	if untilNext > longestStep {
		return 0
	}
	return untilNext.Hours()
}

// rainBetween is what falls from one entry to the next by the word of the next.
// Where its interval is not that, the depth belongs to no step and is missing.
func (r *reader) rainBetween(from time.Time, next *entry) model.Maybe[model.Rain] {
	amount, ok := r.value(next, rainAmount)
	overH := stepH(next.at.Sub(from))
	if !ok || overH == 0 {
		return model.Maybe[model.Rain]{}
	}
	if next.Data == nil {
		amount *= overH
	} else if start := r.intervalStart(from, next); !start.Equal(from) {
		r.warn("%s: the precipitation is of the time since %s, which is no step; left out", next.Time, start.Format(time.RFC3339))
		return model.Maybe[model.Rain]{}
	}
	return model.Known(model.Rain{Mm: model.Millimetres(amount), OverH: overH})
}

// intervalStart is when the interval of an entry's precipitation begins: at the
// entry before, where the answer does not say it or lets the interval end as it
// begins, as a recording does.
func (r *reader) intervalStart(before time.Time, e *entry) time.Time {
	start, err := parseTime(e.IntervalStart)
	if err == nil && start.Before(e.at) {
		return start
	}
	if !r.said["interval"] {
		r.said["interval"] = true
		r.warn("%s: intervalParametersStartTime %.40q begins no interval; precipitation is taken as of the time since the entry before, here and wherever it is so", e.Time, e.IntervalStart)
	}
	return before
}
