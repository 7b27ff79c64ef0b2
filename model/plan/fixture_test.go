package plan_test

import (
	"math"
	"testing"
	"time"

	"osier/model"
	"osier/model/activity"
	"osier/model/plan"
)

// now is the instant every test asks at; the hours planned are those of the
// next morning.
var (
	now   = time.Date(2026, 2, 6, 12, 0, 0, 0, time.UTC)
	start = time.Date(2026, 2, 7, 9, 0, 0, 0, time.UTC)
)

const pastHours, hoursAhead = 12 * 24, 40

var reedmere = model.Water{
	ID: "reedmere", Name: "Reedmere", LatDeg: 52.2, LonDeg: -0.9, ElevationM: 60, MeanDepthM: 2, Bank: "grass", Colour: "tinged",
	Zone: "Europe/London", Groups: model.Groups(),
}

// values are the weather of an invented hour.
type values struct{ air, dew, wind, from, gust, hPa, rain, cloud float64 }

// ordinary is a mild February: air swings about 7 C, a light wind, steady
// pressure, half a sky of cloud.
func ordinary(at time.Time) values {
	swing := math.Sin(2 * math.Pi * float64(at.Hour()-9) / 24)
	return values{air: 7 + 3*swing, dew: 4, wind: 3, from: 230, gust: 5, hPa: 1015, rain: 0, cloud: 0.5}
}

// series is the hourly weather from 12 days before now to 40 hours after:
// observed by one station until now, forecast from then on.
func series(weather func(time.Time) values) []model.WeatherHour {
	return seriesSince(pastHours, weather)
}

// seriesSince is a series that begins some hours before now.
func seriesSince(past int, weather func(time.Time) values) []model.WeatherHour {
	var hours []model.WeatherHour
	for i := -past; i <= hoursAhead; i++ {
		at := now.Add(time.Duration(i) * time.Hour)
		v := weather(at)
		from := model.Provenance{Kind: model.Observed, Source: "feed", Station: "AAAA", DistanceKm: model.Known(12.0), At: model.Known(at), AgeMin: model.Known(now.Sub(at).Minutes())}
		if at.After(now) {
			from = model.Provenance{Kind: model.Forecasted, Source: "grid", At: model.Known(now.Add(-time.Hour)), AgeMin: model.Known(60.0), ConfirmedMin: model.Known(20.0)}
		}
		r := func(v float64) model.Reading { return model.Reading{Value: v, Known: true, From: from} }
		hours = append(hours, model.WeatherHour{
			At: at, AirC: r(v.air), DewC: r(v.dew), WindMps: r(v.wind), WindFromDeg: r(v.from), GustMps: r(v.gust),
			SeaLevelHPa: r(v.hPa), RainMm: r(v.rain), Cloud: r(v.cloud),
			Thunder: model.ThunderHour{Observed: model.ThunderNone, Symbol: model.Known(false), Probability: model.Known(0.0), From: from},
		})
	}
	return hours
}

// hourOf finds an hour of a series, to be spoilt.
func hourOf(hours []model.WeatherHour, at time.Time) *model.WeatherHour {
	for i := range hours {
		if hours[i].At.Equal(at) {
			return &hours[i]
		}
	}
	panic("no such hour in the series")
}

var gone = model.Reading{From: model.Provenance{Kind: model.Missing}}

func history(t testing.TB, hours []model.WeatherHour) *plan.History {
	t.Helper()
	h, err := plan.NewHistory(reedmere, hours, nil, now)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func conditions(t testing.TB, hours []model.WeatherHour, from, to time.Time) model.Conditions {
	t.Helper()
	c, err := history(t, hours).Conditions(from, to, plan.Surroundings{Version: "w-test"})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// input asks for a plan of four hours of bream fishing with no records.
func input(t testing.TB, hours []model.WeatherHour) plan.Input {
	t.Helper()
	fit, err := activity.PriorFit("bream")
	if err != nil {
		t.Fatal(err)
	}
	h := history(t, hours)
	q := model.Question{Water: "reedmere", Start: start, Hours: 4, Group: model.Bream}
	usual := plan.OrdinaryDay(reedmere, start)
	day := h.Drivers(plan.Outing{Start: q.Start, End: q.End(), Group: q.Group})
	usual.DayOfYear, usual.MidHour, usual.LowLightShare = day.DayOfYear, day.MidHour, day.LowLightShare
	return plan.Input{
		Question: q, History: h, Around: plan.Surroundings{Version: "w-test"}, Fit: fit, FitID: "fit-0",
		Evidence: model.Evidence{Basis: "prior"}, Usual: usual,
	}
}

func build(t testing.TB, in plan.Input) model.Plan {
	t.Helper()
	p, err := plan.Build(in)
	if err != nil {
		t.Fatal(err)
	}
	return p
}
