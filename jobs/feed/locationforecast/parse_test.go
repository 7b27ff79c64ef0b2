package locationforecast_test

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/locationforecast"
	"osier/model"
)

func sample(t testing.TB) string {
	t.Helper()
	b, err := os.ReadFile("testdata/mixed.json")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// recorded reads a recording kept outside this project, if it is there.
func recorded(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile("../../../../shared/data/weather/feeds/metno/" + name)
	if err != nil {
		t.Skipf("the recording %s is not on this machine: %v", name, err)
	}
	return b
}

func at(text string) time.Time {
	v, err := time.Parse(time.RFC3339, text)
	if err != nil {
		panic(err)
	}
	return v
}

func TestASampleWithEverything(t *testing.T) {
	got, warnings, err := locationforecast.Parse([]byte(sample(t)))
	if err != nil {
		t.Fatal(err)
	}
	want := model.Forecast{
		Source: "locationforecast", LatDeg: 53.0, LonDeg: -1.5, IssuedAt: at("2026-06-03T04:31:12Z"),
		Hours: []model.ForecastHour{
			{
				At: at("2026-06-03T05:00:00Z"), StepH: 1,
				AirC: model.Known[model.Celsius](0), DewC: model.Known[model.Celsius](-1.2), RHPct: model.Known(91.5),
				WindMps: model.Known[model.MetresPerSecond](3.4), GustMps: model.Known[model.MetresPerSecond](7.9),
				WindFromDeg: model.Known[model.Degrees](0), SeaLevelHPa: model.Known[model.Hectopascals](1009.3),
				CloudFraction: model.Known(0.875), Rain: model.Known(model.Rain{Mm: 1.2, OverH: 1}),
				ThunderProbability: model.Known(0.355), Thunder: model.Known(true),
			},
			{ // the hour's own rain is not given: six hours' worth is, and says so
				At: at("2026-06-03T06:00:00Z"), StepH: 6, AirC: model.Known[model.Celsius](11.4),
				WindMps: model.Known[model.MetresPerSecond](0), WindFromDeg: model.Known[model.Degrees](182.6),
				Rain: model.Known(model.Rain{Mm: 0, OverH: 6}), Thunder: model.Known(false),
			},
			{ // an instant and nothing after it
				At: at("2026-06-03T12:00:00Z"), StepH: 0, AirC: model.Known[model.Celsius](17),
			},
		},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("forecast (-want +got):\n%s", diff)
	}
	if len(warnings) != 0 {
		t.Errorf("warnings %q, want none", warnings)
	}
}

func TestOneFaultSpoilsOneThing(t *testing.T) {
	for _, c := range []struct {
		name, old, new string
		warning        string
		check          func(model.Forecast) bool // what must hold; the first hour's wind is checked always
	}{
		{"kelvin", `"air_temperature": "celsius"`, `"air_temperature": "kelvin"`, `air_temperature: meta.units says kelvin, only "celsius"`, noAir},
		{"no unit", `"air_temperature": "celsius", `, ``, "air_temperature: meta.units says <nil>", noAir},
		{"a unit that is no text", `"air_temperature": "celsius"`, `"air_temperature": 7`, "air_temperature: meta.units says 7", noAir},
		{"too hot", `"air_temperature": 0`, `"air_temperature": 99`, "2026-06-03T05:00:00Z: air_temperature: 99 is outside -90 to 60", noAir},
		{"not finite", `"air_temperature": 0`, `"air_temperature": 1e999`, "not a finite number", noAir},
		{"a text", `"air_temperature": 0`, `"air_temperature": "0"`, "not a finite number", noAir},
		{"negative zero", `"air_temperature": 0`, `"air_temperature": -0.0`, "", func(f model.Forecast) bool {
			return f.Hours[0].AirC.Known && !math.Signbit(float64(f.Hours[0].AirC.Value))
		}},
		{"negative rain", `"precipitation_amount": 1.2`, `"precipitation_amount": -1.2`, "precipitation_amount: -1.2 is outside", func(f model.Forecast) bool {
			return f.Hours[0].Rain.Value == model.Rain{Mm: 4.8, OverH: 6}
		}},
		{"humidity 0-1 by mistake is still in range, 120 is not", `"relative_humidity": 91.5`, `"relative_humidity": 120`, "relative_humidity: 120 is outside", func(f model.Forecast) bool {
			return !f.Hours[0].RHPct.Known
		}},
		{"a time twice", `"2026-06-03T06:00:00Z"`, `"2026-06-03T05:00:00Z"`, "comes twice", func(f model.Forecast) bool { return len(f.Hours) == 2 && f.Hours[0].StepH == 1 }},
		{"a time that is none", `"2026-06-03T06:00:00Z"`, `"tomorrow"`, `timeseries[1]: time "tomorrow"`, func(f model.Forecast) bool { return len(f.Hours) == 2 }},
		{"out of order", `"2026-06-03T12:00:00Z"`, `"2026-06-03T04:00:00Z"`, "out of order", func(f model.Forecast) bool {
			return len(f.Hours) == 3 && f.Hours[0].At.Equal(at("2026-06-03T04:00:00Z")) && f.Hours[0].StepH == 1
		}},
		{"a hole of a day", `"2026-06-03T12:00:00Z"`, `"2026-06-04T12:00:00Z"`, "", func(f model.Forecast) bool { return f.Hours[1].StepH == 6 }},
		{"no symbol", `"symbol_code": "rainshowersandthunder_day"`, `"symbol_code": ""`, "", func(f model.Forecast) bool { return f.Hours[0].Thunder == model.Known(false) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.Replace(sample(t), c.old, c.new, 1)
			got, warnings, err := locationforecast.Parse([]byte(text))
			if err != nil {
				t.Fatal(err)
			}
			if !c.check(got) {
				t.Errorf("hours %+v", got.Hours)
			}
			if said := strings.Join(warnings, "\n"); c.warning == "" && said != "" || !strings.Contains(said, c.warning) {
				t.Errorf("warnings %q, want one that says %q", warnings, c.warning)
			}
			if first := got.Hours[0]; c.name != "out of order" && first.WindMps != model.Known[model.MetresPerSecond](3.4) {
				t.Errorf("wind %+v: a fault elsewhere spoilt it", first.WindMps)
			}
		})
	}
}

func noAir(f model.Forecast) bool { return !f.Hours[0].AirC.Known && f.Hours[0].DewC.Known }

func TestWhatIsNoForecast(t *testing.T) {
	good := sample(t)
	for _, c := range []struct{ name, body, want string }{
		{"nothing", " \n", "the answer is empty"},
		{"a web page", "<!DOCTYPE html><html>", "a web page"},
		{"cut off", good[:len(good)/2], "breaks off before its end"},
		{"not JSON", "{forecast}", "cannot be read"},
		{"another document", `{"error": true}`, "properties.timeseries: it is missing or empty"},
		{"no hours", `{"properties": {"timeseries": []}}`, "missing or empty"},
		{"a list", `[1]`, "cannot be read"},
		{"no time at all", strings.ReplaceAll(good, "2026-06-03T", "x"), "updated_at"},
		{"no readable hour", strings.ReplaceAll(good, `"time": "`, `"time": "x`), "no entry in it has a time"},
		{"no place", strings.Replace(good, "[-1.5, 53.0, 95]", "[]", 1), "geometry.coordinates"},
		{"a place off the earth", strings.Replace(good, "53.0", "91", 1), "latitude: 91 degrees is out of range"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, _, err := locationforecast.Parse([]byte(c.body))
			if err == nil || !strings.Contains(err.Error(), c.want) || model.CodeOf(err) != model.Invalid {
				t.Errorf("error %v, want one that says %q", err, c.want)
			}
			if got.Hours != nil {
				t.Errorf("%d hours beside an error", len(got.Hours))
			}
		})
	}
}

