package model_test

import (
	"regexp"
	"testing"
	"time"

	"osier/model"
)

func digestHours() []model.WeatherHour {
	from := model.Provenance{Kind: model.Observed, Source: "feed", Station: "AAAA", DistanceKm: model.Known(10.0), At: model.Known(clock("11:50")), AgeMin: model.Known(10.0)}
	reading := func(v float64) model.Reading { return model.Reading{Value: v, Known: true, From: from} }
	h := model.WeatherHour{
		At: clock("12:00"), AirC: reading(1), DewC: reading(2), RHPct: reading(3), WindMps: reading(4), WindFromDeg: reading(5), GustMps: reading(6),
		SeaLevelHPa: reading(7), QNHHPa: reading(8), RainMm: reading(9), Cloud: reading(0),
		Thunder: model.ThunderHour{Observed: model.ThunderNone, Symbol: model.Known(false), Probability: model.Known(0.0)},
	}
	later := h
	later.At = clock("13:00")
	return []model.WeatherHour{h, later}
}

// readings lists every reading of an hour, so that one that is forgotten in the
// digest is found.
func readings(h *model.WeatherHour) map[string]*model.Reading {
	return map[string]*model.Reading{
		"air": &h.AirC, "dew": &h.DewC, "humidity": &h.RHPct, "wind": &h.WindMps, "direction": &h.WindFromDeg, "gust": &h.GustMps,
		"sea level": &h.SeaLevelHPa, "QNH": &h.QNHHPa, "rain": &h.RainMm, "cloud": &h.Cloud,
	}
}

func TestTheVersionChangesWithEveryValue(t *testing.T) {
	changes := map[string]func(h *model.WeatherHour){
		"hour":                func(h *model.WeatherHour) { h.At = h.At.Add(time.Hour) },
		"whole hPa":           func(h *model.WeatherHour) { h.WholeHPa = true },
		"thunder heard":       func(h *model.WeatherHour) { h.Thunder.Observed = model.ThunderNow },
		"thunder unsaid":      func(h *model.WeatherHour) { h.Thunder.Observed = model.ThunderUnknown },
		"symbol":              func(h *model.WeatherHour) { h.Thunder.Symbol = model.Known(true) },
		"symbol missing":      func(h *model.WeatherHour) { h.Thunder.Symbol = model.Maybe[bool]{} },
		"probability":         func(h *model.WeatherHour) { h.Thunder.Probability = model.Known(0.2) },
		"probability missing": func(h *model.WeatherHour) { h.Thunder.Probability = model.Maybe[float64]{} },
	}
	for name := range readings(&model.WeatherHour{}) {
		changes[name] = func(h *model.WeatherHour) { readings(h)[name].Value += 0.125 }
		changes[name+" missing"] = func(h *model.WeatherHour) { *readings(h)[name] = model.Reading{} }
		changes[name+" of another kind"] = func(h *model.WeatherHour) { readings(h)[name].From.Kind = model.Interpolated }
		changes[name+" of another feed"] = func(h *model.WeatherHour) { readings(h)[name].From.Source = "grid" }
		changes[name+" of another station"] = func(h *model.WeatherHour) { readings(h)[name].From.Station = "BBBB" }
		changes[name+" of another report"] = func(h *model.WeatherHour) { readings(h)[name].From.At = model.Known(clock("11:55")) }
	}
	seen := map[string]string{model.WeatherVersion(digestHours()): "as it was"}
	for name, change := range changes {
		hours := digestHours()
		change(&hours[1])
		version := model.WeatherVersion(hours)
		if other, again := seen[version]; again {
			t.Errorf("%s and %s have the same version %s", name, other, version)
		}
		seen[version] = name
	}
	short := digestHours()[:1]
	if _, again := seen[model.WeatherVersion(short)]; again {
		t.Error("an hour less has the same version")
	}
}

func TestTheVersionIsThatOfTheDataAndNotOfItsAge(t *testing.T) {
	first, aged := digestHours(), digestHours()
	for i := range aged {
		for _, r := range readings(&aged[i]) {
			r.From.AgeMin = model.Known(999.0)
		}
	}
	version := model.WeatherVersion(first)
	if again := model.WeatherVersion(aged); again != version {
		t.Errorf("versions %s and %s of the same data, read at two times", version, again)
	}
	if !regexp.MustCompile(`^w-[0-9a-f]{16}$`).MatchString(version) {
		t.Errorf("version %q, want w- and sixteen digits", version)
	}
}
