package main

import (
	"io/fs"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

// metarReference reads the embedded set so that a test can spoil it.
func metarReference(t *testing.T) fstest.MapFS {
	t.Helper()
	files := fstest.MapFS{}
	for _, name := range []string{"metar_decoded.csv", "awc_cache_sample.csv"} {
		text, err := os.ReadFile("reference/metar/" + name)
		if err != nil {
			t.Fatal(err)
		}
		files[name] = &fstest.MapFile{Data: text}
	}
	return files
}

// runVerifyMetar fails the test when the folder cannot be read.
func runVerifyMetar(t *testing.T, files fs.FS) (failed []string, passed int, s metarSummary) {
	t.Helper()
	checks, summary, err := verifyMetar(files)
	if err != nil {
		t.Fatal(err)
	}
	failed = failedChecks(checks)
	return failed, len(checks) - len(failed), summary.(metarSummary)
}

func TestVerifyMetarPassesOnTheEmbeddedSet(t *testing.T) {
	failed, passed, s := runVerifyMetar(t, os.DirFS("reference/metar"))
	if len(failed) > 0 {
		t.Errorf("failed: %v", failed)
	}
	if passed < 150 {
		t.Errorf("only %d checks", passed)
	}
	if s.Rows != 15 || s.Values != 64 || s.EqualFraction.Value != 1 || len(s.Differences) != 0 {
		t.Errorf("got %+v", s)
	}
	if want := []string{"curated_dated_a.csv", "world_undated.txt", "bulletins/*.txt"}; !slices.Equal(s.Absent, want) {
		t.Errorf("absent are %v, want %v", s.Absent, want)
	}
}

func TestVerifyMetarPassesOnTheSharedReports(t *testing.T) {
	dir := "../../../shared/data/weather/metar"
	if _, err := os.Stat(dir); err != nil {
		t.Skip("the shared weather data are not here: " + err.Error())
	}
	failed, _, s := runVerifyMetar(t, os.DirFS(dir))
	if len(failed) > 0 {
		t.Errorf("failed: %v", failed)
	}
	if s.Rows != 14178 || s.Values != 61767 || len(s.Absent) != 0 {
		t.Errorf("%d rows, %d values, absent %v", s.Rows, s.Values, s.Absent)
	}
	for _, d := range s.Differences {
		if d.Note == "" {
			t.Errorf("not explained: %+v", d)
		}
	}
	kinds := map[string]int{}
	for _, d := range s.Differences {
		kinds[d.What]++
	}
	if want := map[string]int{"temperature": 3, "dew": 2, "gust": 1, "altimeter": 1, "sea_level": 2}; !maps.Equal(kinds, want) {
		t.Errorf("differences are %v, want %v", kinds, want)
	}
}

func TestVerifyMetarFailsOnAWrongReference(t *testing.T) {
	for _, row := range []struct{ file, right, wrong, fails string }{
		{"metar_decoded.csv", ",2.2,-5.6,", ",2.3,-5.6,", "e01 temp_c"},
		{"metar_decoded.csv", ",2.2,-5.6,", ",2.2,,", "e01 dew_c"},
		{"metar_decoded.csv", ",2.2,-5.6,270,2.57", ",2.2,-5.6,280,2.57", "e01 wind_dir_deg"},
		{"metar_decoded.csv", ",2.2,-5.6,270,2.57", ",2.2,-5.6,?280,2.57", "e01 wind_dir_deg"},
		{"metar_decoded.csv", ",270,2.57,,", ",270,2.57,7.00,", "e01 gust_ms"},
		{"metar_decoded.csv", "1019.1,,,no", "1018.1,,,no", "e01 slp_hpa"},
		{"metar_decoded.csv", "1019.1,,,no", "1019.1,-RA,,no", "e01 wx_now"},
		{"metar_decoded.csv", "1019.1,,,no", "1019.1,,DZ,no", "e01 wx_recent"},
		{"metar_decoded.csv", "1019.1,,,no", "1019.1,,,yes", "e01 thunder"},
		{"metar_decoded.csv", "2014-12-18T07:58:00Z,180758Z", "2014-12-18T08:58:00Z,180758Z", "e01 time"},
		{"metar_decoded.csv", "2014-12-18T07:58:00Z,180758Z", "2014-12-18T07:58:00Z,", "e01 report"},
		{"awc_cache_sample.csv", ",28.9,", ",29.9,", "share of the snapshots' values reproduced"},
	} {
		files := metarReference(t)
		text := string(files[row.file].Data)
		if !strings.Contains(text, row.right) {
			t.Fatalf("%q is not in %s", row.right, row.file)
		}
		files[row.file].Data = []byte(strings.Replace(text, row.right, row.wrong, 1))
		failed, _, _ := runVerifyMetar(t, files)
		if !slices.Equal(failed, []string{row.fails}) {
			t.Errorf("%s for %s: failed %v, want %s", row.wrong, row.right, failed, row.fails)
		}
	}
}

func TestVerifyMetarListsADifference(t *testing.T) {
	const header = "raw_text,station_id,temp_c,dewpoint_c,wind_speed_kt,wind_gust_kt,altim_in_hg,sea_level_pressure_mb,sky_cover,sky_cover\n"
	for _, row := range []struct{ record, what, note string }{
		{"LXXX 180750Z VRB02KT 0400 R05/0500/ FG 07/07 Q1019,LXXX,0.0,7.0,2,,30.09,", "temperature", "runway group"},
		{"UXXX 180730Z 23016G26MPS 9999 09/07 Q0992,UXXX,9.0,7.0,31,50,29.293924,", "gust", "metres per second"},
		{"OXXX 180700Z 00000KT 1200 14/06 Q1020.5,OXXX,14.0,6.0,0,,30.132874,", "altimeter", "decimal point"},
		{"SXXX 230000Z 10005KT 9999 NSC17/05 Q1027,SXXX,17.0,,5,,30.327,", "temperature", "stuck to the cloud"},
		{"KXXX 221855Z 21011KT 24/M09 A2543 RMK SLP536,KXXX,24.0,-9.0,11,,25.43,1053.6", "sea_level", "altimeter setting is improbable"},
		{"EXXX 180750Z ///05KT 9999 13/11,EXXX,13.0,11.0,6,,,", "wind", ""},
		{"no report,EXXX,13.0,,,,,", "temperature", ""},
	} {
		files := fstest.MapFS{"awc_cache_x.csv": {Data: []byte("3 ms\nresults\n" + header + row.record + "\n")}}
		failed, _, s := runVerifyMetar(t, files)
		if len(failed) != 1 || len(s.Differences) != 1 {
			t.Errorf("%s: failed %v, differences %+v", row.record, failed, s.Differences)
			continue
		}
		d := s.Differences[0]
		if d.What != row.what || d.Row != 1 || d.File != "awc_cache_x.csv" || !strings.Contains(d.Note, row.note) || (row.note == "") != (d.Note == "") {
			t.Errorf("%s: got %+v", row.record, d)
		}
	}
}

func TestVerifyMetarFailsOnUnreadableLists(t *testing.T) {
	for _, row := range []struct{ name, text, fails string }{
		{"world_undated.txt", "EGXX 180750Z CAVOK\n<html>\n", "read"},
		{"world_undated.txt", "EGXX 180750Z 27010KT 10/20 Q1010\n", "improbable"},
		{"curated_dated_a.csv", "station,report_date,raw\nEGXX,2018-09-09,METAR EGXX 100750Z CAVOK=\n", "day"},
		{"curated_dated_a.csv", "station,report_date,raw\nEGYY,2018-09-10,METAR EGXX 100750Z CAVOK=\n", "day"},
		{"bulletins/a.txt", "SAEW AAAA 020100\nMETAR\nEGXX O20050Z CAVOK=\n", "read"},
	} {
		failed, _, _ := runVerifyMetar(t, fstest.MapFS{row.name: {Data: []byte(row.text)}})
		if len(failed) != 1 || !strings.Contains(failed[0], row.fails) {
			t.Errorf("%s %q: failed %v", row.name, row.text, failed)
		}
	}
}

func TestVerifyMetarSaysWhatIsWrongWithAFolder(t *testing.T) {
	for _, row := range []struct{ why, name, text, says string }{
		{"nothing there", "other.txt", "", "no METAR reference"},
		{"no header", "metar_decoded.csv", "1,2,3\n", "header"},
		{"a column is missing", "awc_cache_x.csv", "raw_text,station_id\nEGXX,EGXX\n", "temp_c"},
		{"no rows", "curated_dated_a.csv", "station,report_date,raw\n", "no rows"},
		{"no number", "awc_cache_x.csv", "raw_text,station_id,temp_c,dewpoint_c,wind_speed_kt,wind_gust_kt,altim_in_hg,sea_level_pressure_mb\nEGXX 180750Z CAVOK,EGXX,NaN,,,,,\n", "give a number"},
		{"no day", "curated_dated_a.csv", "station,report_date,raw\nEGXX,yesterday,METAR EGXX 100750Z CAVOK=\n", "report_date"},
		{"an empty list", "world_undated.txt", "\n", "no report"},
	} {
		_, _, err := verifyMetar(fstest.MapFS{row.name: {Data: []byte(row.text)}})
		if err == nil || !strings.Contains(err.Error(), row.says) {
			t.Errorf("%s: got %v, want %q in it", row.why, err, row.says)
		}
	}
}
