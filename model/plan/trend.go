package plan

import (
	"time"

	"osier/model"
	"osier/model/air"
)

// trendWindow is how far back readings are gathered for a three-hour trend: a
// base may lie up to two hours before the three.
const trendWindow = 5

// trend is the pressure trend up to hour i, from the readings of one station
// (or one forecast) and one kind: reduced to sea level when that gives a
// trend, else altimeter settings.
func (h *History) trend(i int) air.Trend {
	t := air.ThreeHourTrend(h.readings(i, trendWindow, seaLevel), false)
	if !h.fresh(t, i) {
		whole := h.hours[i].WholeHPa
		t = air.ThreeHourTrend(h.readings(i, trendWindow, qnh), whole)
	}
	if !h.fresh(t, i) {
		return air.Trend{Word: "unknown", Code: -1}
	}
	return t
}

// pressureChanges are the changes over the 3 and the 24 hours up to hour i.
func (h *History) pressureChanges(i int) (over3h, over24h model.Maybe[model.Hectopascals]) {
	if h.conditions != nil { // worked out already
		return h.conditions[i].Tendency3hHPa, h.conditions[i].Change24hHPa
	}
	if t := h.trend(i); t.Known {
		over3h = model.Known(model.Hectopascals(t.ChangeHPa))
	}
	return over3h, h.change24h(i)
}

func (h *History) fresh(t air.Trend, i int) bool { return t.Known && !t.Stale(h.hours[i].At) }

// change24h is the pressure change over the 24 hours up to hour i, by the same
// rules.
func (h *History) change24h(i int) model.Maybe[model.Hectopascals] {
	const window = 26
	for _, pressure := range []func(*model.WeatherHour) *model.Reading{seaLevel, qnh} {
		if change, ok := air.ChangeOver(h.readings(i, window, pressure), 24*time.Hour); ok {
			return model.Known(model.Hectopascals(change))
		}
	}
	return model.Maybe[model.Hectopascals]{}
}

func seaLevel(h *model.WeatherHour) *model.Reading { return &h.SeaLevelHPa }
func qnh(h *model.WeatherHour) *model.Reading      { return &h.QNHHPa }

// readings gathers the pressures of the hours up to i that come from where hour
// i's comes from, of forecasts from the same issue: two runs of a model differ by
// more than the air changes. Observed values keep the time of their report; values drawn
// between reports are left out.
func (h *History) readings(i, hoursBack int, pressure func(*model.WeatherHour) *model.Reading) []air.Reading {
	newest := pressure(&h.hours[i])
	if !newest.Known {
		return nil
	}
	out := make([]air.Reading, 0, hoursBack+1)
	for j := max(0, i-hoursBack); j <= i; j++ {
		r := pressure(&h.hours[j])
		if !r.Known || r.From.Station != newest.From.Station || r.From.Source != newest.From.Source || r.From.Kind == model.Forecasted && r.From.At != newest.From.At {
			continue
		}
		switch r.From.Kind {
		case model.Observed:
			out = append(out, air.Reading{At: r.From.At.Value, HPa: r.Value})
		case model.Forecasted:
			out = append(out, air.Reading{At: h.hours[j].At, HPa: r.Value})
		}
	}
	return out
}
