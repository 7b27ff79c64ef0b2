package model_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"osier/model"
)

func TestEveryValueSaysWhereItCameFrom(t *testing.T) {
	in := sources([]model.Station{stationAt("AAAA", 10, 0), stationAt("BBBB", 20, 0)},
		reportAt("AAAA", "11:50", airC(7)), reportAt("BBBB", "12:00", airC(6), windMps(2)), reportAt("BBBB", "10:00", windMps(2)))
	in.Observations["feed/BBBB"] = []model.Observation{reportAt("BBBB", "10:00", windMps(2)), reportAt("BBBB", "12:00", airC(6), windMps(2))}
	in.Forecasts = []model.Forecast{issued("10:00", step("12:00", 1, 21, 0), step("13:00", 1, 22, 0))}
	now := "12:30"
	observed := func(kind model.Kind, station string, km float64, hourMinute string, ageMin float64) model.Provenance {
		return model.Provenance{Kind: kind, Source: "feed", Station: station, DistanceKm: model.Known(km), At: model.Known(clock(hourMinute)), AgeMin: model.Known(ageMin)}
	}
	grid := model.Provenance{Kind: model.Forecasted, Source: "grid", At: model.Known(clock("10:00")), AgeMin: model.Known(150.0)}
	for _, c := range []struct {
		name string
		got  model.Provenance
		want model.Provenance
	}{
		{"a mean names its best station", hourKnownAt(in, "12:00", now).AirC.From, observed(model.Observed, "AAAA", 10, "11:50", 40)},
		{"one station's own", hourKnownAt(in, "12:00", now).WindMps.From, observed(model.Observed, "BBBB", 20, "12:00", 30)},
		{"drawn between two: from the earlier", hourKnownAt(in, "11:00", now).WindMps.From, observed(model.Interpolated, "BBBB", 20, "10:00", 150)},
		{"forecast: from the issue", hourKnownAt(in, "13:00", now).AirC.From, grid},
		{"beside observed values", hourKnownAt(in, "12:00", now).Cloud.From, grid},
		{"missing", hourKnownAt(in, "15:00", now).AirC.From, model.Provenance{Kind: model.Missing}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if diff := cmp.Diff(c.want, c.got, cmpopts.EquateApprox(0, 1e-6), cmpopts.IgnoreFields(model.Provenance{}, "ConfirmedMin")); diff != "" {
				t.Errorf("provenance (-want +got):\n%s", diff)
			}
		})
	}
}

// What is reported after the instant asked at must change nothing, or plans
// would be judged by what nobody could know.
func TestNothingReportedAfterNowIsRead(t *testing.T) {
	stations := []model.Station{stationAt("AAAA", 10, 0), stationAt("BBBB", 20, 0)}
	full := func(id, hourMinute string, v float64) model.Observation {
		return reportAt(id, hourMinute, airC(model.Celsius(v)), dewC(1), windMps(3), fromDeg(90), gustMps(9), qnh(1012, true), seaLevel(1013), rain(6, 6), oktas(4), thunder(model.ThunderNow))
	}
	known := []model.Observation{full("AAAA", "09:00", 5), full("AAAA", "10:00", 6), full("BBBB", "10:30", 7)}
	later := []model.Observation{full("AAAA", "11:01", 20), full("AAAA", "12:00", 21), full("BBBB", "13:30", 22)}
	hours := func(reports []model.Observation) []model.WeatherHour {
		in := sources(stations, reports...)
		in.Forecasts = []model.Forecast{issued("08:00", step("09:00", 1, 2, 0), step("10:00", 1, 2, 0), step("11:00", 1, 2, 0), step("12:00", 1, 2, 0))}
		return model.WeatherAt(in, clock("08:00"), clock("15:00"), clock("11:00"))
	}
	if diff := cmp.Diff(hours(known), hours(append(known, later...))); diff != "" {
		t.Errorf("reports after now changed the hours (-without +with):\n%s", diff)
	}
	if h := hours(known)[3]; h.At != clock("11:00") || h.AirC.From.Station != "BBBB" || h.AirC.From.AgeMin.Value != 30 {
		t.Errorf("hour %+v, want BBBB's report of 10:30", h.AirC)
	}
	if h := hours(nil)[0]; h.At.Location() != time.UTC || h.AirC.Known {
		t.Errorf("hour %+v, want none", h)
	}
}

func TestADoubtfulReportKeepsItsFlag(t *testing.T) {
	doubtful := reportAt("AAAA", "12:00", airC(7))
	doubtful.LowTrust = true
	in := sources([]model.Station{stationAt("AAAA", 10, 0)}, reportAt("AAAA", "10:00", airC(6)), doubtful)
	for at, want := range map[string]bool{"10:00": false, "11:00": true, "12:00": true} {
		if got := hourKnownAt(in, at, "12:30").AirC; !got.Known || got.From.LowTrust != want {
			t.Errorf("%s: %+v, want the flag %v", at, got, want)
		}
	}
}
