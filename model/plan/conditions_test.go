package plan_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"osier/model"
	"osier/model/plan"
	"osier/model/water"
)

func contains(text, part string) bool { return strings.Contains(text, part) }

func TestConditionsCoverTheHoursAskedFor(t *testing.T) {
	c := conditions(t, series(ordinary), start.Add(30*time.Minute), start.Add(4*time.Hour+30*time.Minute))
	var at []string
	for _, h := range c.Hours {
		at = append(at, h.At.Format("15:04"))
	}
	if got := strings.Join(at, " "); got != "09:00 10:00 11:00 12:00 13:00" {
		t.Errorf("hours %s, want every hour that half past nine to half past one touches", got)
	}
	if c.Deferral != model.Deferral || c.Version != "w-test" || c.Water != "reedmere" || c.Zone != "Europe/London" {
		t.Errorf("conditions %+v", c)
	}
	if c.Stale || c.Source != "grid" || c.AgeMin.Value != 60 {
		t.Errorf("source %q, age %+v, stale %v; want the forecast's, an hour old and confirmed since", c.Source, c.AgeMin, c.Stale)
	}
}

func TestFeelsLikeNeedsAWindInTheCold(t *testing.T) {
	for _, c := range []struct {
		name     string
		air      float64
		wind     model.Maybe[float64]
		want     model.Maybe[float64]
		wantKind string
	}{
		// NWS wind chill formula in its SI form (Environment Canada 2001):
		// 13.12 + 0.6215 T - 11.37 v^0.16 + 0.3965 T v^0.16, T in C, v in km/h.
		{"0 C in 18 km/h", 0, model.Known(5.0), model.Known(13.12 - 11.37*math.Pow(18, 0.16)), "wind_chill"},
		{"0 C, nobody measured the wind", 0, model.Maybe[float64]{}, model.Maybe[float64]{}, ""},
		{"0 C, calm", 0, model.Known(0.0), model.Known(0.0), "air_temperature"},
		{"15 C, nobody measured the wind", 15, model.Maybe[float64]{}, model.Known(15.0), "air_temperature"},
	} {
		t.Run(c.name, func(t *testing.T) {
			hours := series(ordinary)
			h := hourOf(hours, start)
			h.AirC.Value, h.DewC.Value = c.air, c.air-2
			if h.WindMps = (model.Reading{Value: c.wind.Value, Known: c.wind.Known, From: h.WindMps.From}); !c.wind.Known {
				h.WindMps = gone
			}
			got := conditions(t, hours, start, start.Add(time.Hour)).Hours[0]
			if got.FeelsLikeC.Known != c.want.Known || math.Abs(float64(got.FeelsLikeC.Value)-c.want.Value) > 0.06 || got.FeelsLikeKind != c.wantKind {
				t.Errorf("feels like %+v (%s), want %+v (%s)", got.FeelsLikeC, got.FeelsLikeKind, c.want, c.wantKind)
			}
		})
	}
}

func TestWithoutPastWeatherTheClimateAnswersGiveOrTakeFour(t *testing.T) {
	hours := series(ordinary)
	for i := range hours[:pastHours] {
		hours[i].AirC = gone
	}
	c := conditions(t, hours, start, start.Add(4*time.Hour))
	// Mean 10.5 C, range 7 C, warmest on day 206 (pack water-and-fish 2.1): day 38.
	want := 10.5 + 7*math.Sin(2*math.Pi*(38-115)/365.25)
	for _, h := range c.Hours {
		w := h.WaterC
		if w.Kind != model.Assumed || math.Abs(w.Value-want) > 0.05 || math.Abs(w.High-w.Value-water.ClimateHalfWidthC) > 0.02 || w.Ice {
			t.Errorf("water %+v, want %.2f C assumed, 4 C either way, and no word of ice", w, want)
		}
		// Water is not colder than its ice.
		if low := math.Max(0, w.Value-4); math.Abs(w.Low-low) > 0.02 {
			t.Errorf("low end %v, want %.2f", w.Low, low)
		}
		if h.Provenance["water_temp_c"].Kind != model.Assumed {
			t.Errorf("provenance %+v, want it assumed", h.Provenance["water_temp_c"])
		}
	}
	if notes := strings.Join(c.Notes, " "); !contains(notes, "climate alone (mean 10.5 C, range 7 C, assumed), give or take 4 C") {
		t.Errorf("notes %q do not say that the climate answers", notes)
	}
	if w := conditions(t, series(ordinary), start, start.Add(time.Hour)).Hours[0].WaterC; w.Kind != model.Modelled || w.High-w.Low >= 8 {
		t.Errorf("with past weather the water is %+v, want it modelled with a narrower interval", w)
	}
}

func TestMissingWeatherIsSaidAndNeverFilled(t *testing.T) {
	hours := series(ordinary)
	for i := range 2 {
		h := hourOf(hours, start.Add(time.Duration(i)*time.Hour))
		h.WindMps, h.RainMm, h.Cloud, h.SeaLevelHPa = gone, gone, gone, gone
	}
	c := conditions(t, hours, start, start.Add(4*time.Hour))
	h := c.Hours[0]
	if h.Weather != model.Missing || h.WindMps.Known || h.RainMm.Known || h.CloudFraction.Known || h.PressureHPa.Known || h.PressureKind != "" {
		t.Errorf("hour %+v, want what nobody told missing", h)
	}
	if notes := strings.Join(c.Notes, " "); !contains(notes, "Weather is missing for 2 of 4 hours.") {
		t.Errorf("notes %q", notes)
	}
	if next := c.Hours[2]; next.Weather != model.Forecasted || !next.WindMps.Known {
		t.Errorf("the hour after them %+v, want it whole", next)
	}
}

func TestStaleWeather(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(p *model.Provenance)
		want  bool
	}{
		{"confirmed 20 min ago", func(*model.Provenance) {}, false},
		{"issued half a day ago and still the feed's current one", func(p *model.Provenance) { p.AgeMin = model.Known(720.0) }, false},
		{"confirmed half a day ago", func(p *model.Provenance) { p.ConfirmedMin = model.Known(720.0) }, true},
		{"a report of 90 min ago", func(p *model.Provenance) { p.Kind, p.AgeMin = model.Observed, model.Known(90.0) }, false},
		{"a report of 91 min ago", func(p *model.Provenance) { p.Kind, p.AgeMin = model.Observed, model.Known(91.0) }, true},
	} {
		hours := series(ordinary)
		for i := range 2 {
			c.spoil(&hourOf(hours, start.Add(time.Duration(i)*time.Hour)).AirC.From)
		}
		if got := conditions(t, hours, start, start.Add(2*time.Hour)).Stale; got != c.want {
			t.Errorf("%s: stale %v, want %v", c.name, got, c.want)
		}
	}
	hours := series(ordinary)
	hourOf(hours, start).AirC = gone
	c := conditions(t, hours, start, start.Add(time.Hour))
	if !c.Stale || c.AgeMin.Known || c.Source != "no weather is known for these hours" {
		t.Errorf("no weather: stale %v, age %+v, source %q", c.Stale, c.AgeMin, c.Source)
	}
}

func TestAHistoryNeedsTheWatersZone(t *testing.T) {
	w := reedmere
	w.Zone = "Nowhere/Atall"
	if _, err := plan.NewHistory(w, nil, nil, now); model.CodeOf(err) != model.Invalid {
		t.Errorf("error %v, want the zone refused", err)
	}
}
