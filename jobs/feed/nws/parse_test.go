package nws_test

import (
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/nws"
	"osier/model"
)

func two(t testing.TB) string {
	t.Helper()
	b, err := os.ReadFile("testdata/two.json")
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
	return v.UTC()
}

func celsius(v model.Celsius) model.Maybe[model.Celsius]             { return model.Known(v) }
func mps(v model.MetresPerSecond) model.Maybe[model.MetresPerSecond] { return model.Known(v) }
func degrees(v model.Degrees) model.Maybe[model.Degrees]             { return model.Known(v) }
func hPa(v model.Hectopascals) model.Maybe[model.Hectopascals]       { return model.Known(v) }
func metres(v model.Metres) model.Maybe[model.Metres]                { return model.Known(v) }
func rain(mm model.Millimetres, overH float64) model.Maybe[model.Rain] {
	return model.Known(model.Rain{Mm: mm, OverH: overH})
}

// both compares values as closely as a conversion in binary fractions allows.
var both = cmp.Options{
	cmp.Comparer(func(a, b model.MetresPerSecond) bool { return near(float64(a), float64(b)) }),
	cmp.Comparer(func(a, b model.Hectopascals) bool { return near(float64(a), float64(b)) }),
	cmp.Comparer(func(a, b model.Millimetres) bool { return near(float64(a), float64(b)) }),
}

func near(a, b float64) bool { return a-b < 1e-9 && b-a < 1e-9 }

func TestTheNewerAndTheOlderShape(t *testing.T) {
	got, warnings, err := nws.Parse([]byte(two(t)))
	if err != nil || len(warnings) != 0 {
		t.Fatalf("error %v, warnings %q", err, warnings)
	}
	station := model.Station{ID: "KXXA", Source: "nws", LatDeg: 53.25, LonDeg: -1.5}
	named := station
	named.Name, named.ElevationM = "Upper Mere", metres(95)
	want := []nws.Report{
		{Station: named, Observation: model.Observation{
			Station: "KXXA", Source: "nws", At: at("2026-03-04T17:53:00Z"),
			AirC: celsius(0), DewC: celsius(-1.2), WindMps: mps(6), WindFromDeg: degrees(0), GustMps: mps(10),
			QNHHPa: hPa(1011.9), SeaLevelHPa: hPa(1012.5), Rain: rain(2.5, 1), CloudOktas: model.Known(6),
			Raw: "KXXA 041753Z 22012G20KT 5SM TSRA BKN040 08/06 A2992 RMK AO2",
		}},
		{Station: station, Observation: model.Observation{
			Station: "KXXA", Source: "nws", At: at("2019-06-27T10:53:00Z"),
			AirC: celsius(12.5), WindMps: mps(10), WindFromDeg: degrees(10), Rain: rain(2.5, 6),
		}},
	}
	if diff := cmp.Diff(want, got, both); diff != "" {
		t.Errorf("reports (-want +got):\n%s", diff)
	}
}

