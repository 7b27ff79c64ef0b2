package main

import (
	"math"
	"testing"
	"time"

	"osier/model"
)

func TestWeatherIsHourlyAndWhole(t *testing.T) {
	for _, now := range append([]time.Time{demoNow}, otherNows...) {
		w := inventWorld(t, demoSeed, now)
		last := w.Observations[len(w.Observations)-1].At
		if !last.Equal(now.Truncate(time.Hour)) || len(w.Observations) < 424*24 {
			t.Errorf("%s: %d reports up to %s", now, len(w.Observations), last)
		}
		for i, o := range w.Observations {
			if i > 0 && o.At.Sub(w.Observations[i-1].At) != time.Hour {
				t.Fatalf("%s: no report in the hour before %s", now, o.At)
			}
			if bad := impossible(o); bad != "" {
				t.Errorf("%s: at %s %s", now, o.At, bad)
			}
		}
		hours := w.Forecast.Hours
		if !w.Forecast.IssuedAt.Equal(now) || len(hours) != 9*24+1 || !hours[0].At.Equal(last) {
			t.Errorf("%s: forecast issued %s with %d hours", now, w.Forecast.IssuedAt, len(hours))
		}
		for i, h := range hours {
			if !h.AirC.Known || !h.GustMps.Known || !h.SeaLevelHPa.Known || !h.ThunderProbability.Known || !h.Thunder.Known || i > 0 && h.At.Sub(hours[i-1].At) != time.Hour {
				t.Errorf("%s: forecast for %s is not whole: %+v", now, h.At, h)
			}
			if h.GustMps.Value < h.WindMps.Value || h.DewC.Value > h.AirC.Value {
				t.Errorf("%s: forecast for %s cannot be: %+v", now, h.At, h)
			}
		}
	}
}

func impossible(o model.Observation) string {
	switch {
	case o.Source != "invented":
		return "the source is not invented"
	case o.DewC.Value >= o.AirC.Value:
		return "the dew point is above the air"
	case o.GustMps.Value < o.WindMps.Value:
		return "the gust is below the wind"
	case o.WindFromDeg.Value < 0 || o.WindFromDeg.Value >= 360:
		return "the wind has no direction"
	case o.SeaLevelHPa.Value < 950 || o.SeaLevelHPa.Value > 1060:
		return "the pressure is not of this world"
	case o.CloudOktas.Value < 0 || o.CloudOktas.Value > 8 || o.Rain.Value.Mm < 0:
		return "the sky is wrong"
	case o.AirC.Value < -20 || o.AirC.Value > 40:
		return "the air is wrong"
	}
	return ""
}

// The figures of trade pack section 7, over several seeds: a mean over years
// strays by its own chance.
func TestWeatherHasItsClimate(t *testing.T) {
	var air, wind, pressure, noise moments
	for seed := uint64(1); seed <= 8; seed++ {
		from := time.Date(2025, time.March, 1, 0, 0, 0, 0, time.UTC)
		for _, h := range makeWeather(seed, from, 365*24, nil) {
			air.add(h.airC)
			wind.add(math.Log(math.Max(0.1, h.windMps)))
			pressure.add(h.seaLevelHPa)
			if h.at.Hour() == 9 { // the daily cycle passes its mean
				noise.add(h.airC - 10.5 - 7*seasonOf(h.at))
			}
		}
	}
	for _, c := range []struct {
		name             string
		got, want, slack float64
	}{
		{"mean of the air, C", air.mean(), 10.5, 0.5},
		{"sd of the daily noise, C", noise.sd(), 2.4, 0.4},
		{"mean log wind", wind.mean(), math.Log(4), 0.1},
		{"mean pressure, hPa", pressure.mean(), 1014, 1.5},
		{"sd of pressure, hPa", pressure.sd(), 9.5, 1.5},
	} {
		if math.Abs(c.got-c.want) > c.slack {
			t.Errorf("%s is %.2f, want %.2f +/- %.2f", c.name, c.got, c.want, c.slack)
		}
	}
}

type moments struct{ n, sum, squares float64 }

func (m *moments) add(x float64) { m.n++; m.sum += x; m.squares += x * x }
func (m moments) mean() float64  { return m.sum / m.n }
func (m moments) sd() float64    { return math.Sqrt(m.squares/m.n - m.mean()*m.mean()) }

func TestSpellsAreUnlikeTheirSeason(t *testing.T) {
	w := inventWorld(t, demoSeed, demoNow)
	if len(w.Truth.Spells) != 2 {
		t.Fatalf("%d spells in a year, want 2", len(w.Truth.Spells))
	}
	frosty, hot := 0, 0
	thunder := false
	for _, s := range w.Truth.Spells {
		for day := s.From; day.Before(s.Until); day = day.AddDate(0, 0, 1) {
			low, high := 99.0, -99.0
			for _, o := range w.Observations {
				if !o.At.Before(day) && o.At.Before(day.AddDate(0, 0, 1)) {
					low, high = math.Min(low, float64(o.AirC.Value)), math.Max(high, float64(o.AirC.Value))
					thunder = thunder || o.Thunder == model.ThunderNow && s.AirC > 0
				}
			}
			if s.AirC < 0 && low < 0 {
				frosty++
			}
			if s.AirC > 0 && high >= 25 {
				hot++
			}
		}
	}
	if frosty < 8 || hot < 11 {
		t.Errorf("%d of 10 days had frost and %d of 12 reached 25 C", frosty, hot)
	}
	if !thunder {
		t.Error("the hot spell ends without thunder")
	}
}
