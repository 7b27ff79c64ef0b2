package plan_test

import (
	"time"

	"osier/model"
	"osier/model/activity"
)

func priorOf(g model.Group) (activity.Fit, error) { return activity.PriorFit(string(g)) }

// thundery is a series with thunder forecast for some of the hours planned.
func thundery(hours ...int) []model.WeatherHour {
	s := series(ordinary)
	for _, h := range hours {
		hourOf(s, start.Add(time.Duration(h)*time.Hour)).Thunder.Symbol = model.Known(true)
	}
	return s
}

// without is a series in which some of the readings of the hours planned are
// missing.
func without(readings ...func(*model.WeatherHour) *model.Reading) []model.WeatherHour {
	s := series(ordinary)
	for h := range 4 {
		for _, r := range readings {
			*r(hourOf(s, start.Add(time.Duration(h)*time.Hour))) = gone
		}
	}
	return s
}

func theAir(h *model.WeatherHour) *model.Reading  { return &h.AirC }
func theWind(h *model.WeatherHour) *model.Reading { return &h.WindMps }

// nothing is a series in which nobody tells anything.
func nothing() []model.WeatherHour {
	s := series(ordinary)
	for i := range s {
		s[i] = model.WeatherHour{At: s[i].At, AirC: gone, DewC: gone, RHPct: gone, WindMps: gone, WindFromDeg: gone, GustMps: gone, SeaLevelHPa: gone, QNHHPa: gone, RainMm: gone, Cloud: gone}
	}
	return s
}

// everyWeather is weather that a plan must come through.
func everyWeather() map[string][]model.WeatherHour {
	return map[string][]model.WeatherHour{
		"ordinary": series(ordinary),
		"nothing":  nothing(),
		"no wind":  without(theWind),
		"thunder":  thundery(0, 1, 2, 3),
		"frost": series(func(at time.Time) values {
			v := ordinary(at)
			v.air, v.dew = v.air-20, v.dew-20
			return v
		}),
		"heat": series(func(at time.Time) values {
			v := ordinary(at)
			v.air, v.dew = v.air+18, v.dew+10
			return v
		}),
		"gale": series(func(at time.Time) values {
			v := ordinary(at)
			v.wind, v.gust = 13, 17
			return v
		}),
		"calm": series(func(at time.Time) values {
			v := ordinary(at)
			v.wind, v.gust, v.rain = 0, 0, 12
			return v
		}),
	}
}
