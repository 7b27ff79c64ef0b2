package isd_test

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/isd"
	"osier/model"
)

// stationList is typed in the published layout of isd-history.csv; stations and
// figures are invented.
const stationList = `"USAF","WBAN","STATION NAME","CTRY","STATE","ICAO","LAT","LON","ELEV(M)","BEGIN","END"
"999991","99999","ALDER FIELD","UK","","EGXX","+53.000","-001.500","+0095.0","19880101","20241231"
"A99992","00042","LOW, MARSH","UK","","","-00.000","-000.125","-0999.0","20160307","20160307"
`

func day(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 0, 0, 0, 0, time.UTC) }

func TestTheListOfStations(t *testing.T) {
	want := []isd.ArchiveStation{
		{
			Station: model.Station{ID: "999991-99999", Source: "isd", Name: "ALDER FIELD", LatDeg: 53, LonDeg: -1.5, ElevationM: model.Known[model.Metres](95)},
			Begin:   day(1988, time.January, 1), End: day(2024, time.December, 31),
		},
		{ // a comma in the name, a letter in the number, and a height that is not known
			Station: model.Station{ID: "A99992-00042", Source: "isd", Name: "LOW, MARSH", LatDeg: 0, LonDeg: -0.125},
			Begin:   day(2016, time.March, 7), End: day(2016, time.March, 7),
		},
	}
	for name, body := range map[string][]byte{
		"as it is":            []byte(stationList),
		"with ends of DOS":    []byte(strings.ReplaceAll(stationList, "\n", "\r\n")),
		"packed":              pack(t, stationList),
		"without a last end":  []byte(strings.TrimSuffix(stationList, "\n")),
		"with an empty line":  []byte(stationList + "\n"),
		"without quote marks": []byte(strings.ReplaceAll(strings.Replace(stationList, "LOW, MARSH", "LOW MARSH", 1), `"`, "")),
	} {
		got, warnings, err := isd.ParseStations(bytes.NewReader(body))
		if err != nil || len(warnings) != 0 {
			t.Errorf("%s: error %v, warnings %q", name, err, warnings)
			continue
		}
		if name == "without quote marks" {
			got[1].Name = "LOW, MARSH"
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
		if math.Signbit(got[1].LatDeg) {
			t.Errorf("%s: the equator is written -0", name)
		}
	}
}

// The columns of other lists may stand in another order.
func TestColumnsOfTheListGoByName(t *testing.T) {
	got, warnings, err := isd.ParseStations(strings.NewReader("END,BEGIN,ELEV(M),LON,LAT,STATION NAME,WBAN,USAF\n20241231,19880101,95,-1.5,53,ALDER FIELD,99999,999991\n"))
	if err != nil || len(warnings) != 0 || len(got) != 1 {
		t.Fatalf("%d stations, error %v, warnings %q", len(got), err, warnings)
	}
	if got[0].ID != "999991-99999" || got[0].LatDeg != 53 || got[0].LonDeg != -1.5 || got[0].End != day(2024, time.December, 31) {
		t.Errorf("%+v", got[0])
	}
}

func TestABadRowOfTheListCostsOneRow(t *testing.T) {
	const rest = `"UK","","","+53.000","-001.500","+0095.0","19880101","20241231"`
	for _, c := range []struct{ name, row, says string }{
		{"no latitude", `"999993","99999","X","UK","","","","-001.500","+0095.0","19880101","20241231"`, `LAT "" is no position`},
		{"a latitude of 91", `"999993","99999","X","UK","","","+91.000","-001.500","+0095.0","19880101","20241231"`, `LAT "+91.000" is no position`},
		{"a longitude that is no number", `"999993","99999","X","UK","","","+53.000","NaN","+0095.0","19880101","20241231"`, `LON "NaN" is no position`},
		{"the 30th of February", `"999993","99999","X","UK","","","+53.000","-001.500","+0095.0","19880230","20241231"`, `BEGIN "19880230" is no day`},
		{"no end", `"999993","99999","X","UK","","","+53.000","-001.500","+0095.0","19880101",""`, `END "" is no day`},
		{"an end before the beginning", `"999993","99999","X","UK","","","+53.000","-001.500","+0095.0","20241231","19880101"`, "it ends on 19880101, before it begins on 20241231"},
		{"a number too short", `"99993","99999","X",` + rest, `"99993-99999" is no pair of station numbers`},
		{"no number", `"","","X",` + rest, `"-" is no pair of station numbers`},
		{"a cell too few", `"999993","99999",` + rest, "it has 10 cells and the header 11"},
		{"a stray mark in the first cell", `9"99993","99999","X",` + rest, `bare "`},
		{"a mark that is never closed", `"999993","99999","X,` + rest, `"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			body := strings.Replace(stationList, "\"A99992\"", c.row+"\n\"A99992\"", 1)
			got, warnings, err := isd.ParseStations(strings.NewReader(body))
			if err != nil || len(got) != 2 || got[1].ID != "A99992-00042" {
				t.Fatalf("%d stations, error %v; want the two good ones", len(got), err)
			}
			if len(warnings) != 1 || !strings.HasPrefix(warnings[0], "line 3: left out: ") || !strings.Contains(warnings[0], c.says) {
				t.Errorf("warnings %q; want one about line 3 that says %q", warnings, c.says)
			}
		})
	}
}

func TestAHeightThatIsNotKnown(t *testing.T) {
	for _, text := range []string{"", "-0999.0", "-0999.9", "+9999.0", "NaN", "high"} {
		got, warnings, err := isd.ParseStations(strings.NewReader(strings.Replace(stationList, "+0095.0", text, 1)))
		if err != nil || len(warnings) != 0 || got[0].ElevationM.Known {
			t.Errorf("%q: %+v, error %v, warnings %q; want the station, and no height", text, got, err, warnings)
		}
	}
}

func TestWhatIsNoListOfStations(t *testing.T) {
	header, _, _ := strings.Cut(stationList, "\n")
	for _, c := range []struct {
		name string
		body []byte
		want string
	}{
		{"nothing", nil, "header line"},
		{"a web page", []byte("<!DOCTYPE html>\n<html></html>\n"), "a web page"},
		{"no header", []byte(strings.TrimPrefix(stationList, header+"\n")), "its header names USAF"},
		{"a column that is missing", []byte(strings.Replace(stationList, `"BEGIN"`, `"FIRST"`, 1)), "its header names BEGIN"},
		{"a header and nothing else", []byte(header + "\n"), "no station that can be read"},
		{"packed and cut off", pack(t, stationList)[:60], "it breaks off"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, _, err := isd.ParseStations(bytes.NewReader(c.body))
			if err == nil || !strings.Contains(err.Error(), c.want) || model.CodeOf(err) != model.Invalid || got != nil {
				t.Errorf("%d stations, error %v; want none and one that says %q", len(got), err, c.want)
			}
		})
	}
}

func FuzzParseStations(f *testing.F) {
	f.Add([]byte(stationList))
	f.Add([]byte(strings.Replace(stationList, `"999991"`, `9"99991"`, 1)))
	f.Add(pack(f, stationList))
	f.Fuzz(func(t *testing.T, body []byte) {
		got, _, err := isd.ParseStations(bytes.NewReader(body))
		if (err == nil) != (len(got) > 0) {
			t.Errorf("%d stations, error %v", len(got), err)
		}
		for _, s := range got {
			if _, err := isd.URL(s.ID, 2016); err != nil {
				t.Errorf("a station nobody can ask for: %v", err)
			}
			if !(math.Abs(s.LatDeg) <= 90 && math.Abs(s.LonDeg) <= 180) || s.End.Before(s.Begin) {
				t.Errorf("%+v", s)
			}
			if _, err := json.Marshal(s); err != nil {
				t.Errorf("it cannot be written: %v", err)
			}
		}
	})
}