func TestOneFaultSpoilsOneThing(t *testing.T) {
	for _, c := range []struct {
		name, old, new string
		warning        string // "" for none
		check          func(first nws.Report) bool
	}{
		{"a unit of next year", `"wmoUnit:degC", "value": 0`, `"wmoUnit:K", "value": 273.15`, `temperature: values in the unit "wmoUnit:K" are not read`, noAir},
		{"no unit", `"unitCode": "wmoUnit:degC", "value": 0`, `"value": 0`, `temperature: values in the unit ""`, noAir},
		{"null needs no unit", `"unitCode": "wmoUnit:degC", "value": 0`, `"value": null`, "", noAir},
		{"another namespace", `"wmoUnit:degC", "value": 0`, `"http://codes.wmo.int/common/unit:degC", "value": 0`, "", airIsZero},
		{"no namespace", `"wmoUnit:degC", "value": 0`, `"degC", "value": 0`, "", airIsZero},
		{"negative zero", `"wmoUnit:degC", "value": 0`, `"wmoUnit:degC", "value": -0.0`, "", airIsZero},
		{"too hot", `"wmoUnit:degC", "value": 0`, `"wmoUnit:degC", "value": 99`, "KXXA at 2026-03-04T17:53:00Z: temperature: 99 is outside -90 to 60 C", noAir},
		{"not finite", `"wmoUnit:degC", "value": 0`, `"wmoUnit:degC", "value": 1e999`, "not a finite number", noAir},
		{"a text", `"wmoUnit:degC", "value": 0`, `"wmoUnit:degC", "value": "0"`, "not a finite number", noAir},
		{"a bare number", `{"unitCode": "wmoUnit:degC", "value": 0, "qualityControl": "V"}`, `0`, `temperature: "0" cannot be read`, noAir},
		{"a property of null", `{"unitCode": "wmoUnit:degC", "value": 0, "qualityControl": "V"}`, `null`, "", noAir},
		{"failed the checks", `"value": 0, "qualityControl": "V"`, `"value": 0, "qualityControl": "X"`, "", airFailed},
		{"failed the checks, older", `"value": 0, "qualityControl": "V"`, `"value": 0, "qualityControl": "qc:X"`, "", airFailed},
		{"set bad by hand", `"value": 0, "qualityControl": "V"`, `"value": 0, "qualityControl": "B"`, "", airFailed},
		{"questioned", `"value": 0, "qualityControl": "V"`, `"value": 0, "qualityControl": "Q"`, "", func(r nws.Report) bool {
			return airIsZero(r) && r.Observation.LowTrust && r.Failed == nil
		}},
		{"questioned, but null", `"value": 0, "qualityControl": "V"`, `"value": null, "qualityControl": "Q"`, "", func(r nws.Report) bool {
			return noAir(r) && !r.Observation.LowTrust
		}},
		{"not checked is no fault", `"value": 0, "qualityControl": "V"`, `"value": 0, "qualityControl": "Z"`, "", airIsZero},
		{"station pressure by mistake", `101190`, `82100`, "barometricPressure: 821 is outside 850 to 1100 hPa", func(r nws.Report) bool {
			return !r.Observation.QNHHPa.Known && r.Observation.SeaLevelHPa.Known
		}},
		{"a direction of 361", `"value": 360`, `"value": 361`, "windDirection: 361 is outside", func(r nws.Report) bool {
			return !r.Observation.WindFromDeg.Known && r.Observation.WindMps.Known
		}},
		{"a calm has no direction", `"value": 21.6`, `"value": 0`, "", func(r nws.Report) bool {
			return r.Observation.WindMps == mps(0) && !r.Observation.WindFromDeg.Known
		}},
		{"the hour's rain is zero", `"value": 2.5`, `"value": 0`, "", func(r nws.Report) bool { return r.Observation.Rain == rain(0, 1) }},
		{"the hour's rain is null", `"value": 2.5`, `"value": null`, "", func(r nws.Report) bool { return r.Observation.Rain == rain(6, 3) }},
		{"negative rain", `"value": 2.5`, `"value": -2.5`, "precipitationLastHour: -2.5 is outside", func(r nws.Report) bool { return r.Observation.Rain == rain(6, 3) }},
		{"an unknown cloud", `"amount": "BKN"`, `"amount": "SOME"`, `cloudLayers: the amount "SOME"`, func(r nws.Report) bool { return r.Observation.CloudOktas == model.Known(2) }},
		{"a cloud of null", `"amount": "BKN"`, `"amount": null`, "", func(r nws.Report) bool { return r.Observation.CloudOktas == model.Known(2) }},
		{"the highest cover first", `"amount": "FEW"`, `"amount": "OVC"`, "", func(r nws.Report) bool { return r.Observation.CloudOktas == model.Known(8) }},
		{"a hidden sky", `"amount": "BKN"`, `"amount": "VV"`, "", func(r nws.Report) bool { return r.Observation.CloudOktas == model.Known(8) }},
		{"thunder", `"rawString": "-RA"`, `"rawString": "-TSRA"`, "", thunder(model.ThunderNow)},
		{"thunder in words alone", `"weather": "rain", "rawString": "-RA"`, `"weather": "thunderstorms"`, "", thunder(model.ThunderNow)},
		{"thunder near by", `"rawString": "-RA"`, `"rawString": "VCTS"`, "", thunder(model.ThunderVicinity)},
		{"thunder near by, marked", `"weather": "rain", "rawString": "-RA"`, `"weather": "thunderstorms", "rawString": "TS", "inVicinity": true`, "", thunder(model.ThunderVicinity)},
		{"a sensor that is off", `"rawString": "-RA"`, `"rawString": "TSNO"`, "", thunder(model.ThunderUnknown)},
		{"rain without thunder proves nothing", `"rawString": "-RA"`, `"rawString": "+RA"`, "", thunder(model.ThunderUnknown)},
		{"no height", `"value": 95`, `"value": null`, "", func(r nws.Report) bool { return !r.Station.ElevationM.Known }},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.Replace(two(t), c.old, c.new, 1)
			if text == two(t) {
				t.Fatal("the sample does not hold what is to be replaced")
			}
			got, warnings, err := nws.Parse([]byte(text))
			if err != nil || len(got) != 2 {
				t.Fatalf("%d reports, error %v", len(got), err)
			}
			if !c.check(got[0]) {
				t.Errorf("report %+v", got[0])
			}
			if said := strings.Join(warnings, "\n"); c.warning == "" && said != "" || !strings.Contains(said, c.warning) {
				t.Errorf("warnings %q, want one that says %q", warnings, c.warning)
			}
			if got[0].Observation.DewC != celsius(-1.2) {
				t.Errorf("dew point %+v: a fault elsewhere spoilt it", got[0].Observation.DewC)
			}
		})
	}
}

