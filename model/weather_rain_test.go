package model_test

import (
	"testing"

	"osier/model"
)

func TestRainIsTheEvenShareOfTheHourBefore(t *testing.T) {
	for _, c := range []struct {
		name    string
		reports []model.Observation
		hour    string
		want    model.Maybe[float64]
		kind    model.Kind
	}{
		{"an hour's rain, reported at its end", []model.Observation{reportAt("AAAA", "12:00", rain(1.2, 1))}, "12:00", model.Known(1.2), model.Observed},
		{"none fell", []model.Observation{reportAt("AAAA", "12:00", rain(0, 1))}, "12:00", model.Known(0.0), model.Observed},
		{"reported seven minutes early", []model.Observation{reportAt("AAAA", "11:53", rain(1.2, 1))}, "12:00", model.Known(1.2), model.Observed},
		{"and not for the hour before that", []model.Observation{reportAt("AAAA", "11:53", rain(1.2, 1))}, "11:00", model.Maybe[float64]{}, model.Missing},
		{"six hours' rain, the first of them", []model.Observation{reportAt("AAAA", "18:00", rain(3, 6))}, "13:00", model.Known(0.5), model.Interpolated},
		{"the last of them", []model.Observation{reportAt("AAAA", "18:00", rain(3, 6))}, "18:00", model.Known(0.5), model.Interpolated},
		{"before they began", []model.Observation{reportAt("AAAA", "18:00", rain(3, 6))}, "12:00", model.Maybe[float64]{}, model.Missing},
		{"after the report", []model.Observation{reportAt("AAAA", "18:00", rain(3, 6))}, "19:00", model.Maybe[float64]{}, model.Missing},
		{"a shorter time that covers the hour comes first", []model.Observation{reportAt("AAAA", "12:00", rain(1.2, 1)), reportAt("AAAA", "18:00", rain(3, 12))}, "12:00", model.Known(1.2), model.Observed},
		{"a report of no length says nothing", []model.Observation{reportAt("AAAA", "12:00", rain(1.2, 0))}, "12:00", model.Maybe[float64]{}, model.Missing},
		{"a report without rain says nothing", []model.Observation{reportAt("AAAA", "12:00", airC(3))}, "12:00", model.Maybe[float64]{}, model.Missing},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := hourAt(sources([]model.Station{stationAt("AAAA", 5, 0)}, c.reports...), c.hour).RainMm
			if r.Known != c.want.Known || r.Value != c.want.Value || r.From.Kind != c.kind {
				t.Errorf("got %+v, want %v, %s", r, c.want, c.kind)
			}
		})
	}
	t.Run("rain told only after now is not known yet", func(t *testing.T) {
		in := sources([]model.Station{stationAt("AAAA", 5, 0)}, reportAt("AAAA", "18:00", rain(3, 6)))
		if r := hourKnownAt(in, "13:00", "17:59").RainMm; r.Known {
			t.Errorf("got %+v, want it missing", r)
		}
	})
}

func TestThunderCountsByDistanceAndNothingIsCleared(t *testing.T) {
	near, edge, far := stationAt("NEAR", 5, 0), stationAt("EDGE", 29.9, 0), stationAt("FARR", 30.1, 0)
	for _, c := range []struct {
		name    string
		reports []model.Observation
		want    model.Thunder
		station string
	}{
		{"heard near", []model.Observation{reportAt("NEAR", "12:00", thunder(model.ThunderNow))}, model.ThunderNow, "NEAR"},
		{"heard just within 30 km", []model.Observation{reportAt("EDGE", "11:30", thunder(model.ThunderNow))}, model.ThunderNow, "EDGE"},
		{"heard further off", []model.Observation{reportAt("FARR", "12:00", thunder(model.ThunderNow))}, model.ThunderUnknown, ""},
		{"one that heard it outranks the nearer that did not", []model.Observation{reportAt("NEAR", "12:00", thunder(model.ThunderNone)), reportAt("EDGE", "11:50", thunder(model.ThunderVicinity))}, model.ThunderVicinity, "EDGE"},
		{"the loudest of the hour, not the last", []model.Observation{reportAt("NEAR", "11:10", thunder(model.ThunderNow)), reportAt("NEAR", "11:40", thunder(model.ThunderRecent)), reportAt("NEAR", "12:00", thunder(model.ThunderNone))}, model.ThunderNow, "NEAR"},
		{"at the turn of the hour it belongs to the hour before", []model.Observation{reportAt("NEAR", "11:00", thunder(model.ThunderNow))}, model.ThunderUnknown, ""},
		{"a report that would have said so", []model.Observation{reportAt("NEAR", "12:00", thunder(model.ThunderNone))}, model.ThunderNone, "NEAR"},
		{"a silence proves nothing", []model.Observation{reportAt("NEAR", "12:00", airC(3))}, model.ThunderUnknown, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := hourAt(sources([]model.Station{near, edge, far}, c.reports...), "12:00").Thunder
			if got.Observed != c.want || got.From.Station != c.station {
				t.Errorf("got %+v, want %q of %q", got, c.want, c.station)
			}
			if (got.From.Kind == model.Missing) != (c.station == "") {
				t.Errorf("provenance %s of thunder heard by %q", got.From.Kind, c.station)
			}
		})
	}
}
