package isd_test

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/isd"
	"osier/model"
)

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

func TestReportsAreSortedAndOneAnInstant(t *testing.T) {
	_, got, warnings := parse(t,
		row{when: "201603071200"}.String(),
		row{when: "201603071100"}.String(),
		row{when: "201603071200", air: "+0090 1 +9999 9 99999 9"}.String(), // says less
		row{when: "201603071100", air: "+0060 1 +0052 1 10133 1"}.String(), // says as much, and later
	)
	if len(got) != 2 || got[0].AirC != model.Known[model.Celsius](6) || got[1].AirC != model.Known[model.Celsius](7.1) || !got[0].At.Before(got[1].At) {
		t.Errorf("reports %+v", got)
	}
	if len(warnings) != 1 || !strings.HasPrefix(warnings[0], "2 reports are left out") {
		t.Errorf("warnings %q, want the two that were left out counted", warnings)
	}
}

func TestTheMidnightThatEndsADay(t *testing.T) {
	_, got, _ := parse(t, row{when: "194302282400"}.String(), row{when: "194303010100"}.String())
	if want := time.Date(1943, 3, 1, 0, 0, 0, 0, time.UTC); !got[0].At.Equal(want) {
		t.Errorf("%v, want %v", got[0].At, want)
	}
}

func TestPackedAndPlainAreTheSame(t *testing.T) {
	text := row{}.String() + "\r\n"
	_, plain, _, err := isd.Parse(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	_, packed, _, err := isd.Parse(bytes.NewReader(pack(t, text)))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(plain, packed); diff != "" || len(plain) != 1 {
		t.Errorf("%d reports; plain against packed:\n%s", len(plain), diff)
	}
}

func TestABadLineCostsOneLine(t *testing.T) {
	good := row{}.String()
	other := row{when: "201603071300"}.String()
	for _, c := range []struct{ name, line, says string }{
		{"cut off", other[:80], "it has 80 characters"},
		{"a character lost", row{when: "201603071300", rest: "REM"}.String()[1:], "says it has 144"},
		{"a character lost in the middle", strings.Replace(row{when: "201603071300", rest: "REM"}.String(), "FM-12", "FM12", 1), "it has 107 characters and says it has 108"},
		{"a character too many", other + "x", "it has 106 characters and says it has 105"},
		{"no length", "x" + other[1:], "four digits of its length"},
		{"the 31st of April", row{when: "201604311200"}.String(), "no date"},
		{"half an hour past the end of the day", row{when: "201604302430"}.String(), "no time"},
		{"another station", strings.Replace(other, "999991", "999992", 1), "of station 999992-99999"},
		{"a station that is none", strings.Replace(other, "999991", "99 991", 1), "no pair of station numbers"},
		{"a sum of the day", row{when: "201603071300", kind: "SOD  "}.String(), "SOD sums up"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, got, warnings := parse(t, good, c.line)
			if len(got) != 1 || len(warnings) != 1 || !strings.HasPrefix(warnings[0], "line 2: left out") || !strings.Contains(warnings[0], c.says) {
				t.Errorf("%d reports, warnings %q; want one, and a warning about line 2 that says %q", len(got), warnings, c.says)
			}
		})
	}
}

func TestABadValueCostsOneValue(t *testing.T) {
	for _, c := range []struct{ air, says string }{
		{"+0x71 1 +0052 1 10133 1", `line 1: air temperature "+0x71" is no number`},
		{"+0990 1 +0052 1 10133 1", "line 1: air temperature 99 is outside -93.2 to 61.8 C"},
	} {
		_, got, warnings := parse(t, row{air: c.air}.String())
		if got[0].AirC.Known || got[0].DewC != model.Known[model.Celsius](5.2) {
			t.Errorf("%s: %+v, %+v", c.air, got[0].AirC, got[0].DewC)
		}
		if len(warnings) != 1 || !strings.HasPrefix(warnings[0], c.says) {
			t.Errorf("%s: warnings %q, want %q", c.air, warnings, c.says)
		}
	}
}

func TestWhatIsNoStationYear(t *testing.T) {
	nowhere := strings.NewReplacer("+53000", "+99999", "-001500", "+999999").Replace(row{}.String())
	for _, c := range []struct {
		name string
		body []byte
		want string
	}{
		{"nothing", nil, "it is empty"},
		{"a web page", []byte("<!DOCTYPE html>\n<html></html>\n"), "a web page"},
		{"something else", []byte("raw_text,station_id\nEGXX,1\n"), "no line of it can be read; the first: line 1"},
		{"no position", []byte(nowhere), "where the station is"},
		{"packed and cut off", pack(t, row{}.String())[:30], "it breaks off"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, got, _, err := isd.Parse(bytes.NewReader(c.body))
			if err == nil || !strings.Contains(err.Error(), c.want) || model.CodeOf(err) != model.Invalid || got != nil {
				t.Errorf("%d reports, error %v; want none and one that says %q", len(got), err, c.want)
			}
		})
	}
}

