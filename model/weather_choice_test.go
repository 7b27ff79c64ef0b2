package model_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"osier/model"
)

// weatherWith is the weather of hours of the choice tests, as known at 12:00.
func weatherWith(w model.Water, stations []model.Station, reports map[string][]model.Observation, hour time.Time) model.WeatherHour {
	in := model.Sources{Near: model.Near(w, stations), Observations: reports}
	return model.WeatherAt(in, hour, hour, chosenAt)[0]
}

func withAir(list []model.Observation, airC model.Celsius, wind model.MetresPerSecond) []model.Observation {
	for i := range list {
		list[i].AirC, list[i].WindMps = model.Known(airC), model.Known(wind)
	}
	return list
}

func TestOneReportThroughTwoFeedsCountsOnce(t *testing.T) {
	near, other := stationAt("NEAR", 10, 0), stationAt("ELSE", 20, 0)
	one := weatherWith(mere, []model.Station{near, other}, heard(
		withAir(hourly("feed", "NEAR", 1, 0), 10, 3), withAir(hourly("feed", "ELSE", 1, 0), 4, 5)), chosenAt)
	two := weatherWith(mere, []model.Station{near, of("second", near), of("third", stationAt("10001", 10.9, 0)), other}, heard(
		withAir(hourly("feed", "NEAR", 1, 0), 10, 3), withAir(hourly("second", "NEAR", 1, 0), 10, 3),
		withAir(hourly("third", "10001", 1, 0), 10, 3), withAir(hourly("feed", "ELSE", 1, 0), 4, 5)), chosenAt)
	// Weights exp(-1/9) and exp(-4/9).
	want := (10*math.Exp(-1.0/9) + 4*math.Exp(-4.0/9)) / (math.Exp(-1.0/9) + math.Exp(-4.0/9))
	if math.Abs(one.AirC.Value-want) > 1e-9 || math.Abs(two.AirC.Value-want) > 1e-9 {
		t.Errorf("%v C through one feed and %v through three, want %v", one.AirC.Value, two.AirC.Value, want)
	}
}

func TestATwinFillsTheHoursThatTheOtherLacks(t *testing.T) {
	near := stationAt("NEAR", 10, 0)
	gappy := slices.DeleteFunc(withAir(hourly("feed", "NEAR", 1, 0), 10, 3), func(o model.Observation) bool {
		ago := chosenAt.Sub(o.At)
		return ago >= 4*time.Hour && ago <= 8*time.Hour
	})
	second := slices.DeleteFunc(withAir(hourly("second", "NEAR", 1, 0), 9, 2), func(o model.Observation) bool {
		ago := chosenAt.Sub(o.At)
		return ago < 3*time.Hour || ago > 12*time.Hour
	})
	stations := []model.Station{near, of("second", near)}
	for ago, want := range map[int]float64{0: 10, 3: 10, 6: 9, 9: 10} {
		if h := weatherWith(mere, stations, heard(gappy, second), chosenAt.Add(-time.Duration(ago)*time.Hour)); h.AirC.Value != want {
			t.Errorf("%d hours ago: %v C, want %v", ago, h.AirC.Value, want)
		}
	}
}

func TestASilentStationGivesWayAndKeepsItsOldHours(t *testing.T) {
	near, far := stationAt("NEAR", 5, 0), stationAt("FARR", 25, 0)
	reports := heard(withAir(hourly("feed", "NEAR", 1, 11), 10, 3), withAir(hourly("feed", "FARR", 1, 0), 4, 5))
	stations := []model.Station{near, far}
	if h := weatherWith(mere, stations, reports, chosenAt); h.WindMps.Value != 5 || h.AirC.Value != 4 || h.WindMps.From.Station != "FARR" {
		t.Errorf("now: wind %+v, air %+v; want those of the station that reports", h.WindMps, h.AirC)
	}
	// The day before, the near station was good.
	before := chosenAt.Add(-24 * time.Hour)
	h := weatherWith(mere, stations, reports, before)
	if h.WindMps.Value != 3 || h.WindMps.From.Station != "NEAR" {
		t.Errorf("the day before: wind %+v, want the near station's", h.WindMps)
	}
	// And that hour is the same whether asked then or when the station is long
	// silent: what was joined does not change because of what came later.
	long := model.Sources{Near: model.Near(mere, stations), Observations: reports}
	later := model.WeatherAt(long, before, before, chosenAt.AddDate(0, 1, 0))[0]
	if later.WindMps.Value != h.WindMps.Value || later.AirC.Value != h.AirC.Value {
		t.Errorf("asked a month later: wind %v and air %v, want %v and %v", later.WindMps.Value, later.AirC.Value, h.WindMps.Value, h.AirC.Value)
	}
}

