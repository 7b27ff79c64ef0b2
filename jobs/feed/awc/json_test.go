package awc_test

import (
	"os"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/awc"
	"osier/jobs/feed/metar"
	"osier/model"
)

// bothShapes holds a row as the API gave it in 2023, with nulls, and one as it
// does since 2025, without the keys. Invented stations.
const bothShapes = `[
 {"metar_id": 1, "icaoId": "EGXX", "receiptTime": "2023-10-27 15:25:34", "obsTime": 1698420600, "reportTime": "2023-10-27 15:30:00",
  "temp": 22, "dewp": 13, "wdir": 240, "wspd": 11, "wgst": null, "visib": "6+", "altim": 1015, "slp": null, "wxString": null,
  "rawOb": "EGXX 271530Z 24011KT 9999 FEW050 22/13 Q1015", "lat": 53.17, "lon": -0.52, "elev": null, "name": "Upper Mere", "clouds": []},
 {"icaoId": "K1MW", "receiptTime": "2026-07-29T13:56:35.205Z", "obsTime": 1785333180, "reportTime": "2026-07-29T14:00:00.000Z",
  "temp": 21.7, "visib": 9, "rawOb": "METAR K1MW 291353Z 09005KT 9SM FEW012 22/17 A2987 RMK AO2 $", "lat": 33.9382, "lon": -118.3866, "elev": 0}
]`

func TestBothShapesOfJSON(t *testing.T) {
	got, warnings, err := awc.ParseJSON([]byte(bothShapes))
	if err != nil || len(warnings) != 0 {
		t.Fatalf("error %v, warnings %q", err, warnings)
	}
	want := []awc.Row{
		{
			Raw:        "EGXX 271530Z 24011KT 9999 FEW050 22/13 Q1015",
			Station:    model.Station{ID: "EGXX", Source: "awc", Name: "Upper Mere", LatDeg: 53.17, LonDeg: -0.52},
			ObservedAt: time.Date(2023, 10, 27, 15, 30, 0, 0, time.UTC),
		},
		{
			Raw:        "METAR K1MW 291353Z 09005KT 9SM FEW012 22/17 A2987 RMK AO2 $",
			Station:    model.Station{ID: "K1MW", Source: "awc", LatDeg: 33.9382, LonDeg: -118.3866, ElevationM: model.Known[model.Metres](0)},
			ObservedAt: time.Date(2026, 7, 29, 13, 53, 0, 0, time.UTC),
		},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("rows (-want +got):\n%s", diff)
	}
}

func TestOneBadFieldCostsOneRowOfJSON(t *testing.T) {
	for _, c := range []struct{ name, old, new, says string }{
		{"no raw report", `"rawOb": "EGXX 271530Z 24011KT 9999 FEW050 22/13 Q1015",`, ``, `row 1, of "EGXX", is left out: it has no rawOb`},
		{"a raw report of null", `"EGXX 271530Z 24011KT 9999 FEW050 22/13 Q1015"`, `null`, `row 1, of "EGXX", is left out: it has no rawOb`},
		{"no station", `"icaoId": "EGXX", `, ``, `row 1, of "", is left out: its icaoId`},
		{"a station of five letters", `"EGXX"`, `"EGXXX"`, "its icaoId"},
		{"no place", `"lat": 53.17, `, ``, "it has no lat or no lon"},
		{"a latitude of 91", `53.17`, `91`, "lat: 91 degrees is out of range"},
		{"a longitude of 181", `-0.52`, `181`, "lon: 181 degrees is out of range"},
		{"a longitude in words", `-0.52`, `"west"`, `row 1, of "EGXX", is left out: json:`},
		{"a height above all mountains", `"elev": null`, `"elev": 9999`, "elev: 9999 m is out of range"},
		{"a time before 1970", `1698420600`, `-1`, "obsTime: -1 s since 1970 is out of range"},
		{"a time in milliseconds", `1698420600`, `1698420600000`, "obsTime:"},
		{"a row that is no object", `{"metar_id": 1,`, `7, {"metar_id": 1,`, "row 1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.Replace(bothShapes, c.old, c.new, 1)
			if text == bothShapes {
				t.Fatal("the sample does not hold what is to be replaced")
			}
			got, warnings, err := awc.ParseJSON([]byte(text))
			if err != nil || len(got) == 0 || got[len(got)-1].Station.ID != "K1MW" {
				t.Fatalf("rows %+v, error %v; want the second row", got, err)
			}
			if len(warnings) != 1 || !strings.Contains(warnings[0], c.says) {
				t.Errorf("warnings %q, want one that says %q", warnings, c.says)
			}
		})
	}
}