func TestTheCompactRecording(t *testing.T) {
	got, warnings, err := locationforecast.Parse(recorded(t, "compact_oslo_2026-02-06.json"))
	if err != nil || len(warnings) != 0 {
		t.Fatalf("error %v, warnings %q", err, warnings)
	}
	if len(got.Hours) != 83 || got.LatDeg != 59.9139 || got.LonDeg != 10.7522 || !got.IssuedAt.Equal(at("2026-02-06T20:27:06Z")) {
		t.Fatalf("%d hours at %v, %v issued %v", len(got.Hours), got.LatDeg, got.LonDeg, got.IssuedAt)
	}
	if diff := cmp.Diff(map[float64]int{1: 51, 6: 31, 0: 1}, steps(got)); diff != "" {
		t.Errorf("steps (-want +got):\n%s", diff)
	}
	want := model.ForecastHour{
		At: at("2026-02-06T21:00:00Z"), StepH: 1, AirC: model.Known[model.Celsius](-5.8), RHPct: model.Known(66.5),
		WindMps: model.Known[model.MetresPerSecond](6), WindFromDeg: model.Known[model.Degrees](37),
		SeaLevelHPa: model.Known[model.Hectopascals](1014.6), CloudFraction: model.Known(1.0),
		Rain: model.Known(model.Rain{Mm: 0.5, OverH: 1}), Thunder: model.Known(false),
	}
	if diff := cmp.Diff(want, got.Hours[0]); diff != "" {
		t.Errorf("first hour (-want +got):\n%s", diff)
	}
	if last := got.Hours[82]; last.Rain.Known || last.Thunder.Known || last.AirC != model.Known[model.Celsius](-5.9) {
		t.Errorf("last hour %+v, want an instant without rain", last)
	}
}

