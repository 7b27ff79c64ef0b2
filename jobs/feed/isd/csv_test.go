package isd_test

import (
	"bytes"
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

// csvRow is a row of the CSV form, typed in its published layout.
type csvRow struct {
	station, date, lat, lon, height, kind string
	wind, air, dew, slp                   string
	items                                 map[string]string // by their columns
}

// csvItems are the columns of the tables written here, after those that every
// table has.
var csvItems = []string{"AA1", "AA2", "AW1", "AW2", "GF1", "MA1", "MW1", "MW2", "OC1", "REM"}

func or(text, standIn string) string {
	if text == "" {
		return standIn
	}
	return text
}

func (r csvRow) String() string {
	cells := []string{
		or(r.station, "99999199999"), or(r.date, "2016-03-07T12:00:00"), "4", or(r.lat, "53.0"), or(r.lon, "-1.5"), or(r.height, "95.0"), "ALDER FIELD, UK",
		or(r.kind, "FM-12"), "99999", "V020", or(r.wind, "240,1,N,0050,1"), "22000,1,9,N", "009999,1,9,9", or(r.air, "+0071,1"), or(r.dew, "+0052,1"), or(r.slp, "10133,1"),
	}
	for _, item := range csvItems {
		cells = append(cells, r.items[item])
	}
	return `"` + strings.Join(cells, `","`) + `"`
}

func csvTable(rows ...string) string {
	header := "STATION,DATE,SOURCE,LATITUDE,LONGITUDE,ELEVATION,NAME,REPORT_TYPE,CALL_SIGN,QUALITY_CONTROL,WND,CIG,VIS,TMP,DEW,SLP," + strings.Join(csvItems, ",")
	return `"` + strings.ReplaceAll(header, ",", `","`) + "\"\n" + strings.Join(rows, "\n") + "\n"
}

func parseCSV(t *testing.T, rows ...string) (model.Station, []model.Observation, []string) {
	t.Helper()
	s, o, w, err := isd.ParseCSV(strings.NewReader(csvTable(rows...)))
	if err != nil {
		t.Fatal(err)
	}
	return s, o, w
}

// One report in both forms must read the same.
func TestBothFormsSayTheSame(t *testing.T) {
	for _, c := range []struct {
		name  string
		fixed row
		csv   csvRow
	}{
		{"nothing but what all have", row{}, csvRow{}},
		{
			"everything",
			row{kind: "FM-15", wind: "360 1 N 0103 1", air: "-0011 1 -0035 5 09982 1", items: "AA1 06 0012 9 1 AA2 01 0004 9 1 GF1 07 99 1 05 1 07 1 00300 1 99 9 99 9 MA1 09986 1 09871 1 MW1 61 1 MW2 95 1 OC1 0164 1"},
			csvRow{kind: "FM-15", wind: "360,1,N,0103,1", air: "-0011,1", dew: "-0035,5", slp: "09982,1", items: map[string]string{
				"AA1": "06,0012,9,1", "AA2": "01,0004,9,1", "GF1": "07,99,1,05,1,07,1,00300,1,99,9,99,9", "MA1": "09986,1,09871,1", "MW1": "61,1", "MW2": "95,1", "OC1": "0164,1",
			}},
		},
		{"missing", row{wind: "999 9 9 9999 9", air: "+9999 9 +9999 9 99999 9"}, csvRow{wind: "999,9,9,9999,9", air: "+9999,9", dew: "+9999,9", slp: "99999,9"}},
		{"the calm code with a missing speed", row{wind: "999 9 C 9999 9"}, csvRow{wind: "999,9,C,9999,9"}},
		{"calm", row{wind: "999 9 C 0000 1"}, csvRow{wind: "999,9,C,0000,1"}},
		{"variable", row{wind: "999 9 V 0021 1"}, csvRow{wind: "999,9,V,0021,1"}},
		{"erroneous and suspect", row{air: "+0071 3 +0052 2 10133 7"}, csvRow{air: "+0071,3", dew: "+0052,2", slp: "10133,7"}},
		{"a trace", row{items: "AA1 06 0000 2 1"}, csvRow{items: map[string]string{"AA1": "06,0000,2,1"}}},
		{"a machine says thunder", row{items: "AW1 10 1 AW2 92 1"}, csvRow{items: map[string]string{"AW1": "10,1", "AW2": "92,1"}}},
		{"a report of another type", row{kind: "SY-MT"}, csvRow{kind: "SY-MT"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, fixed, warnings := parse(t, c.fixed.String())
			text := c.csv.String()
			station, got, csvWarnings := parseCSV(t, text)
			if got[0].Raw != text {
				t.Errorf("raw text %q, want the row", got[0].Raw)
			}
			got[0].Raw = fixed[0].Raw
			if diff := cmp.Diff(fixed, got); diff != "" {
				t.Errorf("fixed form against CSV:\n%s", diff)
			}
			if diff := cmp.Diff(warnings, csvWarnings); diff != "" {
				t.Errorf("warnings, fixed form against CSV:\n%s", diff)
			}
			want := model.Station{ID: "999991-99999", Source: "isd", Name: "ALDER FIELD, UK", LatDeg: 53, LonDeg: -1.5, ElevationM: model.Known[model.Metres](95)}
			if diff := cmp.Diff(want, station); diff != "" {
				t.Errorf("station (-want +got):\n%s", diff)
			}
		})
	}
}

func TestAPlaceThatIsNotKnown(t *testing.T) {
	for _, c := range []struct {
		name     string
		row      csvRow
		warnings int
	}{
		{"the nines of the fixed form", csvRow{lat: "99.999", lon: "999.999", height: "9999.0"}, 0},
		{"what is no number", csvRow{lat: "north", height: "NaN"}, 2},
	} {
		station, got, warnings := parseCSV(t, c.row.String(), csvRow{date: "2016-03-07T13:00:00", height: "9.0"}.String())
		if station.LatDeg != 53 || station.LonDeg != -1.5 || station.ElevationM != model.Known[model.Metres](9) || len(got) != 2 || len(warnings) != c.warnings {
			t.Errorf("%s: %+v, %d reports, warnings %q; want the place of the row that gives one", c.name, station, len(got), warnings)
		}
	}
}

func TestABadRowCostsOneRow(t *testing.T) {
	good := csvRow{}.String()
	other := csvRow{date: "2016-03-07T13:00:00"}
	for _, c := range []struct{ name, row, says string }{
		{"cut off", other.String()[:80], `"`},
		{"a cell too few", strings.Replace(other.String(), `"V020",`, "", 1), "it has 25 cells and the header 26"},
		{"a stray mark", strings.Replace(other.String(), "ALDER", `AL"DER`, 1), `"`},
		{"the 31st of April", csvRow{date: "2016-04-31T12:00:00"}.String(), "no time"},
		{"no station", csvRow{station: "9999"}.String(), `"9999" is no pair of station numbers`},
		{"a station with a hyphen", csvRow{station: "999991-99999"}.String(), "no pair of station numbers"},
		{"another station", csvRow{station: "99999299999"}.String(), "of station 999992-99999"},
		{"a sum of the day", csvRow{kind: "SOD  "}.String(), "SOD sums up"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, got, warnings := parseCSV(t, good, c.row, csvRow{date: "2016-03-07T14:00:00"}.String())
			if len(got) != 2 || len(warnings) != 1 || !strings.HasPrefix(warnings[0], "line 3: left out") || !strings.Contains(warnings[0], c.says) {
				t.Errorf("%d reports, warnings %q; want two, and a warning about line 3 that says %q", len(got), warnings, c.says)
			}
		})
	}
}