func TestURL(t *testing.T) {
	got, err := isd.URL("014160-99999", 2016)
	if want := "https://www.ncei.noaa.gov/pub/data/noaa/2016/014160-99999-2016.gz"; got != want || err != nil {
		t.Errorf("%q, %v; want %q", got, err, want)
	}
	for station, year := range map[string]int{"014160": 2016, "../../x-99999": 2016, "014160-99999": 1900} {
		if got, err := isd.URL(station, year); err == nil {
			t.Errorf("%s in %d: %q, want an error", station, year, got)
		}
	}
}

// The figures of the three recorded station-years were counted apart from this
// package, by cutting the positions of the field table out of the files.
func TestTheRecordedYears(t *testing.T) {
	const dir = "../../../../shared/data/weather/archive/isd/"
	for _, c := range []struct {
		file    string
		station model.Station
		want    counts
	}{
		{
			file:    "010010-99999-1988.txt",
			station: model.Station{ID: "010010-99999", Source: "isd", LatDeg: 70.933, LonDeg: -8.667, ElevationM: model.Known[model.Metres](9)},
			want:    counts{Reports: 2907, Air: 2893, Wind: 2896, Calm: 124, SeaLevel: 2895, Rain: 909, Cloud: 2523, LowTrust: 6},
		},
		{ // 230 lines say calm and give no speed: none of them is a wind
			file:    "014160-99999-2016-head.txt",
			station: model.Station{ID: "014160-99999", Source: "isd", LatDeg: 58.95, LonDeg: 5.733, ElevationM: model.Known[model.Metres](72)},
			want:    counts{Reports: 1500, Air: 326, Rain: 263, LowTrust: 3},
		},
		{ // midnights are written 2400
			file:    "035480-99999-1943-head.txt",
			station: model.Station{ID: "035480-99999", Source: "isd", LatDeg: 52.467, LonDeg: 0.95, ElevationM: model.Known[model.Metres](46)},
			want:    counts{Reports: 300, Wind: 300, Cloud: 281, Thunder: 3},
		},
	} {
		t.Run(c.file, func(t *testing.T) {
			f, err := os.Open(filepath.Join(dir, c.file))
			if err != nil {
				t.Skipf("the recording is not on this machine: %v", err)
			}
			defer f.Close()
			station, got, warnings, err := isd.Parse(f)
			if err != nil || len(warnings) != 0 {
				t.Fatalf("error %v, warnings %q", err, warnings)
			}
			if diff := cmp.Diff(c.station, station); diff != "" {
				t.Errorf("station (-want +got):\n%s", diff)
			}
			if diff := cmp.Diff(c.want, count(got)); diff != "" {
				t.Errorf("counts (-want +got):\n%s", diff)
			}
		})
	}
}

type counts struct{ Reports, Air, Wind, Calm, SeaLevel, Rain, Cloud, LowTrust, Thunder int }

func count(observations []model.Observation) counts {
	n := counts{Reports: len(observations)}
	add := func(to *int, is bool) {
		if is {
			*to++
		}
	}
	for _, o := range observations {
		add(&n.Air, o.AirC.Known)
		add(&n.Wind, o.WindMps.Known)
		add(&n.Calm, o.WindMps == model.Known[model.MetresPerSecond](0))
		add(&n.SeaLevel, o.SeaLevelHPa.Known)
		add(&n.Rain, o.Rain.Known)
		add(&n.Cloud, o.CloudOktas.Known)
		add(&n.LowTrust, o.LowTrust)
		add(&n.Thunder, o.Thunder == model.ThunderNow)
	}
	return n
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(row{}.String()))
	f.Add([]byte(row{items: "AA1 06 0012 9 1 GF1 07 99 1 05 1 07 1 00300 1 99 9 99 9 MA1 09986 1 09871 1 MW1 95 1 OC1 0164 1", rest: "REMMET"}.String()))
	f.Add(pack(f, row{}.String()+"\n"+row{when: "201603071300"}.String()))
	f.Fuzz(func(t *testing.T, body []byte) {
		_, got, _, err := isd.Parse(bytes.NewReader(body))
		if (err == nil) != (len(got) > 0) {
			t.Errorf("%d reports, error %v", len(got), err)
		}
		for i, o := range got {
			if i > 0 && !o.At.After(got[i-1].At) || o.At.Location() != time.UTC {
				t.Errorf("report %d at %v", i, o.At)
			}
			for _, v := range []float64{float64(o.AirC.Value), float64(o.DewC.Value), float64(o.WindMps.Value), float64(o.SeaLevelHPa.Value), float64(o.Rain.Value.Mm)} {
				if math.IsNaN(v) || math.Abs(v) > 1100 {
					t.Errorf("value %v", v)
				}
			}
			if o.WindFromDeg.Value < 0 || o.WindFromDeg.Value >= 360 {
				t.Errorf("direction %v", o.WindFromDeg.Value)
			}
			if _, err := json.Marshal(o); err != nil {
				t.Errorf("it cannot be written: %v", err)
			}
		}
	})
}
