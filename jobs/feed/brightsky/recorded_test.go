package brightsky_test

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/jobs/feed/brightsky"
	"osier/model"
)

const recording = "../../../../shared/data/weather/feeds/dwd/brightsky_weather_dst_end_2024-10-26.json"

// The figures were read off the recording: 50 hours across the end of summer
// time, wind, pressure and cloud filled in from a second station throughout.
func TestTheRecordingOfTheClockChange(t *testing.T) {
	b, err := os.ReadFile(recording)
	if err != nil {
		t.Skipf("the recording is not on this machine: %v", err)
	}
	got, warnings, err := brightsky.Parse(b)
	if err != nil || len(warnings) != 0 {
		t.Fatalf("error %v, warnings %q", err, warnings)
	}
	if len(got.Stations) != 2 || len(got.Forecast.Hours) != 0 {
		t.Fatalf("%d stations, %d forecast hours; want 2 and none", len(got.Stations), len(got.Forecast.Hours))
	}
	low, high := got.Stations[0], got.Stations[1]
	wantLow := model.Station{ID: "P125", Source: "brightsky", Name: "Arnstein-Müdesheim", LatDeg: 49.9694, LonDeg: 9.9114, ElevationM: model.Known[model.Metres](216.5)}
	wantHigh := model.Station{ID: "10658", Source: "brightsky", Name: "Kissingen, Bad", LatDeg: 50.224, LonDeg: 10.0792, ElevationM: model.Known[model.Metres](281.73)}
	if diff := cmp.Diff([]model.Station{wantLow, wantHigh}, []model.Station{low.Station, high.Station}); diff != "" {
		t.Errorf("stations (-want +got):\n%s", diff)
	}
	if len(low.Observations) != 50 || len(high.Observations) != 50 {
		t.Fatalf("%d and %d observations, want 50 each", len(low.Observations), len(high.Observations))
	}
	for _, c := range []struct {
		i                                    int
		at                                   string
		airC, dewC, windKmh, gustKmh, degree float64
		hPa                                  float64
		oktas                                int
	}{
		{0, "2024-10-25T22:00:00Z", 6.2, 5.8, 4.7, 11.9, 40, 1022.9, 8},
		{17, "2024-10-26T15:00:00Z", 12.8, 9.3, 8.3, 16.9, 30, 1019.2, 7},
		{18, "2024-10-26T16:00:00Z", 9.9, 8.5, 6.8, 10.4, 70, 1018.8, 5},
		{26, "2024-10-27T00:00:00Z", 9.8, 8.9, 9.0, 11.9, 10, 1018.7, 8}, // 02:00+02:00
		{27, "2024-10-27T01:00:00Z", 10.6, 9.3, 7.2, 9.7, 0, 1018.8, 8},  // 02:00+01:00, from 360
		{44, "2024-10-27T18:00:00Z", 11.5, 10.0, 7.2, 12.6, 180, 1025.59, 8},
		{49, "2024-10-27T23:00:00Z", 11.9, 11.1, 11.9, 20.2, 180, 1027.0, 8},
	} {
		want := []model.Observation{
			{
				Station: "P125", Source: "brightsky", At: at(c.at),
				AirC: model.Known(model.Celsius(c.airC)), DewC: model.Known(model.Celsius(c.dewC)), Rain: rain(0),
			},
			{
				Station: "10658", Source: "brightsky", At: at(c.at),
				WindMps: kmh(c.windKmh), GustMps: kmh(c.gustKmh), WindFromDeg: model.Known(model.Degrees(c.degree)),
				SeaLevelHPa: model.Known(model.Hectopascals(c.hPa)), CloudOktas: model.Known(c.oktas),
			},
		}
		if diff := cmp.Diff(want, []model.Observation{low.Observations[c.i], high.Observations[c.i]}, near); diff != "" {
			t.Errorf("hour %d (-want +got):\n%s", c.i, diff)
		}
	}
	for i := 1; i < 50; i++ {
		if gap := low.Observations[i].At.Sub(low.Observations[i-1].At); gap != time.Hour {
			t.Errorf("hour %d is %v after the one before", i, gap)
		}
	}
}

// A wind in km/h comes out as that wind in m/s, whether measured or forecast.
func TestEveryWindInMetresPerSecond(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		mps := rapid.Float64Range(0, 60).Draw(r, "m/s")
		text := strings.NewReplacer(
			`"wind_speed": 24.12`, fmt.Sprintf(`"wind_speed": %v`, mps*3.6), `"wind_gust_speed": 41.8`, fmt.Sprintf(`"wind_gust_speed": %v`, mps*3.6),
			`"wind_speed": 7.2`, fmt.Sprintf(`"wind_speed": %v`, mps*3.6), `"wind_gust_speed": 14.4`, fmt.Sprintf(`"wind_gust_speed": %v`, mps*3.6),
		).Replace(sample(t))
		got, _, err := brightsky.Parse([]byte(text))
		if err != nil {
			r.Fatal(err)
		}
		o, h := got.Stations[1].Observations[0], got.Forecast.Hours[0]
		for _, v := range []model.Maybe[model.MetresPerSecond]{o.WindMps, o.GustMps, h.WindMps, h.GustMps} {
			if !v.Known || math.Abs(float64(v.Value)-mps) > 1e-9 {
				r.Fatalf("%v m/s is read as %+v", mps, v)
			}
		}
	})
}