func TestABadCellCostsItsValues(t *testing.T) {
	for _, c := range []struct {
		name string
		row  csvRow
		says string
	}{
		{"zeros lost", csvRow{air: "71,1"}, `line 2: field 1 of TMP "71,1" has 2 characters, 5 are right; left out`},
		{"no mark", csvRow{air: "+0071"}, `line 2: TMP "+0071" has 1 fields, 2 are needed; left out`},
		{"no number", csvRow{air: "+0x71,1"}, `line 2: air temperature "+0x71" is no number; left out`},
		{"out of range", csvRow{air: "+0990,1"}, "line 2: air temperature 99 is outside -93.2 to 61.8 C; left out"},
		{"nothing at all", csvRow{air: " "}, `line 2: TMP " " has 1 fields, 2 are needed; left out`},
	} {
		_, got, warnings := parseCSV(t, c.row.String())
		if got[0].AirC.Known || got[0].DewC != model.Known[model.Celsius](5.2) || got[0].WindMps != model.Known[model.MetresPerSecond](5) {
			t.Errorf("%s: %+v; want the temperature missing and the rest there", c.name, got[0])
		}
		if len(warnings) != 1 || warnings[0] != c.says {
			t.Errorf("%s: warnings %q, want %q", c.name, warnings, c.says)
		}
	}
}

