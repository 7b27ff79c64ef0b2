package smhi_test

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/smhi"
	"osier/model"
)

func sample(t testing.TB, name string) string {
	t.Helper()
	b, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func at(text string) time.Time {
	v, err := time.Parse(time.RFC3339, text)
	if err != nil {
		panic(err)
	}
	return v
}

func rain(mm model.Millimetres, overH float64) model.Maybe[model.Rain] {
	return model.Known(model.Rain{Mm: mm, OverH: overH})
}

func TestASampleOfNamedValues(t *testing.T) {
	got, warnings, err := smhi.Parse([]byte(sample(t, "named_values.json")))
	if err != nil || len(warnings) != 0 {
		t.Fatalf("error %v, warnings %q", err, warnings)
	}
	want := model.Forecast{
		Source: "smhi", LatDeg: 59.33, LonDeg: 18.08, IssuedAt: at("2026-06-03T04:00:00Z"),
		Hours: []model.ForecastHour{
			{ // the 5.5 mm fell before it; its own rain stands in the next entry, below the least amount by rounding
				At: at("2026-06-03T05:00:00Z"), StepH: 1, AirC: model.Known[model.Celsius](0), RHPct: model.Known(88.0),
				WindMps: model.Known[model.MetresPerSecond](4.3), GustMps: model.Known[model.MetresPerSecond](7.8),
				WindFromDeg: model.Known[model.Degrees](0), SeaLevelHPa: model.Known[model.Hectopascals](1013.6),
				CloudFraction: model.Known(1.0), Rain: rain(0.2, 1),
				ThunderProbability: model.Known(0.35), Thunder: model.Known(true),
			},
			{
				At: at("2026-06-03T06:00:00Z"), StepH: 6, AirC: model.Known[model.Celsius](11.4),
				WindMps: model.Known[model.MetresPerSecond](0), WindFromDeg: model.Known[model.Degrees](182),
				CloudFraction: model.Known(0.25), Rain: rain(1.8, 6),
				ThunderProbability: model.Known(0.0), Thunder: model.Known(false),
			},
			{At: at("2026-06-03T12:00:00Z"), StepH: 12, AirC: model.Known[model.Celsius](17), Rain: rain(0, 12), Thunder: model.Known(true)},
			{At: at("2026-06-04T00:00:00Z"), StepH: 0, AirC: model.Known[model.Celsius](12)},
		},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("forecast (-want +got):\n%s", diff)
	}
	if math.Signbit(float64(got.Hours[2].Rain.Value.Mm)) {
		t.Error("a rain of -0")
	}
}

func TestASampleOfTheOlderShape(t *testing.T) {
	got, warnings, err := smhi.Parse([]byte(sample(t, "parameters.json")))
	if err != nil || len(warnings) != 0 {
		t.Fatalf("error %v, warnings %q", err, warnings)
	}
	want := model.Forecast{
		Source: "smhi", LatDeg: 59.33, LonDeg: 18.08, IssuedAt: at("2021-06-03T04:00:00Z"),
		Hours: []model.ForecastHour{
			{
				At: at("2021-06-03T05:00:00Z"), StepH: 3, AirC: model.Known[model.Celsius](0), RHPct: model.Known(88.0),
				WindMps: model.Known[model.MetresPerSecond](4.3), GustMps: model.Known[model.MetresPerSecond](7.8),
				WindFromDeg: model.Known[model.Degrees](40), SeaLevelHPa: model.Known[model.Hectopascals](1013.6),
				CloudFraction: model.Known(0.5), Rain: rain(1.5, 3), // 0.5 mm/h for three hours
				ThunderProbability: model.Known(0.35), Thunder: model.Known(true),
			},
			{At: at("2021-06-03T08:00:00Z"), StepH: 0, AirC: model.Known[model.Celsius](11.4)},
		},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("forecast (-want +got):\n%s", diff)
	}
}

func TestOneFaultSpoilsOneThing(t *testing.T) {
	const newer, older = "named_values.json", "parameters.json"
	noAir := func(f model.Forecast) bool { return !f.Hours[0].AirC.Known && f.Hours[0].RHPct.Known }
	for _, c := range []struct {
		name, file, old, new string
		warning              string
		check                func(model.Forecast) bool // what must hold; the first hour's wind is checked always
	}{
		{"too hot", newer, `"air_temperature": 0`, `"air_temperature": 99`, "2026-06-03T05:00:00Z: air_temperature: 99 is outside -90 to 60", noAir},
		{"not finite", newer, `"air_temperature": 0`, `"air_temperature": 1e999`, "not a finite number", noAir},
		{"a text", newer, `"air_temperature": 0`, `"air_temperature": "0"`, "not a finite number", noAir},
		{"the mark for missing", newer, `"air_temperature": 0`, `"air_temperature": 9999`, "", noAir},
		{"cloud in per cent", newer, `"cloud_area_fraction": 8`, `"cloud_area_fraction": 100`, "cloud_area_fraction: 100 is outside 0 to 8", func(f model.Forecast) bool {
			return !f.Hours[0].CloudFraction.Known
		}},
		{"a symbol of next year", newer, `"symbol_code": 11`, `"symbol_code": 28`, "symbol_code: 28 is outside", func(f model.Forecast) bool { return !f.Hours[0].Thunder.Known }},
		{"an interval that begins where it ends", newer, `"intervalParametersStartTime": "2026-06-03T05:00:00Z"`, `"intervalParametersStartTime": "2026-06-03T06:00:00Z"`, "begins no interval", func(f model.Forecast) bool {
			return f.Hours[0].Rain == rain(0.2, 1)
		}},
		{"no interval", newer, `"intervalParametersStartTime": "2026-06-03T05:00:00Z", `, ``, `intervalParametersStartTime "" begins no interval`, func(f model.Forecast) bool {
			return f.Hours[0].Rain == rain(0.2, 1)
		}},
		{"an interval that is no step", newer, `"intervalParametersStartTime": "2026-06-03T05:00:00Z"`, `"intervalParametersStartTime": "2026-06-03T03:00:00Z"`, "of the time since 2026-06-03T03:00:00Z, which is no step", func(f model.Forecast) bool {
			return !f.Hours[0].Rain.Known && f.Hours[1].Rain.Known
		}},
		{"a time twice", newer, `"time": "2026-06-03T06:00:00Z"`, `"time": "2026-06-03T05:00:00Z"`, "comes twice", func(f model.Forecast) bool { return len(f.Hours) == 3 && f.Hours[0].StepH == 7 }},
		{"a time that is none", newer, `"time": "2026-06-03T06:00:00Z"`, `"time": "tomorrow"`, `timeSeries[1]: time "tomorrow"`, func(f model.Forecast) bool { return len(f.Hours) == 3 }},
		{"out of order", newer, `"time": "2026-06-04T00:00:00Z"`, `"time": "2026-06-03T05:30:00Z"`, "out of order", func(f model.Forecast) bool {
			return f.Hours[0].StepH == 0.5 && f.Hours[1].AirC == model.Known[model.Celsius](12)
		}},
		{"a hole of a day", newer, `"time": "2026-06-04T00:00:00Z"`, `"time": "2026-06-05T00:00:00Z"`, "", func(f model.Forecast) bool {
			return f.Hours[2].StepH == 0 && !f.Hours[2].Rain.Known
		}},
		{"kelvin", older, `"unit": "Cel", "values": [0]`, `"unit": "K", "values": [273]`, `t: the unit is "K", only "Cel" is read`, noAir},
		{"no unit", older, `"unit": "Cel", "values": [0]`, `"values": [0]`, `t: the unit is "", only "Cel"`, noAir},
		{"an empty list", older, `"values": [0]`, `"values": []`, "", noAir},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.Replace(sample(t, c.file), c.old, c.new, 1)
			if text == sample(t, c.file) {
				t.Fatal("nothing was changed")
			}
			got, warnings, err := smhi.Parse([]byte(text))
			if err != nil {
				t.Fatal(err)
			}
			if !c.check(got) {
				t.Errorf("hours %+v", got.Hours)
			}
			if said := strings.Join(warnings, "\n"); c.warning == "" && said != "" || !strings.Contains(said, c.warning) {
				t.Errorf("warnings %q, want one that says %q", warnings, c.warning)
			}
			if first := got.Hours[0]; first.WindMps != model.Known[model.MetresPerSecond](4.3) {
				t.Errorf("wind %+v: a fault elsewhere spoilt it", first.WindMps)
			}
		})
	}
}