func TestTheWatersSourcesOverrule(t *testing.T) {
	near, far := stationAt("NEAR", 5, 0), stationAt("FARR", 25, 0)
	gap := chosenAt.Add(-6 * time.Hour)
	reports := heard(withAir(hourly("feed", "NEAR", 1, 0), 10, 3), slices.DeleteFunc(withAir(hourly("feed", "FARR", 1, 0), 4, 5), func(o model.Observation) bool {
		return o.At.Sub(gap).Abs() < 3*time.Hour
	}))
	for _, c := range []struct {
		name    string
		sources model.WaterSources
		hour    time.Time
		air     float64
		wind    float64
	}{
		{"named: its values alone", model.WaterSources{Use: []string{"FARR"}}, chosenAt, 4, 5},
		{"where it lacks an hour another serves", model.WaterSources{Use: []string{"FARR"}}, gap, 10, 3},
		{"left out: not even where others lack an hour", model.WaterSources{Avoid: []string{"feed/NEAR"}}, gap, math.NaN(), math.NaN()},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := mere
			w.Sources = c.sources
			h := weatherWith(w, []model.Station{near, far}, reports, c.hour)
			if h.AirC.Known == math.IsNaN(c.air) || h.AirC.Known && (h.AirC.Value != c.air || h.WindMps.Value != c.wind) {
				t.Errorf("air %+v, wind %+v; want %v and %v", h.AirC, h.WindMps, c.air, c.wind)
			}
		})
	}
}

func TestAReanalysisIsNeverTakenForAReport(t *testing.T) {
	in := sources([]model.Station{stationAt("AAAA", 5, 0)}, reportAt("AAAA", "09:00", airC(7), windMps(2), qnh(1012, true)))
	modelled := func(hourMinute string, air model.Celsius) model.Observation {
		o := reportAt("52.00,-1.00", hourMinute, airC(air), windMps(6), fromDeg(270), gustMps(11), seaLevel(1003), rain(0.4, 1), oktas(8))
		o.Source = "grid-archive"
		return o
	}
	in.Reanalysis = []model.Observation{modelled("09:00", 20), modelled("10:00", 21), modelled("13:00", 23)}
	in.Forecasts = []model.Forecast{issued("06:00", step("09:00", 1, 1, 0), step("10:00", 1, 2, 0), step("11:00", 1, 3, 0), step("12:00", 1, 4, 0), step("13:00", 1, 5, 0))}
	observed := hourKnownAt(in, "09:00", "12:30")
	if observed.AirC.Value != 7 || observed.WindMps.Value != 2 || observed.GustMps.Known || observed.SeaLevelHPa.Known || observed.Kind() != model.Observed {
		t.Errorf("beside a report: %+v, want the report's, no gust of another wind, and no second kind of pressure", observed)
	}
	if observed.Cloud.Value != 1 || observed.Cloud.From.Kind != model.Modelled {
		t.Errorf("cloud %+v, want what the report lacks, as modelled", observed.Cloud)
	}
	h := hourKnownAt(in, "10:00", "12:30")
	if h.AirC.Value != 21 || h.GustMps.Value != 11 || h.WindFromDeg.Value != 270 || h.RainMm.Value != 0.4 || h.SeaLevelHPa.Value != 1003 || h.Kind() != model.Modelled {
		t.Errorf("without a report: %+v, want the reanalysis, as modelled", h)
	}
	if from := h.AirC.From; from.Kind != model.Modelled || from.Source != "grid-archive" || from.Station != "" || from.DistanceKm.Known || from.AgeMin.Value != 150 {
		t.Errorf("provenance %+v, want its source and age, and no station", from)
	}
	if h := hourKnownAt(in, "11:00", "12:30"); h.AirC.Value != 3 || h.AirC.From.Kind != model.Forecasted {
		t.Errorf("an hour it lacks: %+v, want the forecast and no line drawn", h.AirC)
	}
	if h := hourKnownAt(in, "13:00", "12:30"); h.AirC.Value != 5 {
		t.Errorf("an hour to come: %+v, want the forecast", h.AirC)
	}
}

func TestAnAgeIsNeverNegative(t *testing.T) {
	in := model.Sources{Forecasts: []model.Forecast{issued("12:30", step("13:00", 1, 13, 0))}}
	if from := hourKnownAt(in, "13:00", "12:10").AirC.From; from.AgeMin != model.Known(0.0) || from.ConfirmedMin != model.Known(0.0) {
		t.Errorf("issued by a clock ahead of ours: %+v, want an age of none", from)
	}
}
