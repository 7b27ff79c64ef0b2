package smhi_test

import (
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/smhi"
	"osier/model"
)

const recording = "../../../../shared/data/weather/feeds/smhi/forecast_stockholm_2026-02-06.json"

// The figures were read off the recording, cloud in oktas; the mean
// precipitation is that of the entry after.
func TestTheRecordingOfStockholm(t *testing.T) {
	b, err := os.ReadFile(recording)
	if err != nil {
		t.Skipf("the recording is not on this machine: %v", err)
	}
	got, warnings, err := smhi.Parse(b)
	if err != nil {
		t.Fatal(err)
	}
	// Its precipitation intervals end as they begin, which is said once.
	if len(warnings) != 1 || !strings.Contains(warnings[0], "begins no interval") {
		t.Errorf("warnings %q, want one", warnings)
	}
	if len(got.Hours) != 76 || got.LatDeg != 59.339222 || got.LonDeg != 18.089437 || !got.IssuedAt.Equal(at("2026-02-06T21:00:00Z")) {
		t.Fatalf("%d hours at %v, %v issued %v", len(got.Hours), got.LatDeg, got.LonDeg, got.IssuedAt)
	}
	steps := map[float64]int{}
	for _, h := range got.Hours {
		steps[h.StepH]++
	}
	if diff := cmp.Diff(map[float64]int{1: 50, 3: 4, 6: 14, 12: 7, 0: 1}, steps); diff != "" {
		t.Errorf("steps (-want +got):\n%s", diff)
	}
	hour := func(when string, stepH, airC, rhPct, wind, from, gust, hPa, oktas float64, rainMm model.Maybe[model.Rain]) model.ForecastHour {
		return model.ForecastHour{
			At: at(when), StepH: stepH, AirC: model.Known(model.Celsius(airC)), RHPct: model.Known(rhPct),
			WindMps: model.Known(model.MetresPerSecond(wind)), WindFromDeg: model.Known(model.Degrees(from)), GustMps: model.Known(model.MetresPerSecond(gust)),
			SeaLevelHPa: model.Known(model.Hectopascals(hPa)), CloudFraction: model.Known(oktas / 8), Rain: rainMm,
			ThunderProbability: model.Known(0.0), Thunder: model.Known(false),
		}
	}
	for i, want := range map[int]model.ForecastHour{
		0:  hour("2026-02-06T22:00:00Z", 1, -5.5, 88, 4.3, 40, 7.8, 1013.6, 8, rain(0, 1)),
		20: hour("2026-02-07T18:00:00Z", 1, -5.4, 87, 3.6, 36, 7.0, 1020.1, 1, rain(0, 1)),
		49: hour("2026-02-08T23:00:00Z", 1, -8.3, 80, 1.4, 174, 1.9, 1023.6, 8, rain(0, 1)),
		50: hour("2026-02-09T00:00:00Z", 3, -8.3, 79, 1.7, 182, 2.2, 1023.2, 8, rain(0, 3)),
		54: hour("2026-02-09T12:00:00Z", 6, -7.0, 84, 3.5, 254, 7.8, 1017.7, 8, rain(0, 6)),
		66: hour("2026-02-12T12:00:00Z", 6, -5.7, 81, 5.5, 55, 10.3, 993.6, 8, rain(0.1, 6)),
		68: hour("2026-02-13T00:00:00Z", 12, -7.9, 86, 5.0, 38, 9.5, 994.7, 8, rain(0.1, 12)),
		75: hour("2026-02-16T12:00:00Z", 0, -4.8, 78, 4.1, 295, 8.3, 1014.7, 6, model.Maybe[model.Rain]{}),
	} {
		if diff := cmp.Diff(want, got.Hours[i]); diff != "" {
			t.Errorf("hour %d (-want +got):\n%s", i, diff)
		}
	}
}
