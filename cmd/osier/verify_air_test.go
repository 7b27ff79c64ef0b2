package main

import (
	"errors"
	"io/fs"
	"math"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
)

const sharedWeather = "../../../shared/data/weather"

func TestVerifyAirPassesOnTheEmbeddedSet(t *testing.T) {
	checks, summary, err := verifyAir(os.DirFS("reference/air"))
	if err != nil {
		t.Fatal(err)
	}
	allOK(t, checks)
	want := airSummary{
		ChecksByFile: map[string]int{
			"windchill_c_kmh.csv": 25, "windchill_f_mph.csv": 20, "heat_index_f.csv": 18, "point_checks.csv": 20,
			"sun_checks.csv": 15, "pressure_tendency_cases.csv": 27, "beaufort.csv": 52,
		},
		Absent:         []string{},
		KnownMisprints: []airMisprint{{File: "heat_index_f.csv", AirF: 90, RHPct: 45, Printed: 93, Computed: 92.49}},
	}
	if diff := cmp.Diff(want, summary); diff != "" {
		t.Errorf("summary (-want +got):\n%s", diff)
	}
}

func TestVerifyAirPassesOnTheSharedSet(t *testing.T) {
	if _, err := os.Stat(sharedWeather); errors.Is(err, fs.ErrNotExist) {
		t.Skip("the shared reference data is not here; the embedded set still guards the job")
	}
	checks, summary, err := verifyAir(os.DirFS(sharedWeather))
	if err != nil {
		t.Fatal(err)
	}
	allOK(t, checks)
	got := summary.(airSummary)
	want := map[string]int{
		"windchill_c_kmh.csv": 192, "windchill_f_mph.csv": 216, "heat_index_f.csv": 135 - 1, "point_checks.csv": 83,
		"sun_checks.csv": 3 * 48, "pressure_tendency_cases.csv": 3 * 16, "beaufort.csv": got.ChecksByFile["beaufort.csv"],
	}
	if diff := cmp.Diff(want, got.ChecksByFile); diff != "" {
		t.Errorf("checks by file (-want +got):\n%s", diff)
	}
	if len(got.KnownMisprints) != 1 || len(got.Absent) != 0 {
		t.Errorf("got %+v; want one known misprint and nothing absent", got)
	}
}

func TestVerifyAirFailsOnAWrongFigure(t *testing.T) {
	for _, c := range []struct {
		name, file, content string
		wantPassed          int
	}{
		{"wind chill cell in C", "windchill_c_kmh.csv", "wind_kmh\\air_c,0,-10\n20,-5,-17\n", 1},
		{"wind chill cell in F", "windchill_f_mph.csv", "wind_mph\\air_f,20\n15,7\n", 0},
		{"heat index cell", "heat_index_f.csv", "air_f\\rh_pct,60,65\n90,100,104\n", 1},
		{"the misprinted cell misprinted otherwise", "heat_index_f.csv", "air_f\\rh_pct,45\n90,94\n", 0},
		{"chart cell where there is no wind chill", "windchill_c_kmh.csv", "wind_kmh\\air_c,15\n20,13\n", 0},
		{"point beyond its tolerance", "point_checks.csv", points("dew_point_c,T=20C RH=50%,9.257,0.001,x"), 0},
		{"unit beyond its relative tolerance", "point_checks.csv", points("unit,1000 ft ft->m,304.801,1e-6 relative,x"), 0},
		{"value where there should be none", "point_checks.csv", points("wind_chill_c,T=0C V=20km/h,null,0,x"), 0},
		{"no value where there should be one", "point_checks.csv", points("wind_chill_c,T=20C V=20km/h,19,1,x"), 0},
		{"sunset 61 s late", "sun_checks.csv", sunHeader + "53.0,-1.5,2024-10-27,06:55:03,16:44:44,11:49:47\n", 2},
		{"a sunrise on a day that has none", "sun_checks.csv", sunHeader + "69.65,18.96,2024-06-20,01:00:00,none,10:45:30\n", 2},
		{"wrong word", "pressure_tendency_cases.csv", tendencyHeader + "x,06:00=1015.0;09:00=1013.5,-1.5,falling,7\n", 2},
		{"steady for unknown", "pressure_tendency_cases.csv", tendencyHeader + "x,09:00=1015.0,0.0,steady,4\n", 0},
		{"wrong force", "beaufort.csv", "force,term,knots,m_per_s,mean_knots_uk\n4,Moderate breeze,11-17,,\n", 2},
	} {
		checks, _, err := verifyAir(fstest.MapFS{c.file: {Data: []byte(c.content)}})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		passed := 0
		for _, check := range checks {
			if check.OK {
				passed++
			}
		}
		if passed != c.wantPassed || passed == len(checks) {
			t.Errorf("%s: %d of %d checks pass, want %d and one failure: %+v", c.name, passed, len(checks), c.wantPassed, checks)
		}
	}
}

