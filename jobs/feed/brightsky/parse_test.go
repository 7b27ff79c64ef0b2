package brightsky_test

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"osier/jobs/feed/brightsky"
	"osier/model"
)

func sample(t testing.TB) string {
	t.Helper()
	b, err := os.ReadFile("testdata/clock_back_and_forecast.json")
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

func kmh(v float64) model.Maybe[model.MetresPerSecond] {
	return model.Known(model.MetresPerSecond(v / 3.6))
}

func rain(mm model.Millimetres) model.Maybe[model.Rain] {
	return model.Known(model.Rain{Mm: mm, OverH: 1})
}

// near forgives what a change of unit does to the last digits; the raw text is
// looked at on its own.
var near = cmp.Options{
	cmp.Comparer(func(a, b model.MetresPerSecond) bool { return math.Abs(float64(a-b)) <= 1e-9 }),
	cmpopts.IgnoreFields(model.Observation{}, "Raw"),
}

func TestASampleWithEverything(t *testing.T) {
	got, warnings, err := brightsky.Parse([]byte(sample(t)))
	if err != nil || len(warnings) != 0 {
		t.Fatalf("error %v, warnings %q", err, warnings)
	}
	want := brightsky.Answer{
		Stations: []brightsky.Reports{
			{ // two sources, one station; what another station filled in is not its own
				Station: model.Station{
					ID: "P125", Source: "brightsky", Name: "Low station", LatDeg: 49.97, LonDeg: 9.91, ElevationM: model.Known[model.Metres](216.5),
				},
				Observations: []model.Observation{
					{
						Station: "P125", Source: "brightsky", At: at("2026-10-25T00:00:00Z"),
						AirC: model.Known[model.Celsius](0), DewC: model.Known[model.Celsius](-0.4), Rain: rain(1.2), Thunder: model.ThunderNow,
					},
					{
						Station: "P125", Source: "brightsky", At: at("2026-10-25T01:00:00Z"),
						AirC: model.Known[model.Celsius](-0.6), Rain: rain(0),
					},
					{
						Station: "P125", Source: "brightsky", At: at("2026-10-25T02:00:00Z"),
						AirC: model.Known[model.Celsius](1.5), DewC: model.Known[model.Celsius](0.5),
						WindMps: kmh(3.6), WindFromDeg: model.Known[model.Degrees](90), CloudOktas: model.Known(0),
					},
				},
			},
			{
				Station: model.Station{ID: "dwd-02597", Source: "brightsky", Name: "Hill station", LatDeg: 50.22, LonDeg: 10.08},
				Observations: []model.Observation{
					{
						Station: "dwd-02597", Source: "brightsky", At: at("2026-10-25T00:00:00Z"),
						WindMps: model.Known[model.MetresPerSecond](6.7), WindFromDeg: model.Known[model.Degrees](0), GustMps: kmh(41.8),
						SeaLevelHPa: model.Known[model.Hectopascals](1018.2), CloudOktas: model.Known(7),
					},
					{ // calm, so from nowhere; the gust of the hour before is gone
						Station: "dwd-02597", Source: "brightsky", At: at("2026-10-25T01:00:00Z"),
						WindMps: model.Known[model.MetresPerSecond](0), CloudOktas: model.Known(5),
					},
				},
			},
		},
		Forecast: model.Forecast{
			Source: "brightsky", LatDeg: 49.88, LonDeg: 10.92,
			Hours: []model.ForecastHour{
				{
					At: at("2026-10-25T03:00:00Z"), StepH: 1, AirC: model.Known[model.Celsius](3.2), DewC: model.Known[model.Celsius](2.1),
					WindMps: kmh(7.2), WindFromDeg: model.Known[model.Degrees](167), GustMps: kmh(14.4),
					SeaLevelHPa: model.Known[model.Hectopascals](1010.7), CloudFraction: model.Known(0.99),
					Rain: rain(2.5), Thunder: model.Known(false), // the 5.5 mm fell before the forecast begins
				},
				{
					At: at("2026-10-25T04:00:00Z"), StepH: 1, AirC: model.Known[model.Celsius](3.4), DewC: model.Known[model.Celsius](2.2),
					RHPct: model.Known(92.0), WindMps: kmh(9), WindFromDeg: model.Known[model.Degrees](0), GustMps: kmh(18),
					SeaLevelHPa: model.Known[model.Hectopascals](1010.1), CloudFraction: model.Known(0.5), Thunder: model.Known(true),
				},
			},
		},
	}
	if diff := cmp.Diff(want, got, near); diff != "" {
		t.Errorf("answer (-want +got):\n%s", diff)
	}
	raw := got.Stations[0].Observations[0].Raw
	if !strings.HasPrefix(raw, `{"timestamp":"2026-10-25T02:00:00+02:00","source_id":11,`) || strings.Contains(raw, "\n") {
		t.Errorf("raw %q", raw)
	}
}

func TestOneFaultSpoilsOneThing(t *testing.T) {
	first := func(a brightsky.Answer) model.Observation { return a.Stations[0].Observations[0] }
	noAir := func(a brightsky.Answer) bool { return !first(a).AirC.Known && first(a).DewC.Known }
	for _, c := range []struct {
		name, old, new string
		warning        string
		check          func(brightsky.Answer) bool
	}{
		{"too hot", `"temperature": 0,`, `"temperature": 99,`, "2026-10-25T02:00:00+02:00: temperature: 99 is outside -90 to 60", noAir},
		{"not finite", `"temperature": 0,`, `"temperature": 1e999,`, "not a finite number", noAir},
		{"a text", `"temperature": 0,`, `"temperature": "0",`, "not a finite number", noAir},
		{"negative zero", `"temperature": 0,`, `"temperature": -0.0,`, "", func(a brightsky.Answer) bool {
			return first(a).AirC.Known && !math.Signbit(float64(first(a).AirC.Value))
		}},
		{"a time that is none", `"2026-10-25T02:00:00+02:00"`, `"tonight"`, `weather[0]: timestamp "tonight"`, func(a brightsky.Answer) bool {
			return len(a.Stations[0].Observations) == 2
		}},
		{"a time without an offset", `"2026-10-25T02:00:00+02:00"`, `"2026-10-25T02:00:00"`, `weather[0]: timestamp`, func(a brightsky.Answer) bool {
			return len(a.Stations[0].Observations) == 2
		}},
		{"a time twice", `"2026-10-25T02:00:00+01:00"`, `"2026-10-25T02:00:00+02:00"`, "comes twice", func(a brightsky.Answer) bool {
			return len(a.Stations[0].Observations) == 2 && first(a).AirC == model.Known[model.Celsius](0)
		}},
		{"out of order", `"2026-10-25T02:00:00+02:00"`, `"2026-10-25T03:30:00+01:00"`, "", func(a brightsky.Answer) bool {
			return first(a).AirC == model.Known[model.Celsius](-0.6) && len(a.Stations[0].Observations) == 3
		}},
		{"no hour at all", `{"timestamp": "2026-10-25T03:00:00+01:00", "source_id": 12,`, `{"timestamp": 7, "source_id": 12,`, "weather[2]: it is no hour", func(a brightsky.Answer) bool {
			return len(a.Stations[0].Observations) == 2
		}},
		{"a source that is not listed", `"source_id": 12`, `"source_id": 99`, "source 99 is not among the sources", func(a brightsky.Answer) bool {
			return len(a.Stations[0].Observations) == 2
		}},
		{"a source without a place", `"lat": 50.22, `, ``, "sources[2]: it has no place", func(a brightsky.Answer) bool {
			return len(a.Stations) == 1 && !first(a).WindMps.Known
		}},
		{"a station without a number", `"02597"`, `null`, "sources[2]: a station without a number", func(a brightsky.Answer) bool { return len(a.Stations) == 1 }},
		{"a source of a new kind", `"synop"`, `"satellite"`, `sources[2]: observation_type "satellite"`, func(a brightsky.Answer) bool { return len(a.Stations) == 1 }},
		{"a source that is none", `{"id": 22,`, `{"id": "22",`, "sources[2]: it cannot be read", func(a brightsky.Answer) bool { return len(a.Stations) == 1 }},
		{"a station nowhere near a height", `216.5, "station_name": "Low station", "distance": 7199.0},`, `99999, "station_name": "Low\u0000station", "distance": 7199.0},`, "", func(a brightsky.Answer) bool {
			return !a.Stations[0].Station.ElevationM.Known && a.Stations[0].Station.Name == "Low station"
		}},
		{"no condition, only a picture", `"condition": "thunderstorm", "icon": "thunderstorm", "solar"`, `"icon": "thunderstorm", "solar"`, "", func(a brightsky.Answer) bool {
			return first(a).Thunder == model.ThunderNow
		}},
		{"a hole takes the rain across it away", `"2026-10-25T05:00:00+01:00"`, `"2026-10-25T06:00:00+01:00"`, "", func(a brightsky.Answer) bool {
			return !a.Forecast.Hours[0].Rain.Known
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.Replace(sample(t), c.old, c.new, 1)
			if text == sample(t) {
				t.Fatal("nothing was changed")
			}
			got, warnings, err := brightsky.Parse([]byte(text))
			if err != nil {
				t.Fatal(err)
			}
			if !c.check(got) {
				t.Errorf("answer %+v", got)
			}
			if said := strings.Join(warnings, "\n"); c.warning == "" && said != "" || !strings.Contains(said, c.warning) {
				t.Errorf("warnings %q, want one that says %q", warnings, c.warning)
			}
			if len(got.Forecast.Hours) != 2 || got.Forecast.Hours[0].AirC != model.Known[model.Celsius](3.2) {
				t.Errorf("forecast %+v: a fault elsewhere spoilt it", got.Forecast)
			}
		})
	}
}

func TestWhatIsNoAnswer(t *testing.T) {
	good := sample(t)
	for _, c := range []struct{ name, body, want string }{
		{"nothing", " \n", "the answer is empty"},
		{"a web page", "<!DOCTYPE html><html>", "a web page"},
		{"cut off", good[:len(good)/2], "breaks off before its end"},
		{"not JSON", "{weather}", "cannot be read"},
		{"an error document", `{"title": "Not Found", "description": "No sources match your criteria"}`, "missing or empty"},
		{"no hours", `{"weather": [], "sources": [{"id": 1}]}`, "missing or empty"},
		{"no sources", `{"weather": [{}], "sources": []}`, "missing or empty"},
		{"no readable hour", strings.ReplaceAll(good, `"2026-10-25T`, `"x`), "no entry in it has one that can be read"},
		{"kelvin", strings.Replace(good, `"temperature": 3.2`, `"temperature": 276.35`, 1), "SI units"},
		{"pascals", strings.Replace(good, `1018.2`, `101820`, 1), "ask with units=dwd"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, _, err := brightsky.Parse([]byte(c.body))
			if err == nil || !strings.Contains(err.Error(), c.want) || model.CodeOf(err) != model.Invalid {
				t.Errorf("error %v, want one that says %q", err, c.want)
			}
			if got.Stations != nil || got.Forecast.Hours != nil {
				t.Errorf("%+v beside an error", got)
			}
		})
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(sample(f)))
	if b, err := os.ReadFile(recording); err == nil {
		f.Add(b)
	}
	f.Add([]byte(`{"weather":[{"timestamp":"9999-12-31T23:59:59-23:59","source_id":1,"wind_speed":1e400}],"sources":[{"id":1,"observation_type":"forecast","lat":0,"lon":0}]}`))
	f.Add([]byte(`{"weather":[null,7,{"timestamp":"2024-01-01T00:00:00Z","source_id":1,"cloud_cover":1e2}],"sources":[null,{"id":1,"observation_type":"synop","wmo_station_id":"1","lat":0,"lon":0}]}`))
	f.Add([]byte(`<html>`))
	f.Fuzz(func(t *testing.T, body []byte) {
		got, _, err := brightsky.Parse(body)
		if err != nil {
			return
		}
		for _, s := range got.Stations {
			if s.Station.ID == "" || len(s.Observations) == 0 {
				t.Errorf("station %+v with %d observations", s.Station, len(s.Observations))
			}
			for i, o := range s.Observations {
				if o.Station != s.Station.ID || i > 0 && !o.At.After(s.Observations[i-1].At) {
					t.Errorf("observation %d of %s: %+v", i, s.Station.ID, o)
				}
				sane(t, float64(o.AirC.Value), float64(o.DewC.Value), float64(o.WindMps.Value), float64(o.GustMps.Value),
					float64(o.SeaLevelHPa.Value), float64(o.Rain.Value.Mm), float64(o.CloudOktas.Value))
				if d := o.WindFromDeg.Value; d < 0 || d >= 360 || o.CloudOktas.Value < 0 || o.CloudOktas.Value > 8 {
					t.Errorf("direction %v, cloud %v", d, o.CloudOktas.Value)
				}
			}
		}
		for i, h := range got.Forecast.Hours {
			if h.StepH != 1 || i > 0 && !h.At.After(got.Forecast.Hours[i-1].At) {
				t.Errorf("hour %d at %v lasts %v h", i, h.At, h.StepH)
			}
			sane(t, float64(h.AirC.Value), float64(h.DewC.Value), float64(h.WindMps.Value), float64(h.GustMps.Value),
				float64(h.SeaLevelHPa.Value), float64(h.Rain.Value.Mm), h.RHPct.Value, h.CloudFraction.Value)
		}
		if _, err := json.Marshal(got); err != nil {
			t.Errorf("it cannot be written: %v", err)
		}
	})
}

func sane(t *testing.T, values ...float64) {
	for _, v := range values {
		if math.IsNaN(v) || math.Abs(v) > 1100 {
			t.Errorf("value %v", v)
		}
	}
}