func TestWhatIsNoTable(t *testing.T) {
	for _, c := range []struct{ name, body, want string }{
		{"nothing", "", "header line"},
		{"a web page", "<html></html>", "a web page"},
		{"the fixed form", row{}.String() + "\n", "its header names STATION"},
		{"no column for the wind", strings.Replace(csvTable(csvRow{}.String()), `"WND"`, `"WIND"`, 1), "its header names WND"},
		{"a header and nothing else", csvTable(), "it is empty"},
		{"no row that can be read", csvTable("x", "y"), "no line of it can be read; the first: line 2"},
		{"no position", csvTable(csvRow{lat: "99.999"}.String()), "where the station is"},
	} {
		_, got, _, err := isd.ParseCSV(strings.NewReader(c.body))
		if err == nil || !strings.Contains(err.Error(), c.want) || model.CodeOf(err) != model.Invalid || got != nil {
			t.Errorf("%s: %d reports, error %v; want none and one that says %q", c.name, len(got), err, c.want)
		}
	}
}

func TestCSVURL(t *testing.T) {
	got, err := isd.CSVURL("014160-99999", 2016)
	if want := "https://www.ncei.noaa.gov/data/global-hourly/access/2016/01416099999.csv"; got != want || err != nil {
		t.Errorf("%q, %v; want %q", got, err, want)
	}
	for station, year := range map[string]int{"01416099999": 2016, "../../x-99999": 2016, "014160-99999": 1900} {
		if got, err := isd.CSVURL(station, year); err == nil {
			t.Errorf("%s in %d: %q, want an error", station, year, got)
		}
	}
}