func TestVerifyAirTakesOtherRowsAndOtherSizes(t *testing.T) {
	for _, c := range []struct {
		name, file, content string
		wantChecks          int
	}{
		{"chart of one cell, with a byte order mark", "windchill_c_kmh.csv", "\xef\xbb\xbfwind_kmh\\air_c,2\n30,-4\n", 1},
		{"chart with gaps", "heat_index_f.csv", "air_f\\rh_pct,40,60\n110,136,\n\n84,,88\n", 2},
		{"the misprint corrected", "heat_index_f.csv", "air_f\\rh_pct,45\n90,92\n", 1},
		{"inputs in other units", "point_checks.csv", points("wind_chill_c,T=32F V=5.555555556m/s,-5.2422,0.0001,x"), 1},
		{"columns in another order", "sun_checks.csv", "noon_utc,sunset_utc,sunrise_utc,date_utc,lon_east,lat\n11:49:47,16:43:43,06:55:03,2024-10-27,-1.5,53\n", 3},
		{"a sunset past midnight UTC", "sun_checks.csv", sunHeader + "57,-93,2024-06-20,09:17:00,03:10:26,18:13:43\n", 3},
		{"polar day and night", "sun_checks.csv", sunHeader + "69.65,18.96,2024-06-20,,,10:45:30\n69.65,18.96,2024-12-21,none,none,10:42:10\n", 6},
	} {
		checks, summary, err := verifyAir(fstest.MapFS{c.file: {Data: []byte(c.content)}})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		allOK(t, checks)
		if len(checks) != c.wantChecks {
			t.Errorf("%s: %d checks, want %d", c.name, len(checks), c.wantChecks)
		}
		if got := len(summary.(airSummary).Absent); got != len(airFiles)-1 {
			t.Errorf("%s: %d files listed as absent, want all but one", c.name, got)
		}
	}
}