func TestTheCompleteRecording(t *testing.T) {
	var wrapped struct {
		Data json.RawMessage `json:"data"`
	}
	if err := json.Unmarshal(recorded(t, "complete_london_2020-07-20_with_headers.json"), &wrapped); err != nil {
		t.Fatal(err)
	}
	got, warnings, err := locationforecast.Parse(wrapped.Data)
	if err != nil || len(warnings) != 0 {
		t.Fatalf("error %v, warnings %q", err, warnings)
	}
	if len(got.Hours) != 82 || got.LatDeg != 51.5 || got.LonDeg != -0.1 {
		t.Fatalf("%d hours at %v, %v", len(got.Hours), got.LatDeg, got.LonDeg)
	}
	if diff := cmp.Diff(map[float64]int{1: 55, 6: 26, 0: 1}, steps(got)); diff != "" {
		t.Errorf("steps (-want +got):\n%s", diff)
	}
	first := got.Hours[0]
	if first.DewC != model.Known[model.Celsius](7.2) || first.SeaLevelHPa != model.Known[model.Hectopascals](1023.2) || first.CloudFraction != model.Known(0.125) {
		t.Errorf("first hour %+v", first)
	}
	if first.GustMps.Known || first.ThunderProbability.Known {
		t.Errorf("first hour %+v: this region has no gust and no chance of thunder", first)
	}
}

func steps(f model.Forecast) map[float64]int {
	n := map[float64]int{}
	for _, h := range f.Hours {
		n[h.StepH]++
	}
	return n
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(sample(f)))
	f.Add([]byte(`{"geometry":{"coordinates":[0,0]},"properties":{"meta":{"updated_at":"2026-02-06T20:27:06Z","units":{"wind_speed":"m/s"}},"timeseries":[{"time":"2026-02-06T21:00:00Z","data":{"instant":{"details":{"wind_speed":1e400}}}},{"time":"2026-02-06T21:00:00Z"}]}}`))
	f.Add([]byte(`{"geometry":{"coordinates":[0,0]},"properties":{"meta":{"updated_at":"9999-12-31T23:59:59-23:59"},"timeseries":[{"time":"9999-12-31T23:59:59-23:59"}]}}`))
	f.Add([]byte(`<html>`))
	f.Fuzz(func(t *testing.T, body []byte) {
		got, _, err := locationforecast.Parse(body)
		if err != nil {
			return
		}
		if len(got.Hours) == 0 {
			t.Error("no error and no hours")
		}
		for i, h := range got.Hours {
			if h.StepH < 0 || h.StepH > 6 || i > 0 && !h.At.After(got.Hours[i-1].At) {
				t.Errorf("hour %d at %v lasts %v h", i, h.At, h.StepH)
			}
			for name, v := range map[string]float64{
				"air": float64(h.AirC.Value), "dew": float64(h.DewC.Value), "wind": float64(h.WindMps.Value), "gust": float64(h.GustMps.Value),
				"pressure": float64(h.SeaLevelHPa.Value), "rain": float64(h.Rain.Value.Mm), "humidity": h.RHPct.Value,
			} {
				if math.IsNaN(v) || math.Abs(v) > 1100 {
					t.Errorf("%s %v", name, v)
				}
			}
			if d := h.WindFromDeg.Value; d < 0 || d >= 360 {
				t.Errorf("direction %v", d)
			}
			if c := h.CloudFraction.Value; c < 0 || c > 1 {
				t.Errorf("cloud %v", c)
			}
		}
		if _, err := json.Marshal(got); err != nil {
			t.Errorf("it cannot be written: %v", err)
		}
	})
}