func TestWhenARowDoesNotSayItsTime(t *testing.T) {
	for _, c := range []struct{ name, times, want string }{
		{"obsTime is the time", `"obsTime": 1698420600, "reportTime": "2023-10-27 16:00:00"`, "2023-10-27T15:30:00Z"},
		{"the nominal hour, 2023", `"reportTime": "2023-10-27 16:00:00"`, "2023-10-27T16:00:00Z"},
		{"the nominal hour, 2025", `"obsTime": null, "reportTime": "2026-07-29T14:00:00.000Z"`, "2026-07-29T14:00:00Z"},
		{"the nominal hour, without ms", `"reportTime": "2026-07-29T14:00:00Z"`, "2026-07-29T14:00:00Z"},
		{"the arrival, where it is later", `"reportTime": "2026-07-29T14:00:00.000Z", "receiptTime": "2026-07-29T14:22:09.442Z"`, "2026-07-29T14:22:09.442Z"},
		{"the nominal hour, where it is later", `"reportTime": "2026-07-29T14:00:00.000Z", "receiptTime": "2026-07-29T13:54:09.442Z"`, "2026-07-29T14:00:00Z"},
		{"none", `"reportTime": "soon", "receiptTime": null`, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, warnings, err := awc.ParseJSON([]byte(`[{"icaoId": "EGXX", "rawOb": "EGXX 271530Z 24011KT", "lat": 53, "lon": -1, ` + c.times + `}]`))
			if err != nil {
				t.Fatal(err)
			}
			if c.want == "" {
				if len(got) != 0 || len(warnings) != 1 || !strings.Contains(warnings[0], "it has no obsTime") {
					t.Errorf("rows %+v, warnings %q; want one warning alone", got, warnings)
				}
				return
			}
			if len(got) != 1 || got[0].ObservedAt.Format(time.RFC3339Nano) != c.want {
				t.Errorf("rows %+v, warnings %q; want one of %s", got, warnings, c.want)
			}
		})
	}
}

func TestNoReportsAreNoError(t *testing.T) {
	for name, body := range map[string]string{"an empty list": "[]", "no body (204)": "", "a line end": "\n", "null": "null"} {
		got, warnings, err := awc.ParseJSON([]byte(body))
		if got != nil || warnings != nil || err != nil {
			t.Errorf("%s: rows %v, warnings %q, error %v; want none", name, got, warnings, err)
		}
	}
}

func TestWhatIsNoJSONAnswer(t *testing.T) {
	for _, c := range []struct{ name, body, says string }{
		{"a web page", "<!DOCTYPE html><html>", "it is a web page, not JSON"},
		{"cut off", bothShapes[:len(bothShapes)/2], "it breaks off before its end"},
		{"words", "error: too many stations", "it cannot be read"},
		{"an object", `{"status": "error", "error": "Invalid ids"}`, "Invalid ids"},
		{"a number", "7", "it cannot be read"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, _, err := awc.ParseJSON([]byte(c.body))
			if err == nil || !strings.Contains(err.Error(), c.says) || model.CodeOf(err) != model.Invalid || got != nil {
				t.Errorf("rows %+v, error %v; want none and one that says %q", got, err, c.says)
			}
		})
	}
}

func TestReportsURL(t *testing.T) {
	const base = "https://aviationweather.gov/api/data/metar?ids="
	many := func(n int) []string { return strings.Fields(strings.Repeat("EGXX ", n)) }
	for _, c := range []struct {
		stations []string
		want     string // empty for an error
	}{
		{[]string{"EGXX"}, base + "EGXX&format=json"},
		{[]string{"EGXX", "K1MW"}, base + "EGXX,K1MW&format=json"},
		{many(400), base + strings.Join(many(400), ",") + "&format=json"},
		{many(401), ""},
		{nil, ""},
		{[]string{"EGXX", "egyy"}, ""},
		{[]string{"EGXX,"}, ""},
		{[]string{"EG&X"}, ""},
	} {
		got, err := awc.ReportsURL(c.stations)
		if got != c.want || (err != nil) != (c.want == "") || err != nil && !strings.HasPrefix(err.Error(), "stations:") {
			t.Errorf("%.60q: %.80q, %v; want %.80q", c.stations, got, err, c.want)
		}
	}
}

// The row of the weather reference, section 10, that concerns this feed: a
// client that wanted numbers stumbled over the text, and took the dew point of
// 0 for missing.
func TestInputsThatTripRealClients(t *testing.T) {
	rows, warnings, err := awc.ParseJSON([]byte(`[{"icaoId": "KXXA", "obsTime": 1785333180, "lat": 33.9, "lon": -118.4, "elev": 30,
		"temp": 4, "dewp": 0, "wdir": "VRB", "wspd": 3, "visib": "10+", "altim": 1009.2, "rawOb": "METAR KXXA 291353Z VRB03KT 10SM CLR 04/00 A2980"}]`))
	if err != nil || len(rows) != 1 || len(warnings) != 0 {
		t.Fatalf("rows %+v, warnings %q, error %v", rows, warnings, err)
	}
	got, err := metar.Decode(rows[0].Raw)
	if err != nil {
		t.Fatal(err)
	}
	if got.DewC != model.Known[model.Celsius](0) || got.WindFromDeg.Known || !got.WindMps.Known {
		t.Errorf("report %+v, want a dew point of 0 and a wind without a direction", got)
	}
	// The centre shows 1009.2; A2980 is 1009.144.
	if q := float64(got.QNHHPa.Value); !(q > 1009.143 && q < 1009.145) {
		t.Errorf("QNH %v, want 1009.144", q)
	}
}

