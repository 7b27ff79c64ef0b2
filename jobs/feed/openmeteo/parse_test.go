package openmeteo_test

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/openmeteo"
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

// near forgives what a change of unit does to the last digits.
var near = cmp.Options{
	cmp.Comparer(nearly[model.Celsius]), cmp.Comparer(nearly[model.MetresPerSecond]),
	cmp.Comparer(nearly[model.Millimetres]), cmp.Comparer(nearly[float64]),
}

func nearly[T ~float64](a, b T) bool { return math.Abs(float64(a-b)) <= 1e-9 }

func rain(mm model.Millimetres) model.Maybe[model.Rain] {
	return model.Known(model.Rain{Mm: mm, OverH: 1})
}

func TestASampleInTheUnitsAskedFor(t *testing.T) {
	got, warnings, err := openmeteo.Parse([]byte(sample(t, "unix_gmt.json")))
	if err != nil || len(warnings) != 0 {
		t.Fatalf("error %v, warnings %q", err, warnings)
	}
	want := model.Forecast{
		Source: "openmeteo", LatDeg: 53.02, LonDeg: -1.48, // the cell's; when it was issued is not said
		Hours: []model.ForecastHour{
			{
				At: at("2026-06-03T05:00:00Z"), StepH: 1,
				AirC: model.Known[model.Celsius](0), DewC: model.Known[model.Celsius](-1.2), RHPct: model.Known(91.0),
				WindMps: model.Known[model.MetresPerSecond](3.4), GustMps: model.Known[model.MetresPerSecond](7.9),
				WindFromDeg: model.Known[model.Degrees](0), SeaLevelHPa: model.Known[model.Hectopascals](1018.2),
				CloudFraction: model.Known(0.87), Rain: rain(1.2), // 5.5 mm fell before the first hour
				Thunder: model.Known(true),
			},
			{ // calm, no gust given, and no pressure: the surface pressure is another kind
				At: at("2026-06-03T06:00:00Z"), StepH: 1,
				AirC: model.Known[model.Celsius](11.4), DewC: model.Known[model.Celsius](9), RHPct: model.Known(85.0),
				WindMps: model.Known[model.MetresPerSecond](0), WindFromDeg: model.Known[model.Degrees](182),
				CloudFraction: model.Known(0.0), Rain: rain(0), Thunder: model.Known(false),
			},
			{At: at("2026-06-03T07:00:00Z"), StepH: 1}, // all null
		},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("forecast (-want +got):\n%s", diff)
	}
}

func TestOldNamesOtherUnitsAndALocalZone(t *testing.T) {
	got, warnings, err := openmeteo.Parse([]byte(sample(t, "local_old_names.json")))
	if err != nil || len(warnings) != 0 {
		t.Fatalf("error %v, warnings %q", err, warnings)
	}
	want := []model.ForecastHour{
		{
			At: at("2026-06-02T23:00:00Z"), StepH: 1, AirC: model.Known[model.Celsius](10), DewC: model.Known[model.Celsius](5),
			RHPct: model.Known(71.0), WindMps: model.Known[model.MetresPerSecond](4.4704), WindFromDeg: model.Known[model.Degrees](225),
			GustMps: model.Known[model.MetresPerSecond](20 * 1852.0 / 3600), SeaLevelHPa: model.Known[model.Hectopascals](1009.3),
			CloudFraction: model.Known(0.5), Rain: rain(2.54), Thunder: model.Known(false),
		},
		{
			At: at("2026-06-03T00:00:00Z"), StepH: 1, AirC: model.Known[model.Celsius](0), DewC: model.Known[model.Celsius](-5),
			RHPct: model.Known(68.0), WindMps: model.Known[model.MetresPerSecond](0), WindFromDeg: model.Known[model.Degrees](230),
			GustMps: model.Known[model.MetresPerSecond](3 * 1852.0 / 3600), SeaLevelHPa: model.Known[model.Hectopascals](1009.1),
			CloudFraction: model.Known(1.0), Thunder: model.Known(true),
		},
	}
	if diff := cmp.Diff(want, got.Hours, near); diff != "" {
		t.Errorf("hours (-want +got):\n%s", diff)
	}
}

