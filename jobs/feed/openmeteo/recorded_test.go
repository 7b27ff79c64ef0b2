package openmeteo_test

import (
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/openmeteo"
	"osier/model"
)

const recordings = "../../../../shared/data/weather/feeds/openmeteo/"

// recorded reads a recording kept outside this project, if it is there.
func recorded(t *testing.T, name string) model.Forecast {
	t.Helper()
	b, err := os.ReadFile(recordings + name)
	if err != nil {
		t.Skipf("the recording %s is not on this machine: %v", name, err)
	}
	got, warnings, err := openmeteo.Parse(b)
	if err != nil || len(warnings) != 0 {
		t.Fatalf("error %v, warnings %q", err, warnings)
	}
	return got
}

// The figures of both tables were read off the recordings: km/h as written
// there, rain of the line after.

func TestTheRecordingOfNewYork(t *testing.T) {
	got := recorded(t, "forecast_newyork_2026-02-06.json")
	if len(got.Hours) != 168 || got.LatDeg != 40.78858 || got.LonDeg != -73.9661 || !got.IssuedAt.IsZero() {
		t.Fatalf("%d hours at %v, %v issued %v", len(got.Hours), got.LatDeg, got.LonDeg, got.IssuedAt)
	}
	for i, want := range map[int]model.ForecastHour{
		0:   {At: at("2026-02-06T05:00:00Z"), AirC: model.Known[model.Celsius](-7.1), WindMps: kmh(4.3), Rain: rain(0)},
		27:  {At: at("2026-02-07T08:00:00Z"), AirC: model.Known[model.Celsius](-6.3), WindMps: kmh(7.5), Rain: rain(0.1)},
		28:  {At: at("2026-02-07T09:00:00Z"), AirC: model.Known[model.Celsius](-5.8), WindMps: kmh(8.9), Rain: rain(0.2)},
		35:  {At: at("2026-02-07T16:00:00Z"), AirC: model.Known[model.Celsius](-13.8), WindMps: kmh(30.5), Rain: rain(0)},
		126: {At: at("2026-02-11T11:00:00Z"), AirC: model.Known[model.Celsius](-1.2), WindMps: kmh(3.7), Rain: rain(1.3)},
		127: {At: at("2026-02-11T12:00:00Z"), AirC: model.Known[model.Celsius](-0.3), WindMps: kmh(6.9), Rain: rain(0)},
		167: {At: at("2026-02-13T04:00:00Z"), AirC: model.Known[model.Celsius](-5.3), WindMps: kmh(18.1)},
	} {
		want.StepH, want.Thunder = 1, model.Known(false)
		if diff := cmp.Diff(want, got.Hours[i], near); diff != "" {
			t.Errorf("hour %d (-want +got):\n%s", i, diff)
		}
	}
}

func TestTheRecordingOfGermany(t *testing.T) {
	got := recorded(t, "hourly_germany_2026-03-02.json")
	if len(got.Hours) != 72 || got.LatDeg != 50 || got.LonDeg != 10 {
		t.Fatalf("%d hours at %v, %v", len(got.Hours), got.LatDeg, got.LonDeg)
	}
	hour := func(when string, airC, dewC, rhPct float64, wind model.Maybe[model.MetresPerSecond], from float64, gust model.Maybe[model.MetresPerSecond], hPa, cloud float64) model.ForecastHour {
		return model.ForecastHour{
			At: at(when), StepH: 1, AirC: model.Known(model.Celsius(airC)), DewC: model.Known(model.Celsius(dewC)), RHPct: model.Known(rhPct),
			WindMps: wind, WindFromDeg: model.Known(model.Degrees(from)), GustMps: gust, SeaLevelHPa: model.Known(model.Hectopascals(hPa)),
			CloudFraction: model.Known(cloud), Rain: rain(0), Thunder: model.Known(false),
		}
	}
	last := hour("2026-03-04T22:00:00Z", 6, 1.5, 73, kmh(2.8), 50, kmh(4), 1025.9, 0)
	last.Rain = model.Maybe[model.Rain]{} // it would stand in the line after
	for i, want := range map[int]model.ForecastHour{
		0:  hour("2026-03-01T23:00:00Z", 3.2, 1.6, 89, kmh(4.3), 95, kmh(8.3), 1025.9, 0),
		27: hour("2026-03-03T02:00:00Z", 1.5, 1.2, 98, kmh(2.8), 40, kmh(3.6), 1026.5, 0.48),
		31: hour("2026-03-03T06:00:00Z", 0.2, 0.2, 100, kmh(3), 104, kmh(4.3), 1027.8, 1),
		44: hour("2026-03-03T19:00:00Z", 7.6, 3.5, 75, kmh(1.8), 37, kmh(2.9), 1026.8, 0.19),
		71: last,
	} {
		if diff := cmp.Diff(want, got.Hours[i], near); diff != "" {
			t.Errorf("hour %d (-want +got):\n%s", i, diff)
		}
	}
	for i, h := range got.Hours { // the pressures at the surface are 36 hPa lower
		if p := h.SeaLevelHPa; !p.Known || p.Value < 1022.7 || p.Value > 1029.5 {
			t.Errorf("hour %d: %+v hPa at sea level", i, p)
		}
	}
	if h := got.Hours[52]; h.WindMps != model.Known[model.MetresPerSecond](0) {
		t.Errorf("wind %+v, want a calm", h.WindMps)
	}
	if h := got.Hours[48]; h.WindFromDeg != model.Known[model.Degrees](0) {
		t.Errorf("from %+v, want 0 for the 360 written", h.WindFromDeg)
	}
}

func kmh(v float64) model.Maybe[model.MetresPerSecond] {
	return model.Known(model.MetresPerSecond(v / 3.6))
}