// The figures of the recorded table were counted apart from this package. Its
// station is a mobile one that never says where it is: the position is zero and
// the elevation its own number.
func TestTheRecordedTable(t *testing.T) {
	f, err := os.Open(filepath.FromSlash("../../../../shared/data/weather/archive/isd/global-hourly-00702699999-2017-head.csv"))
	if err != nil {
		t.Skipf("the recording is not on this machine: %v", err)
	}
	defer f.Close()
	station, got, warnings, err := isd.ParseCSV(f)
	if err != nil || len(warnings) != 0 {
		t.Fatalf("error %v, warnings %q", err, warnings)
	}
	wantStation := model.Station{ID: "007026-99999", Source: "isd", Name: "WXPOD 7026, AF", ElevationM: model.Known[model.Metres](7026)}
	if diff := cmp.Diff(wantStation, station); diff != "" {
		t.Errorf("station (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(counts{Reports: 399, Air: 399, Wind: 399, Calm: 8, Cloud: 362}, count(got)); diff != "" {
		t.Errorf("counts (-want +got):\n%s", diff)
	}
	var gusts, settings, directions int
	for _, o := range got {
		if o.GustMps.Known {
			gusts++
		}
		if o.QNHHPa.Known {
			settings++
		}
		if o.WindFromDeg.Known {
			directions++
		}
	}
	if gusts != 50 || settings != 362 || directions != 67 {
		t.Errorf("%d gusts, %d altimeter settings, %d directions; want 50, 362 and 67", gusts, settings, directions)
	}
	speed, celsius, setting := model.Known[model.MetresPerSecond], model.Known[model.Celsius], model.Known[model.Hectopascals]
	for _, want := range []model.Observation{
		{ // the first: VRB01KT 02/M08 A3047, sky clear
			At:   time.Date(2017, 2, 10, 14, 4, 0, 0, time.UTC),
			AirC: celsius(2), DewC: celsius(-8), WindMps: speed(0.5), QNHHPa: setting(1031.8), CloudOktas: model.Known(0),
		},
		{ // 00000KT is a calm
			At:   time.Date(2017, 2, 10, 14, 44, 0, 0, time.UTC),
			AirC: celsius(4), DewC: celsius(-8), WindMps: speed(0), QNHHPa: setting(1031.8), CloudOktas: model.Known(0),
		},
		{ // 30008G13KT
			At:   time.Date(2017, 2, 10, 18, 34, 0, 0, time.UTC),
			AirC: celsius(10), DewC: celsius(-8), WindMps: speed(4.1), WindFromDeg: model.Known[model.Degrees](300), GustMps: speed(6.7), QNHHPa: setting(1027.8), CloudOktas: model.Known(0),
		},
		{ // 28008G13KT 230V290: quality control took the pressure and the sky away
			At:   time.Date(2017, 2, 10, 19, 39, 0, 0, time.UTC),
			AirC: celsius(11), DewC: celsius(-6), WindMps: speed(4.1), WindFromDeg: model.Known[model.Degrees](280), GustMps: speed(6.7),
		},
		{ // the last: VRB04KT 21/11 A3004
			At:   time.Date(2017, 2, 12, 0, 9, 0, 0, time.UTC),
			AirC: celsius(21), DewC: celsius(11), WindMps: speed(2.1), QNHHPa: setting(1017.3), CloudOktas: model.Known(0),
		},
	} {
		i := -1
		for j, o := range got {
			if o.At.Equal(want.At) {
				i = j
			}
		}
		if i < 0 {
			t.Errorf("no report of %v", want.At)
			continue
		}
		want.Station, want.Source, want.Raw = "007026-99999", "isd", got[i].Raw
		if diff := cmp.Diff(want, got[i]); diff != "" {
			t.Errorf("%v (-want +got):\n%s", want.At, diff)
		}
	}
}

func FuzzParseCSV(f *testing.F) {
	f.Add([]byte(csvTable(csvRow{}.String())))
	f.Add([]byte(csvTable(csvRow{items: map[string]string{"AA1": "06,0012,9,1", "GF1": "07,99,1,05,1", "MA1": "09986,1,09871,1", "MW1": "95,1", "OC1": "0164,1"}}.String(), csvRow{lat: "NaN"}.String())))
	f.Add(pack(f, csvTable(csvRow{}.String())))
	f.Fuzz(func(t *testing.T, body []byte) {
		station, got, _, err := isd.ParseCSV(bytes.NewReader(body))
		if (err == nil) != (len(got) > 0) {
			t.Errorf("%d reports, error %v", len(got), err)
		}
		if !(math.Abs(station.LatDeg) <= 90 && math.Abs(station.LonDeg) <= 180) {
			t.Errorf("position %v %v", station.LatDeg, station.LonDeg)
		}
		for i, o := range got {
			if i > 0 && !o.At.After(got[i-1].At) || o.At.Location() != time.UTC {
				t.Errorf("report %d at %v", i, o.At)
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