func noAir(r nws.Report) bool     { return !r.Observation.AirC.Known && r.Failed == nil }
func airIsZero(r nws.Report) bool { return r.Observation.AirC == celsius(0) }
func airFailed(r nws.Report) bool {
	return !r.Observation.AirC.Known && cmp.Equal(r.Failed, []string{"temperature"})
}

func thunder(want model.Thunder) func(nws.Report) bool {
	return func(r nws.Report) bool { return r.Observation.Thunder == want }
}

func TestAUnitThatIsNotKnownIsSaidOnce(t *testing.T) {
	text := strings.NewReplacer("wmoUnit:degC", "unit:K", "unit:degC", "unit:K").Replace(two(t))
	_, warnings, err := nws.Parse([]byte(text))
	want := []string{
		`temperature: values in the unit "unit:K" are not read; left out`,
		`dewpoint: values in the unit "unit:K" are not read; left out`,
	}
	if diff := cmp.Diff(want, warnings); err != nil || diff != "" {
		t.Errorf("error %v, warnings (-want +got):\n%s", err, diff)
	}
}

func TestAReportThatCannotBeUsedCostsOneReport(t *testing.T) {
	for _, c := range []struct{ name, old, new, says string }{
		{"no place", `[-1.5, 53.25]`, `[]`, "observation 1 is left out: its coordinates [] are no longitude and latitude"},
		{"a place off the earth", `[-1.5, 53.25]`, `[53.25, -91.5]`, "coordinates [53.25 -91.5]"},
		{"a geometry of null", `{"type": "Point", "coordinates": [-1.5, 53.25]}`, `null`, "coordinates []"},
		{"no time", `"timestamp": "2026-03-04T18:53:00+01:00",`, ``, `the timestamp "" of KXXA is no time`},
		{"a time without an offset", `18:53:00+01:00`, `18:53:00`, `the timestamp "2026-03-04T18:53:00" of KXXA`},
		{"the year 1", `2026-03-04T`, `0001-03-04T`, `is no time`},
		{"no station", `"station": "https://api.weather.gov/stations/KXXA",
        "stationId": "KXXA",`, ``, "it does not name its station"},
		{"a station with a slash", `"stationId": "KXXA"`, `"stationId": "KX/A"`, "it does not name its station"},
		{"properties that are a list", `"properties": {
        "elevation": {"unitCode"`, `"properties": [], "rest": {
        "elevation": {"unitCode"`, "it cannot be read"},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.Replace(two(t), c.old, c.new, 1)
			got, warnings, err := nws.Parse([]byte(text))
			if err != nil || len(got) != 1 || got[0].Observation.AirC != celsius(12.5) {
				t.Fatalf("reports %+v, error %v; want the second alone", got, err)
			}
			if len(warnings) != 1 || !strings.Contains(warnings[0], c.says) {
				t.Errorf("warnings %q, want one that says %q", warnings, c.says)
			}
		})
	}
}