func TestTheRecordedJSON(t *testing.T) {
	const la = "METAR KLAX 291353Z 09005KT 9SM FEW012 OVC018 22/17 A2987 RMK AO2 SLP114 T02170172 $"
	const ny = "METAR KJFK 291351Z 29007KT 10SM SCT016 BKN033 BKN140 24/19 A2954 RMK AO2 SLP002 SCT V BKN T02390194"
	const chicago = "METAR KORD 291351Z 02009KT 10SM FEW030 22/16 A3000 RMK AO2 SLP154 T02170161"
	station := func(id, name string, lat, lon float64, elevation model.Metres) model.Station {
		return model.Station{ID: id, Source: "awc", Name: name, LatDeg: lat, LonDeg: lon, ElevationM: model.Known(elevation)}
	}
	for file, want := range map[string][]awc.Row{
		"metar_LEJR_2023-10-27_older_shape.json": {
			{Raw: "LEJR 271530Z 24011KT 220V280 9999 FEW050 22/13 Q1015", Station: station("LEJR", "Jerez Arpt, AN, ES", 36.751, -6.056, 25), ObservedAt: time.Date(2023, 10, 27, 15, 30, 0, 0, time.UTC)},
		},
		"metar_us3_2026-07-29.json": {
			{Raw: la, Station: station("KLAX", "Los Angeles Intl, CA, US", 33.9382, -118.3866, 30), ObservedAt: time.Date(2026, 7, 29, 13, 53, 0, 0, time.UTC)},
			{Raw: ny, Station: station("KJFK", "New York/JF Kennedy Intl, NY, US", 40.6392, -73.7639, 3), ObservedAt: time.Date(2026, 7, 29, 13, 51, 0, 0, time.UTC)},
			{Raw: chicago, Station: station("KORD", "Chicago/O'Hare Intl, IL, US", 41.9602, -87.9316, 202), ObservedAt: time.Date(2026, 7, 29, 13, 51, 0, 0, time.UTC)},
		},
	} {
		t.Run(file, func(t *testing.T) {
			body, err := os.ReadFile("../../../../shared/data/weather/feeds/awc/" + file)
			if err != nil {
				t.Skipf("the recording is not on this machine: %v", err)
			}
			got, warnings, err := awc.ParseJSON(body)
			if err != nil || len(warnings) != 0 {
				t.Fatalf("error %v, warnings %q", err, warnings)
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("rows (-want +got):\n%s", diff)
			}
		})
	}
}

func FuzzParseJSON(f *testing.F) {
	f.Add([]byte(bothShapes))
	f.Add([]byte(`[{"icaoId": "EGXX", "rawOb": "\u0000\n\ud800x", "lat": -0.0, "lon": 1e-400, "obsTime": 7258118400.5}]`))
	f.Add([]byte(`[null, {"icaoId": "EGXX", "rawOb": "x", "lat": 1, "lon": 1, "reportTime": "9999-12-31T23:59:59-23:59"}]`))
	f.Add([]byte(`{"error": "x"}`))
	for _, name := range []string{"metar_LEJR_2023-10-27_older_shape.json", "metar_us3_2026-07-29.json"} {
		if b, err := os.ReadFile("../../../../shared/data/weather/feeds/awc/" + name); err == nil {
			f.Add(b)
		}
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		rows, _, err := awc.ParseJSON(body)
		if err != nil && rows != nil {
			t.Error("rows beside an error")
		}
		for _, r := range rows {
			if r.Raw == "" || !utf8.ValidString(r.Raw) || strings.ContainsAny(r.Raw, "\x00\n\r") {
				t.Errorf("raw %q", r.Raw)
			}
			if len(r.Station.ID) != 4 || !(r.Station.LatDeg >= -90 && r.Station.LatDeg <= 90) || !(r.Station.LonDeg >= -180 && r.Station.LonDeg <= 180) {
				t.Errorf("station %+v", r.Station)
			}
			if e := r.Station.ElevationM; e.Known && !(e.Value >= -500 && e.Value <= 9000) {
				t.Errorf("elevation %v", e.Value)
			}
			if y := r.ObservedAt.Year(); y < 1970 || y > 2200 || r.ObservedAt.Location() != time.UTC {
				t.Errorf("time %v", r.ObservedAt)
			}
		}
	})
}