func TestWhatIsNoForecast(t *testing.T) {
	good := sample(t, "named_values.json")
	for _, c := range []struct{ name, body, want string }{
		{"nothing", " \n", "the answer is empty"},
		{"a web page", "<!DOCTYPE html><html>", "a web page"},
		{"cut off", good[:len(good)/2], "breaks off before its end"},
		{"not JSON", "{forecast}", "cannot be read"},
		{"words in place of an answer", "Requested point is out of bounds", "cannot be read"},
		{"another document", `{"error": true}`, "timeSeries: it is missing or empty"},
		{"no hours", `{"timeSeries": []}`, "missing or empty"},
		{"no issue time", strings.Replace(good, `"referenceTime"`, `"referTime"`, 1), "referenceTime: \"\" is none"},
		{"no readable hour", strings.ReplaceAll(good, `"time": "`, `"time": "x`), "no entry in it has a time"},
		{"no place", strings.Replace(good, "[18.08, 59.33]", "[]", 1), "geometry.coordinates"},
		{"two places", strings.Replace(good, "[18.08, 59.33]", "[[18.08, 59.33], [18.1, 59.33]]", 1), "one longitude and latitude"},
		{"a place off the earth", strings.Replace(good, "59.33", "91", 1), "latitude: 91 degrees is out of range"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, _, err := smhi.Parse([]byte(c.body))
			if err == nil || !strings.Contains(err.Error(), c.want) || model.CodeOf(err) != model.Invalid {
				t.Errorf("error %v, want one that says %q", err, c.want)
			}
			if got.Hours != nil {
				t.Errorf("%d hours beside an error", len(got.Hours))
			}
		})
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(sample(f, "named_values.json")))
	f.Add([]byte(sample(f, "parameters.json")))
	if b, err := os.ReadFile(recording); err == nil {
		f.Add(b)
	}
	f.Add([]byte(`{"referenceTime":"2026-02-06T21:00:00Z","geometry":{"coordinates":[0,0]},"timeSeries":[{"time":"9999-12-31T23:59:59-23:59"},{"time":"2026-02-06T21:00:00Z","data":{"wind_speed":1e400}}]}`))
	f.Add([]byte(`<html>`))
	f.Fuzz(func(t *testing.T, body []byte) {
		got, _, err := smhi.Parse(body)
		if err != nil {
			return
		}
		if len(got.Hours) == 0 {
			t.Error("no error and no hours")
		}
		for i, h := range got.Hours {
			if h.StepH < 0 || h.StepH > 12 || i > 0 && !h.At.After(got.Hours[i-1].At) {
				t.Errorf("hour %d at %v lasts %v h", i, h.At, h.StepH)
			}
			if h.Rain.Known && (h.Rain.Value.OverH != h.StepH || h.StepH == 0) {
				t.Errorf("hour %d of %v h has rain of %v h", i, h.StepH, h.Rain.Value.OverH)
			}
			for name, v := range map[string]float64{
				"air": float64(h.AirC.Value), "wind": float64(h.WindMps.Value), "gust": float64(h.GustMps.Value),
				"pressure": float64(h.SeaLevelHPa.Value), "rain": float64(h.Rain.Value.Mm) / 12, "humidity": h.RHPct.Value,
			} {
				if math.IsNaN(v) || math.Abs(v) > 1100 {
					t.Errorf("%s %v", name, v)
				}
			}
			if d := h.WindFromDeg.Value; d < 0 || d >= 360 {
				t.Errorf("direction %v", d)
			}
			if c, p := h.CloudFraction.Value, h.ThunderProbability.Value; c < 0 || c > 1 || p < 0 || p > 1 {
				t.Errorf("cloud %v, thunder %v", c, p)
			}
		}
		if _, err := json.Marshal(got); err != nil {
			t.Errorf("it cannot be written: %v", err)
		}
	})
}