func TestVerifyAirNamesFileAndLineOfWhatItCannotRead(t *testing.T) {
	for _, c := range []struct{ name, file, content, want string }{
		{"nothing at all", "other.csv", "x", "no reference file here"},
		{"empty file", "beaufort.csv", "", "beaufort.csv: the file is empty"},
		{"ragged row", "beaufort.csv", "force,term,knots,m_per_s,mean_knots_uk\n1,Light air\n", "beaufort.csv: record on line 2"},
		{"chart of something else", "windchill_c_kmh.csv", "a,b\n1,2\n", `windchill_c_kmh.csv line 1: the first column is "a"`},
		{"chart head", "windchill_c_kmh.csv", "wind_kmh\\air_c,cold\n20,-5\n", `windchill_c_kmh.csv line 1: column head is "cold"`},
		{"chart row", "windchill_c_kmh.csv", "wind_kmh\\air_c,0\nfast,-5\n", "windchill_c_kmh.csv line 2"},
		{"chart cell", "windchill_c_kmh.csv", "wind_kmh\\air_c,0\n20,-5\n25,NaN\n", `windchill_c_kmh.csv line 3: column 0 is "NaN"`},
		{"column missing", "point_checks.csv", "quantity,inputs\n", `point_checks.csv line 1: there is no column "expected"`},
		{"unknown quantity", "point_checks.csv", points("humidex,T=20C,1,1,x"), `point_checks.csv line 2: the quantity is "humidex"`},
		{"input missing", "point_checks.csv", points("dew_point_c,T=20C,1,1,x"), "point_checks.csv line 2: inputs: RH is missing"},
		{"input without unit", "point_checks.csv", points("dew_point_c,T=20 RH=50%,1,1,x"), `"T=20" should be a name, a number and a unit`},
		{"input in a wrong unit", "point_checks.csv", points("dew_point_c,T=20m RH=50%,1,1,x"), `T is in "m"`},
		{"over ice", "point_checks.csv", points("sat_vapour_pressure_hpa,T=-20C over ice,1,1,x"), `"over" should be`},
		{"conversion of another kind", "point_checks.csv", points("unit,1 kt kt->hPa,1,1,x"), "kt cannot become hPa"},
		{"expected", "point_checks.csv", points("dew_point_c,T=20C RH=50%,warm,1,x"), `expected is "warm"`},
		{"tolerance", "point_checks.csv", points("dew_point_c,T=20C RH=50%,9,-1,x"), "it should not be negative"},
		{"latitude", "sun_checks.csv", sunHeader + "91,0,2024-10-27,06:55:03,16:43:43,11:49:47\n", "sun_checks.csv line 2: there is no sun"},
		{"date", "sun_checks.csv", sunHeader + "51,0,27/10/2024,06:55:03,16:43:43,11:49:47\n", "date_utc is"},
		{"instant", "sun_checks.csv", sunHeader + "51,0,2024-10-27,6.55,16:43:43,11:49:47\n", `sunrise_utc: "6.55"`},
		{"report", "pressure_tendency_cases.csv", tendencyHeader + "x,0600=1015.0,,unknown,\n", `"0600=1015.0" should be a time`},
		{"change", "pressure_tendency_cases.csv", tendencyHeader + "x,06:00=1015.0;09:00=1010.0,lots,falling,7\n", `delta_3h_hpa is "lots"`},
		{"speed", "beaufort.csv", "force,term,knots,m_per_s,mean_knots_uk\n1,Light air,some,,\n", `beaufort.csv line 2: knots: "some"`},
		{"force", "beaufort.csv", "force,term,knots,m_per_s,mean_knots_uk\none,Light air,1-3,,\n", `force is "one"`},
	} {
		checks, _, err := verifyAir(fstest.MapFS{c.file: {Data: []byte(c.content)}})
		if err == nil || !strings.Contains(err.Error(), c.want) || checks != nil {
			t.Errorf("%s: got %v; want an error with %q and no checks", c.name, err, c.want)
		}
	}
}

func FuzzVerifyAir(f *testing.F) {
	for i, seed := range []string{
		"wind_kmh\\air_c,0\n20,-5\n", "wind_mph\\air_f,20\n15,6\n", "air_f\\rh_pct,60\n90,100\n",
		points("unit,1 kt kt->m/s,0.5144,1e-3 relative,x"), sunHeader + "53.0,-1.5,2024-10-27,06:55:03,16:43:43,11:49:47\n",
		tendencyHeader + "x,22:50=1000.0;01:50=1004.0,4.0,rising quickly,2\n", "force,term,knots,m_per_s,mean_knots_uk\n0,Calm,<1,0-0.2,0\n",
	} {
		f.Add(i, seed)
	}
	f.Fuzz(func(t *testing.T, file int, content string) {
		if file < 0 || file >= len(airFiles) {
			return
		}
		checks, _, err := verifyAir(fstest.MapFS{airFiles[file].name: {Data: []byte(content)}})
		if err != nil && checks != nil {
			t.Fatalf("both checks and the error %v", err)
		}
		for _, c := range checks {
			if got, isNumber := c.Got.(float64); isNumber && (math.IsNaN(got) || math.IsInf(got, 0)) {
				t.Fatalf("a computed value is not finite: %+v", c)
			}
		}
	})
}

const (
	sunHeader      = "lat,lon_east,date_utc,sunrise_utc,sunset_utc,noon_utc\n"
	tendencyHeader = "case,reports_utc_hpa,delta_3h_hpa,word,a_fallback\n"
)

func points(row string) string { return "quantity,inputs,expected,tolerance,source\n" + row + "\n" }

func allOK(t *testing.T, checks []verifyCheck) {
	t.Helper()
	if len(checks) == 0 {
		t.Error("no checks; want some")
	}
	for _, c := range checks {
		if !c.OK {
			t.Errorf("%s: got %v, want %v within %v (%s)", c.Name, c.Got, c.Want, c.Tolerance, c.Source)
		}
	}
}