func TestTheArchiveIsMarkedAndItsSilenceOnThunderProvesNothing(t *testing.T) {
	got, _, err := openmeteo.ParseArchive([]byte(sample(t, "unix_gmt.json")))
	if err != nil {
		t.Fatal(err)
	}
	if got.Source != "openmeteo-archive" || got.Hours[0].Thunder != model.Known(true) || got.Hours[1].Thunder.Known {
		t.Errorf("source %q, thunder %+v then %+v", got.Source, got.Hours[0].Thunder, got.Hours[1].Thunder)
	}
	if got.Hours[1].AirC != model.Known[model.Celsius](11.4) {
		t.Errorf("air %+v", got.Hours[1].AirC)
	}
	if _, _, err := openmeteo.ParseArchive([]byte(`{}`)); err == nil {
		t.Error("an empty answer is no archive")
	}
}

func TestOneFaultSpoilsOneThing(t *testing.T) {
	noWind := func(f model.Forecast) bool {
		return !f.Hours[0].WindMps.Known && f.Hours[0].GustMps == model.Known[model.MetresPerSecond](7.9)
	}
	noAir := func(f model.Forecast) bool { return !f.Hours[0].AirC.Known && f.Hours[0].DewC.Known }
	for _, c := range []struct {
		name, old, new string
		warning        string
		check          func(model.Forecast) bool // what must hold; the first hour's humidity is checked always
	}{
		{"an unknown unit", `"wind_speed_10m": "m/s"`, `"wind_speed_10m": "furlong/h"`, "wind_speed_10m: hourly_units says furlong/h", noWind},
		{"a unit of another kind", `"wind_speed_10m": "m/s"`, `"wind_speed_10m": "°C"`, "hourly_units says °C", noWind},
		{"no unit", `"wind_speed_10m": "m/s", `, ``, "hourly_units says <nil>", noWind},
		{"a unit that is no text", `"wind_speed_10m": "m/s"`, `"wind_speed_10m": 7`, "hourly_units says 7", noWind},
		{"a list too short", `[3.4, 0.0, null]`, `[3.4, 0.0]`, "wind_speed_10m: it lists 2 values for 3 times", noWind},
		{"a list too long", `[3.4, 0.0, null]`, `[3.4, 0.0, null, 1]`, "it lists 4 values for 3 times", noWind},
		{"no list", `[3.4, 0.0, null]`, `3.4`, "wind_speed_10m: it is no list", noWind},
		{"a null for a list", `[3.4, 0.0, null]`, `null`, "it lists 0 values", noWind},
		{"too hot", `[0, 11.4, null]`, `[99, 11.4, null]`, "temperature_2m: 1 of 3 values left out, the first 99 at 1780462800; a number from -90 to 60 C", noAir},
		{"all too hot", `[0, 11.4, null]`, `[99, 98, 97]`, "3 of 3 values left out", noAir},
		{"not finite", `[0, 11.4, null]`, `[1e999, 11.4, null]`, "the first 1e999", noAir},
		{"a text", `[0, 11.4, null]`, `["0", 11.4, null]`, `the first "0"`, noAir},
		{"negative zero", `[0, 11.4, null]`, `[-0.0, 11.4, null]`, "", func(f model.Forecast) bool {
			return f.Hours[0].AirC.Known && !math.Signbit(float64(f.Hours[0].AirC.Value))
		}},
		{"a variable that is not there", `"temperature_2m": [0`, `"temperature_80m": [0`, "", noAir},
		{"a time twice", `1780466400`, `1780462800`, "1780462800 comes twice", func(f model.Forecast) bool {
			return len(f.Hours) == 2 && f.Hours[0].AirC == model.Known[model.Celsius](0)
		}},
		{"a time that is none", `1780466400`, `"tomorrow"`, `hourly.time[1]: "tomorrow" is no time`, func(f model.Forecast) bool {
			return len(f.Hours) == 2 && f.Hours[1].At.Equal(at("2026-06-03T07:00:00Z"))
		}},
		{"a time of another age", `1780466400`, `99999999999`, "hourly.time[1]", func(f model.Forecast) bool { return len(f.Hours) == 2 }},
		{"out of order", `1780462800, 1780466400`, `1780466400, 1780462800`, "out of order", func(f model.Forecast) bool {
			return f.Hours[0].AirC == model.Known[model.Celsius](11.4) && f.Hours[1].AirC == model.Known[model.Celsius](0)
		}},
		{"a hole takes the rain across it away", `1780466400`, `1780468200`, "", func(f model.Forecast) bool {
			return !f.Hours[0].Rain.Known && f.Hours[1].Rain == model.Maybe[model.Rain]{}
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.Replace(sample(t, "unix_gmt.json"), c.old, c.new, 1)
			got, warnings, err := openmeteo.Parse([]byte(text))
			if err != nil {
				t.Fatal(err)
			}
			if !c.check(got) {
				t.Errorf("hours %+v", got.Hours)
			}
			if said := strings.Join(warnings, "\n"); c.warning == "" && said != "" || !strings.Contains(said, c.warning) {
				t.Errorf("warnings %q, want one that says %q", warnings, c.warning)
			}
			if len(warnings) > 1 {
				t.Errorf("warnings %q for one fault", warnings)
			}
			if first := got.Hours[0]; c.name != "out of order" && first.RHPct != model.Known(91.0) {
				t.Errorf("humidity %+v: a fault elsewhere spoilt it", first.RHPct)
			}
		})
	}
}

