package awc_test

import (
	"bytes"
	"compress/gzip"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/awc"
	"osier/model"
)

func small(t testing.TB) string {
	t.Helper()
	b, err := os.ReadFile("testdata/small.csv")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func pack(t testing.TB, text string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	if _, err := z.Write([]byte(text)); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestTheSmallFile(t *testing.T) {
	at := time.Date(2022, 10, 22, 19, 50, 0, 0, time.UTC)
	want := []awc.Row{
		{
			Raw:        "EGXX 221950Z AUTO 24008KT 9999 NCD 11/08 Q1009",
			Station:    model.Station{ID: "EGXX", Source: "awc", LatDeg: 53.17, LonDeg: -0.52, ElevationM: model.Known[model.Metres](70)},
			ObservedAt: at,
		},
		{
			Raw:        "EGYY 221950Z 22013KT 9999 CB NE,S,WSW 11/08 Q1008",
			Station:    model.Station{ID: "EGYY", Source: "awc", LatDeg: 52.65, LonDeg: -0.5, ElevationM: model.Known[model.Metres](0)},
			ObservedAt: at, Corrected: true,
		},
		{
			Raw:        `EGVV 221950Z 23"10KT 'NO CARRIER`,
			Station:    model.Station{ID: "EGVV", Source: "awc", LatDeg: 51, LonDeg: -1.75},
			ObservedAt: at,
		},
	}
	for name, body := range map[string][]byte{
		"plain": []byte(small(t)), "packed": pack(t, small(t)), "with carriage returns": []byte(strings.ReplaceAll(small(t), "\n", "\r\n")),
	} {
		t.Run(name, func(t *testing.T) {
			rows, warnings, err := awc.ParseCache(bytes.NewReader(body))
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(want, rows); diff != "" {
				t.Errorf("rows (-want +got):\n%s", diff)
			}
			for i, says := range []string{
				`line 9, "EGZZ 221950Z`, `line 11, "EGWW 221950Z`, `line 12, "EGTT 221950Z`,
			} {
				if i >= len(warnings) || !strings.HasPrefix(warnings[i], says) {
					t.Fatalf("warnings %q, want the %dth to begin with %s", warnings, i+1, says)
				}
			}
			for i, says := range []string{`its latitude ""`, `its observation_time "yesterday"`, "it has 14 fields where the header has 13"} {
				if !strings.Contains(warnings[i], says) {
					t.Errorf("warning %q, want it to say %q", warnings[i], says)
				}
			}
		})
	}
}

func TestOneBadFieldCostsOneRow(t *testing.T) {
	const good = `EGXX 221950Z AUTO 24008KT 9999 NCD 11/08 Q1009,EGXX,2022-10-22T19:50:00Z,53.17,-0.52,11.0,NCD,,,,,METAR,70.0`
	for _, c := range []struct{ name, row, says string }{
		{"a station of five letters", strings.Replace(good, ",EGXX,", ",EGXXX,", 1), "station_id"},
		{"a latitude of 91", strings.Replace(good, "53.17", "91", 1), "latitude"},
		{"a longitude that is not a number", strings.Replace(good, "-0.52", "NaN", 1), "longitude"},
		{"a height above all mountains", strings.Replace(good, "70.0", "9999", 1), "elevation_m"},
		{"no report", strings.Replace(good, "EGXX 221950Z AUTO 24008KT 9999 NCD 11/08 Q1009", "", 1), "no report"},
		{"the year 0001", strings.Replace(good, "2022-", "0001-", 1), "observation_time"},
		{"a quote that is never closed", `"` + good, "1 fields"},
		{"cut off", good[:70], "fields"},
	} {
		t.Run(c.name, func(t *testing.T) {
			header := strings.SplitN(small(t), "\n", 7)[5]
			rows, warnings, err := awc.ParseCache(strings.NewReader(header + "\n" + c.row + "\n" + good + "\n"))
			if err != nil {
				t.Fatal(err)
			}
			if len(rows) != 1 || len(warnings) != 1 || !strings.HasPrefix(warnings[0], "line 2") || !strings.Contains(warnings[0], c.says) {
				t.Errorf("%d rows, warnings %q; want the good row and a warning about line 2 that says %q", len(rows), warnings, c.says)
			}
		})
	}
}

func TestControlCharactersAreTakenOut(t *testing.T) {
	body := strings.Replace(small(t), "AUTO 24008KT", "AUTO\x00\x1b24008KT\xff", 1)
	rows, _, err := awc.ParseCache(strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	if want := "EGXX 221950Z AUTO  24008KT 9999 NCD 11/08 Q1009"; rows[0].Raw != want {
		t.Errorf("raw %q, want %q", rows[0].Raw, want)
	}
}

func TestWhatIsNoCacheFile(t *testing.T) {
	for _, c := range []struct {
		name string
		body []byte
		want string
	}{
		{"nothing", nil, "no such header"},
		{"a web page", []byte("<!DOCTYPE html>\n<html>"), "a web page"},
		{"the preamble alone", []byte("No errors\nNo warnings\n"), "no such header"},
		{"a header without position", []byte("raw_text,station_id,observation_time\n"), "the column latitude is missing"},
		{"packed and cut off", pack(t, small(t))[:200], "it breaks off"},
		{"packed, its head broken", []byte{0x1f, 0x8b, 0x00}, "cannot be unpacked"},
	} {
		t.Run(c.name, func(t *testing.T) {
			rows, _, err := awc.ParseCache(bytes.NewReader(c.body))
			if err == nil || !strings.Contains(err.Error(), c.want) || model.CodeOf(err) != model.Invalid || rows != nil {
				t.Errorf("%d rows, error %v; want none and one that says %q", len(rows), err, c.want)
			}
		})
	}
}

func TestTheRecordedCaches(t *testing.T) {
	const dir = "../../../../shared/data/weather/metar/"
	for _, c := range []struct {
		name                  string
		rows, noPosition, cor int
	}{
		// 4,538, 4,868 and 4,772 reports; those without a position can belong
		// to no water. In 2014 another 41, of stations whose names begin with
		// KQ, stand at a latitude of 100.65, which hides where they are.
		{"awc_cache_2014-12-18T08Z.csv", 4482, 15 + 41, 0},
		{"awc_cache_2022-10-22T19Z.csv", 4824, 44, 4},
		{"awc_cache_2022-10-23T00Z.csv", 4727, 45, 6},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, err := os.Open(filepath.Join(dir, c.name))
			if err != nil {
				t.Skipf("the recording is not on this machine: %v", err)
			}
			defer f.Close()
			rows, warnings, err := awc.ParseCache(f)
			if err != nil {
				t.Fatal(err)
			}
			corrected := 0
			for _, r := range rows {
				if r.Corrected {
					corrected++
				}
				if !strings.Contains(r.Raw, r.Station.ID) {
					t.Errorf("%q is not of %s", r.Raw, r.Station.ID)
				}
			}
			for _, w := range warnings {
				if !strings.Contains(w, `its latitude ""`) && !strings.Contains(w, `its latitude "100.65"`) {
					t.Errorf("warning %q", w)
				}
			}
			if len(rows) != c.rows || len(warnings) != c.noPosition || corrected != c.cor {
				t.Errorf("%d rows, %d warnings, %d corrected; want %d, %d, %d", len(rows), len(warnings), corrected, c.rows, c.noPosition, c.cor)
			}
		})
	}
}

func FuzzParseCache(f *testing.F) {
	f.Add([]byte(small(f)))
	f.Add(pack(f, small(f)))
	f.Add([]byte("raw_text,station_id,observation_time,latitude,longitude,elevation_m,corrected\n\",\"\"\nA,EGXX,2022-10-22T19:50:00Z,1,1,1,\n"))
	f.Fuzz(func(t *testing.T, body []byte) {
		rows, _, err := awc.ParseCache(bytes.NewReader(body))
		if err != nil && rows != nil {
			t.Error("rows beside an error")
		}
		for _, r := range rows {
			if r.Raw == "" || !utf8.ValidString(r.Raw) || strings.ContainsAny(r.Raw, "\x00\n\r") {
				t.Errorf("raw %q", r.Raw)
			}
			if !(r.Station.LatDeg >= -90 && r.Station.LatDeg <= 90 && r.Station.LonDeg >= -180 && r.Station.LonDeg <= 180) || r.ObservedAt.Location() != time.UTC {
				t.Errorf("row %+v", r)
			}
		}
	})
}