func TestNoObservationsAreNoError(t *testing.T) {
	for _, c := range []struct{ name, body, warning string }{
		{"an empty list", `{"type": "FeatureCollection", "features": []}`, ""},
		{"null", `{"type": "FeatureCollection", "features": null, "pagination": {}}`, ""},
		{"no key", `{"type": "FeatureCollection"}`, ""},
		{"a report of nulls", `{"type": "Feature", "geometry": {"coordinates": [0, 0]}, "properties": {"stationId": "KXXA", "timestamp": "2026-03-04T18:53:00+00:00", "rawMessage": "",
			"temperature": {"unitCode": "wmoUnit:degC", "value": null, "qualityControl": "Z"}, "presentWeather": [], "cloudLayers": []}}`, "KXXA at 2026-03-04T18:53:00Z says nothing"},
		{"a report without a key", `{"type": "Feature", "geometry": {"coordinates": [0, 0]}, "properties": {}}`, "does not name its station"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, warnings, err := nws.Parse([]byte(c.body))
			if err != nil || len(got) != 0 {
				t.Errorf("reports %+v, error %v; want none of either", got, err)
			}
			if said := strings.Join(warnings, "\n"); c.warning == "" && said != "" || !strings.Contains(said, c.warning) {
				t.Errorf("warnings %q, want %q", warnings, c.warning)
			}
		})
	}
}

func TestWhatIsNoAnswer(t *testing.T) {
	const problem = `{"correlationId": "1a2b", "type": "https://api.weather.gov/problems/X", "title": "%t", "status": %s, "detail": "%d"}`
	say := func(title, status, detail string) string {
		return strings.NewReplacer("%t", title, "%s", status, "%d", detail).Replace(problem)
	}
	for _, c := range []struct {
		name, body, says string
		code             model.Code
	}{
		{"nothing", " \n", "it is empty", model.Invalid},
		{"a web page", "<html><body>503</body></html>", "a web page, not JSON", model.Invalid},
		{"cut off", two(t)[:900], "breaks off before its end", model.Invalid},
		{"not JSON", "{observations}", "cannot be read", model.Invalid},
		{"a list", "[]", "cannot be read", model.Invalid},
		{"null", "null", `its type is ""`, model.Invalid},
		{"another document", `{"type": "Topology"}`, `its type is "Topology"`, model.Invalid},
		{"features that are no list", `{"type": "FeatureCollection", "features": {}}`, "cannot be read", model.Invalid},
		{"no such thing", say("Not Found", "404", "'/stations/KXXX/observations' is not valid"), "the feed says 404 Not Found: '/stations/KXXX/observations' is not valid", model.NotFound},
		{"an unknown parameter", say("Bad Request", "400", "Query parameter 'x' is not recognized"), "400 Bad Request", model.Invalid},
		{"trouble there", say("Unexpected Problem", "500", "An unexpected problem has occurred."), "500 Unexpected Problem", model.Unavailable},
		{"too many", say("Too Many Requests", "429", ""), "429", model.Unavailable},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, _, err := nws.Parse([]byte(c.body))
			if err == nil || !strings.Contains(err.Error(), c.says) || model.CodeOf(err) != c.code || got != nil {
				t.Errorf("reports %+v, error %v; want none and one that says %q", got, err, c.says)
			}
			if _, _, again := nws.ParseStations([]byte(c.body)); again == nil || again.Error() != err.Error() {
				t.Errorf("as a list of stations it gives the error %v, want the same", again)
			}
		})
	}
}
