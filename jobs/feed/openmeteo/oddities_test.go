package openmeteo_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"pgregory.net/rapid"

	"osier/jobs/feed/openmeteo"
	"osier/model"
)

// body writes an answer with local times and one variable or more beside them.
func body(t testing.TB, offsetS int, when []string, units map[string]string, lists map[string]any) []byte {
	t.Helper()
	units["time"], lists["time"] = "iso8601", when
	b, err := json.Marshal(map[string]any{
		"latitude": 52.5, "longitude": 13.4, "utc_offset_seconds": offsetS, "hourly_units": units, "hourly": lists,
	})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func parse(t testing.TB, b []byte) []model.ForecastHour {
	t.Helper()
	got, warnings, err := openmeteo.Parse(b)
	if err != nil || len(warnings) != 0 {
		t.Fatalf("error %v, warnings %q", err, warnings)
	}
	return got.Hours
}

// Around both clock changes of Berlin the feed writes local times as if the
// offset of the answer held throughout: one of them did not exist, and after
// the change its midnights are those of the old offset.
func TestAClockChangeInALocalAnswer(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, first string
		offsetS     int
		midnights   []string // local midnights by the rules of the zone, in UTC
	}{
		{"the clock goes back on 2025-10-26", "2025-10-24T00:00", 7200, []string{
			"2025-10-23T22:00:00Z", "2025-10-24T22:00:00Z", "2025-10-25T22:00:00Z", "2025-10-26T23:00:00Z", "2025-10-27T23:00:00Z",
		}},
		{"the clock goes forward on 2026-03-29", "2026-03-28T00:00", 3600, []string{
			"2026-03-27T23:00:00Z", "2026-03-28T23:00:00Z", "2026-03-29T22:00:00Z", "2026-03-30T22:00:00Z", "2026-03-31T22:00:00Z", "2026-04-01T22:00:00Z",
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var when []string
			var airC []float64
			written, _ := time.Parse("2006-01-02T15:04", c.first)
			for i := range 5 * 24 {
				when = append(when, written.Add(time.Duration(i)*time.Hour).Format("2006-01-02T15:04"))
				airC = append(airC, float64(i)/10)
			}
			hours := parse(t, body(t, c.offsetS, when, map[string]string{"temperature_2m": "°C"}, map[string]any{"temperature_2m": airC}))
			if len(hours) != 120 {
				t.Fatalf("%d hours, want 120: none doubled, none lost", len(hours))
			}
			var midnights []string
			for i, h := range hours {
				if i > 0 && h.At.Sub(hours[i-1].At) != time.Hour {
					t.Errorf("%v follows %v", h.At, hours[i-1].At)
				}
				if float64(h.AirC.Value) != airC[i] {
					t.Errorf("%v: %v C, want %v", h.At, h.AirC.Value, airC[i])
				}
				if h.At.In(berlin).Hour() == 0 {
					midnights = append(midnights, h.At.Format(time.RFC3339))
				}
			}
			if got, want := strings.Join(midnights, " "), strings.Join(c.midnights, " "); got != want {
				t.Errorf("local midnights %s, want %s", got, want)
			}
		})
	}
}

// The rows of the reference's table of inputs that trip real clients (weather
// reference, 10) that can reach this feed.
func TestInputsThatTripRealClients(t *testing.T) {
	two := []string{"2026-02-06T00:00", "2026-02-06T01:00"}
	t.Run("zero degrees is no missing value", func(t *testing.T) {
		h := parse(t, body(t, 0, two, map[string]string{"temperature_2m": "°C"}, map[string]any{"temperature_2m": []any{0, nil}}))
		if h[0].AirC != model.Known[model.Celsius](0) || h[1].AirC.Known {
			t.Errorf("%+v then %+v, want 0 then missing", h[0].AirC, h[1].AirC)
		}
	})
	t.Run("24.12 in m/s and 24.12 in km/h", func(t *testing.T) {
		for unit, want := range map[string]float64{"m/s": 24.12, "km/h": 6.70} {
			h := parse(t, body(t, 0, two, map[string]string{"wind_speed_10m": unit}, map[string]any{"wind_speed_10m": []any{24.12, 0}}))
			if got := float64(h[0].WindMps.Value); math.Abs(got-want) > 1e-9 {
				t.Errorf("24.12 %s is %v m/s, want %v", unit, got, want)
			}
		}
	})
	t.Run("a gust of 41.8, then null", func(t *testing.T) {
		h := parse(t, body(t, 0, two, map[string]string{"wind_gusts_10m": "km/h"}, map[string]any{"wind_gusts_10m": []any{41.8, nil}}))
		if !h[0].GustMps.Known || h[1].GustMps.Known {
			t.Errorf("%+v then %+v, want the second one missing", h[0].GustMps, h[1].GustMps)
		}
	})
	t.Run("pressure_msl 1018.2, later only surface_pressure 984.0", func(t *testing.T) {
		h := parse(t, body(t, 0, two,
			map[string]string{"pressure_msl": "hPa", "surface_pressure": "hPa"},
			map[string]any{"pressure_msl": []any{1018.2, nil}, "surface_pressure": []any{984.6, 984.0}}))
		if h[0].SeaLevelHPa != model.Known[model.Hectopascals](1018.2) || h[1].SeaLevelHPa.Known {
			t.Errorf("%+v then %+v, want 1018.2 then missing", h[0].SeaLevelHPa, h[1].SeaLevelHPa)
		}
		h = parse(t, body(t, 0, two, map[string]string{"surface_pressure": "hPa"}, map[string]any{"surface_pressure": []any{984.6, 984.0}}))
		if h[0].SeaLevelHPa.Known || h[1].SeaLevelHPa.Known {
			t.Errorf("%+v then %+v from surface pressure alone, want neither", h[0].SeaLevelHPa, h[1].SeaLevelHPa)
		}
	})
}

// The unit a wind is asked for in does not change the wind, nor the unit of
// anything else.
func TestOneWindInEveryUnit(t *testing.T) {
	perMps := map[string]float64{"km/h": 3.6, "kn": 3600.0 / 1852, "mp/h": 3600 / 1609.344, "mph": 3600 / 1609.344}
	rapid.Check(t, func(r *rapid.T) {
		speeds := rapid.SliceOfN(rapid.Float64Range(0, 60), 1, 24).Draw(r, "m/s")
		unit := rapid.SampledFrom([]string{"km/h", "kn", "mp/h", "mph"}).Draw(r, "unit")
		var when []string
		var scaled []float64
		for i, v := range speeds {
			when = append(when, fmt.Sprintf("2026-02-06T%02d:00", i))
			scaled = append(scaled, v*perMps[unit])
		}
		ask := func(unit string, values []float64) []model.ForecastHour {
			return parse(t, body(t, 0, when,
				map[string]string{"wind_speed_10m": unit, "wind_gusts_10m": unit},
				map[string]any{"wind_speed_10m": values, "wind_gusts_10m": values}))
		}
		plain, other := ask("m/s", speeds), ask(unit, scaled)
		for i := range speeds {
			if got, want := float64(other[i].WindMps.Value), float64(plain[i].WindMps.Value); math.Abs(got-want) > 1e-9 || want != speeds[i] {
				r.Fatalf("wind %v m/s in %s is read as %v, in m/s as %v", speeds[i], unit, got, want)
			}
			if got, want := float64(other[i].GustMps.Value), float64(plain[i].GustMps.Value); math.Abs(got-want) > 1e-9 {
				r.Fatalf("gust %v m/s in %s is read as %v", want, unit, got)
			}
		}
	})
}