func TestWhatIsNoForecast(t *testing.T) {
	good := sample(t, "unix_gmt.json")
	local := sample(t, "local_old_names.json")
	for _, c := range []struct {
		name, body, want string
		code             model.Code
	}{
		{"nothing", " \n", "the answer is empty", model.Invalid},
		{"a web page", "<!DOCTYPE html><html>", "a web page", model.Invalid},
		{"cut off", good[:len(good)/2], "breaks off before its end", model.Invalid},
		{"not JSON", "{forecast}", "cannot be read", model.Invalid},
		{"several places at a time", "[" + good + "]", "cannot be read", model.Invalid},
		{"no hours", `{"latitude": 1, "longitude": 1}`, "hourly: it is missing or empty", model.Invalid},
		{"no times", strings.Replace(good, `"time": [`, `"thyme": [`, 1), "hourly.time: it is missing", model.Invalid},
		{"no readable time", strings.Replace(good, "1780462800, 1780466400, 1780470000", `null, "", 1e300`, 1), "no time in it can be read", model.Invalid},
		{"a kind of time nobody knows", strings.Replace(good, `"unixtime"`, `"stardate"`, 1), "hourly_units.time: stardate is neither", model.Invalid},
		{"no kind of time", strings.Replace(good, `"time": "unixtime", `, "", 1), "hourly_units.time: <nil> is neither", model.Invalid},
		{"local times from nobody knows where", strings.Replace(local, `"utc_offset_seconds": 3600`, `"utc_offset_seconds": null`, 1), "utc_offset_seconds: it is missing", model.Invalid},
		{"an offset of three days", strings.Replace(local, `3600`, `259200`, 1), "utc_offset_seconds: 259200 s is out of range", model.Invalid},
		{"no place", strings.Replace(good, `"latitude": 53.02, `, "", 1), "latitude: one of them is missing", model.Invalid},
		{"a place off the earth", strings.Replace(good, "53.02", "91", 1), "latitude: 91 degrees is out of range", model.Invalid},
		{
			"a question it cannot answer", `{"error":true,"reason":"Cannot initialize WeatherVariable from invalid String value tempeture_2m"}`,
			"invalid String value tempeture_2m", model.Invalid,
		},
		// The texts of the feed's limits (weather reference, 8d and 10).
		{
			"over the limit of a minute", `{"error":true,"reason":"Minutely API request limit exceeded. Please try again in one minute."}`,
			"Minutely API request limit exceeded", model.Unavailable,
		},
		{"two at a time", `{"error":true,"reason":"Too many concurrent requests"}`, "Too many concurrent", model.Unavailable},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, _, err := openmeteo.Parse([]byte(c.body))
			if err == nil || !strings.Contains(err.Error(), c.want) || model.CodeOf(err) != c.code {
				t.Errorf("error %v (%s), want one that says %q (%s)", err, model.CodeOf(err), c.want, c.code)
			}
			if got.Hours != nil {
				t.Errorf("%d hours beside an error", len(got.Hours))
			}
		})
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(sample(f, "unix_gmt.json")))
	f.Add([]byte(sample(f, "local_old_names.json")))
	for _, name := range []string{"forecast_newyork_2026-02-06.json", "hourly_germany_2026-03-02.json"} {
		if b, err := os.ReadFile(recordings + name); err == nil {
			f.Add(b)
		}
	}
	f.Add([]byte(`{"latitude":0,"longitude":0,"hourly_units":{"time":"unixtime","precipitation":"mm"},"hourly":{"time":[9223372036854775807,-9223372036854775808,0,3600],"precipitation":[1e400,-1,0,5]}}`))
	f.Add([]byte(`{"error":true}`))
	f.Add([]byte(`<html>`))
	f.Fuzz(func(t *testing.T, body []byte) {
		got, _, err := openmeteo.Parse(body)
		if err != nil {
			return
		}
		if len(got.Hours) == 0 {
			t.Error("no error and no hours")
		}
		for i, h := range got.Hours {
			if h.StepH != 1 || i > 0 && !h.At.After(got.Hours[i-1].At) {
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
