package model_test

import (
	"math"
	"testing"

	"osier/model"
)

// step is an entry of a forecast with everything in it.
func step(hourMinute string, stepH, airC, rainMm float64) model.ForecastHour {
	h := model.ForecastHour{
		At: clock(hourMinute), StepH: stepH, AirC: model.Known(model.Celsius(airC)), DewC: model.Known(model.Celsius(airC - 3)), RHPct: model.Known(80.0),
		WindMps: model.Known(model.MetresPerSecond(airC / 2)), WindFromDeg: model.Known[model.Degrees](200), GustMps: model.Known(model.MetresPerSecond(airC)),
		SeaLevelHPa: model.Known(model.Hectopascals(1000 + airC)), CloudFraction: model.Known(0.5), ThunderProbability: model.Known(0.1), Thunder: model.Known(false),
	}
	if stepH > 0 {
		h.Rain = model.Known(model.Rain{Mm: model.Millimetres(rainMm), OverH: stepH})
	}
	return h
}

func issued(hourMinute string, hours ...model.ForecastHour) model.Forecast {
	return model.Forecast{Source: "grid", IssuedAt: clock(hourMinute), FetchedAt: clock(hourMinute), ConfirmedAt: clock(hourMinute), Hours: hours}
}

func TestTheForecastFollowsTheLastReport(t *testing.T) {
	in := sources([]model.Station{stationAt("AAAA", 5, 0)}, reportAt("AAAA", "11:00", airC(7), windMps(1), qnh(1012, true)), reportAt("AAAA", "12:00", airC(8), windMps(2)))
	in.Forecasts = []model.Forecast{issued("10:00", step("11:00", 1, 20, 0.4), step("12:00", 1, 21, 0), step("13:00", 1, 22, 0), step("14:00", 1, 23, 0))}
	hours := model.WeatherAt(in, clock("11:00"), clock("14:00"), clock("12:10"))
	for i, c := range []struct {
		air, wind float64
		kind      model.Kind
	}{{7, 1, model.Observed}, {8, 2, model.Observed}, {22, 11, model.Forecasted}, {23, 11.5, model.Forecasted}} {
		h := hours[i]
		if h.AirC.Value != c.air || h.WindMps.Value != c.wind || h.AirC.From.Kind != c.kind || h.Kind() != c.kind {
			t.Errorf("hour %s: air %+v, wind %v; want %v and %v, %s", h.At.Format("15:04"), h.AirC, h.WindMps.Value, c.air, c.wind, c.kind)
		}
	}
	if h := hours[1]; h.GustMps.Known || h.WindFromDeg.Known {
		t.Errorf("an observed wind took gust %+v and direction %+v of the forecast", h.GustMps, h.WindFromDeg)
	}
	if h := hours[0]; h.SeaLevelHPa.Known || h.RainMm.Known {
		t.Errorf("sea level %+v beside an altimeter setting, rain %+v of a time before the forecast; want neither", h.SeaLevelHPa, h.RainMm)
	}
	if h := hours[1]; h.RainMm.Value != 0.4 || h.RainMm.From.Kind != model.Forecasted {
		t.Errorf("rain %+v, want what the forecast gives for the hour before", h.RainMm)
	}
}

func TestStepsOfSixHoursAreDrawn(t *testing.T) {
	in := model.Sources{Forecasts: []model.Forecast{issued("05:00", step("05:00", 1, 5, 0.2), step("06:00", 6, 6, 3), step("12:00", 6, 12, 0), step("18:00", 0, 0, 0))}}
	for _, c := range []struct {
		name, hour            string
		air, wind, hPa, rainM float64
	}{
		{"the last step of an hour", "05:00", 5, 2.5, 1005, math.NaN()},
		{"the first of six", "06:00", 6, 3, 1006, 0.2},
		{"a third of the way", "08:00", 8, 4, 1008, 0.5},
		{"the end of six hours", "12:00", 12, 6, 1012, 0.5},
		{"on the way to the last entry, which lasts no time", "15:00", 6, 3, 1006, 0},
		{"the last entry itself", "18:00", 0, 0, 1000, 0},
		{"beyond it", "19:00", math.NaN(), math.NaN(), math.NaN(), math.NaN()},
		{"before the first", "04:00", math.NaN(), math.NaN(), math.NaN(), math.NaN()},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := hourKnownAt(in, c.hour, "05:30")
			for name, pair := range map[string]struct {
				got  model.Reading
				want float64
			}{"air": {h.AirC, c.air}, "wind": {h.WindMps, c.wind}, "pressure": {h.SeaLevelHPa, c.hPa}, "rain": {h.RainMm, c.rainM}} {
				if pair.got.Known == math.IsNaN(pair.want) || pair.got.Known && math.Abs(pair.got.Value-pair.want) > 1e-9 {
					t.Errorf("%s %+v, want %v", name, pair.got, pair.want)
				}
				if pair.got.Known && pair.got.From.Kind != model.Forecasted {
					t.Errorf("%s is %s, want forecast", name, pair.got.From.Kind)
				}
			}
		})
	}
	t.Run("no line over more than six hours", func(t *testing.T) {
		in := model.Sources{Forecasts: []model.Forecast{issued("05:00", step("06:00", 6, 6, 3), step("13:00", 6, 12, 0))}}
		if h := hourKnownAt(in, "09:00", "05:30"); h.AirC.Known {
			t.Errorf("got %+v, want it missing", h.AirC)
		}
	})
}

func TestTheNewestIssueThatCoversAnHourGivesIt(t *testing.T) {
	in := model.Sources{Forecasts: []model.Forecast{
		issued("12:00", step("13:00", 1, 13, 0), step("14:00", 1, 14, 0)),
		issued("06:00", step("12:00", 1, 2, 0), step("13:00", 1, 3, 0), step("14:00", 1, 4, 0), step("15:00", 1, 5, 0)),
	}}
	for hour, want := range map[string]float64{"12:00": 2, "13:00": 13, "14:00": 14, "15:00": 5} {
		if h := hourKnownAt(in, hour, "12:30"); h.AirC.Value != want {
			t.Errorf("%s: %v C, want %v", hour, h.AirC.Value, want)
		}
	}
}

func TestForecastThunderDoesNotUnsayWhatWasHeard(t *testing.T) {
	in := sources([]model.Station{stationAt("AAAA", 5, 0)}, reportAt("AAAA", "11:00", thunder(model.ThunderNow)), reportAt("AAAA", "12:00", thunder(model.ThunderNow)))
	in.Forecasts = []model.Forecast{issued("10:00", step("11:00", 1, 20, 0), step("12:00", 1, 21, 0), step("13:00", 1, 21, 0))}
	past := hourKnownAt(in, "11:00", "12:30").Thunder
	if past.Observed != model.ThunderNow || past.Symbol.Known || past.From.Kind != model.Observed {
		t.Errorf("an hour that is over: %+v, want only what was heard", past)
	}
	going := hourKnownAt(in, "12:00", "12:30").Thunder
	if going.Observed != model.ThunderNow || !going.Symbol.Known || going.Probability.Value != 0.1 {
		t.Errorf("the hour that is going on: %+v, want what was heard and what is forecast", going)
	}
	coming := hourKnownAt(in, "13:00", "12:30").Thunder
	if coming.Observed != model.ThunderUnknown || coming.Probability.Value != 0.1 || coming.From.Kind != model.Forecasted {
		t.Errorf("an hour to come: %+v, want the forecast", coming)
	}
}
