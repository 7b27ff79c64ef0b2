package model_test

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model"
)

// drawStations draws up to five stations within reach, of different weight.
func drawStations(t *rapid.T) []model.Station {
	var out []model.Station
	for i := range rapid.IntRange(1, 5).Draw(t, "stations") {
		km := float64(15*i) + rapid.Float64Range(0.1, 14).Draw(t, "km")
		s := stationAt(fmt.Sprintf("ST%02d", i), km, rapid.Float64Range(-200, 200).Draw(t, "above"))
		if rapid.Bool().Draw(t, "unknown height") {
			s.ElevationM = model.Maybe[model.Metres]{}
		}
		out = append(out, s)
	}
	return out
}

// drawReports draws the reports of each station between 06:00 and 18:00, in
// order, each with some of the values.
func drawReports(t *rapid.T, stations []model.Station) []model.Observation {
	some := func(name string, set func(*model.Observation), o *model.Observation) {
		if rapid.Bool().Draw(t, name) {
			set(o)
		}
	}
	var out []model.Observation
	for _, s := range stations {
		minutes := rapid.SliceOfNDistinct(rapid.IntRange(0, 12*60), 0, 8, rapid.ID).Draw(t, "minutes of "+s.ID)
		slices.Sort(minutes)
		for _, m := range minutes {
			o := model.Observation{Station: s.ID, Source: s.Source, At: clock("06:00").Add(time.Duration(m) * time.Minute)}
			some("air", airC(model.Celsius(rapid.IntRange(-10, 30).Draw(t, "C"))), &o)
			some("wind", windMps(model.MetresPerSecond(rapid.IntRange(0, 20).Draw(t, "m/s"))), &o)
			some("direction", fromDeg(model.Degrees(rapid.IntRange(1, 360).Draw(t, "deg"))), &o)
			some("pressure", qnh(model.Hectopascals(rapid.IntRange(980, 1030).Draw(t, "hPa")), rapid.Bool().Draw(t, "whole")), &o)
			some("rain", rain(model.Millimetres(rapid.IntRange(0, 9).Draw(t, "mm")), float64(rapid.SampledFrom([]int{1, 3, 6}).Draw(t, "over"))), &o)
			some("thunder", thunder(rapid.SampledFrom([]model.Thunder{model.ThunderNone, model.ThunderNow}).Draw(t, "thunder")), &o)
			out = append(out, o)
		}
	}
	return out
}

func drawnHours(stations []model.Station, reports []model.Observation) []model.WeatherHour {
	return model.WeatherAt(sources(stations, reports...), clock("05:00"), clock("19:00"), clock("16:40"))
}

func TestTheAirLiesBetweenTheAdjustedStations(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stations := drawStations(t)
		reports := drawReports(t, stations)
		for _, h := range drawnHours(stations, reports) {
			if !h.AirC.Known {
				continue
			}
			low, high := math.Inf(1), math.Inf(-1)
			for _, s := range stations { // each by itself
				alone := model.WeatherAt(sources([]model.Station{s}, reports...), h.At, h.At, clock("16:40"))[0].AirC
				if alone.Known {
					low, high = math.Min(low, alone.Value), math.Max(high, alone.Value)
				}
			}
			if h.AirC.Value < low-1e-9 || h.AirC.Value > high+1e-9 {
				t.Fatalf("%s: air %v C outside its stations' %v to %v", h.At.Format("15:04"), h.AirC.Value, low, high)
			}
		}
	})
}

func TestTheOrderOfStationsDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stations := drawStations(t)
		reports := drawReports(t, stations)
		shuffled := rapid.Permutation(stations).Draw(t, "order")
		if diff := cmp.Diff(drawnHours(stations, reports), drawnHours(shuffled, reports)); diff != "" {
			t.Fatalf("hours by another order of stations:\n%s", diff)
		}
	})
}

// A station serves an hour when it alone would give it any value.
func TestTakingAStationAwayChangesOnlyTheHoursItServed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stations := drawStations(t)
		reports := drawReports(t, stations)
		gone := rapid.IntRange(0, len(stations)-1).Draw(t, "gone")
		with := drawnHours(stations, reports)
		without := drawnHours(slices.Delete(slices.Clone(stations), gone, gone+1), reports)
		alone := drawnHours(stations[gone:gone+1], reports)
		nothing := drawnHours(nil, nil)
		for i := range with {
			if cmp.Equal(alone[i], nothing[i]) && !cmp.Equal(with[i], without[i]) {
				t.Fatalf("%s did not serve %s, and its loss changed it:\n%s", stations[gone].ID, with[i].At.Format("15:04"), cmp.Diff(with[i], without[i]))
			}
		}
	})
}

func TestHoursHaveNoHoleAndNoValueThatIsNone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stations := drawStations(t)
		hours := drawnHours(stations, drawReports(t, stations))
		if len(hours) != 15 {
			t.Fatalf("%d hours from 05:00 to 19:00, want 15", len(hours))
		}
		for i, h := range hours {
			if want := clock("05:00").Add(time.Duration(i) * time.Hour); !h.At.Equal(want) {
				t.Fatalf("hour %d is %v, want %v", i, h.At, want)
			}
			for _, r := range []model.Reading{h.AirC, h.DewC, h.WindMps, h.WindFromDeg, h.GustMps, h.SeaLevelHPa, h.QNHHPa, h.RainMm, h.Cloud} {
				if math.IsNaN(r.Value) || math.IsInf(r.Value, 0) || r.Known == (r.From.Kind == model.Missing) || r.Known && r.From.AgeMin.Value < 0 {
					t.Fatalf("%s: reading %+v", h.At.Format("15:04"), r)
				}
			}
		}
	})
}
