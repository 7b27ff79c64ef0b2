package ghcnh_test

import (
	"errors"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/ghcnh"
	"osier/model"
)

func TestTheListOfStations(t *testing.T) {
	const header = "GHCN_ID,LATITUDE,LONGITUDE,ELEVATION,STATE,NAME,GSN,(US)HCN_(US)CRN,WMO_ID,ICAO,ISO_CODE\n"
	// Invented stations in the columns of the list.
	const rows = "XXM00010001,52.30,-0.90,80.0,,REED FIELD,,,10001,,XX\n" +
		"XXI0000XXAA,52.10,-0.70,-999.9,,\"SALLOW, NORTH\",,,,XXAA,XX\n" +
		"XXM00010002,54.02,8.22,8191.0,,LIGHT VESSEL,,,10002,,XX\n"
	want := []model.Station{
		{ID: "XXM00010001", Source: "ghcnh", Name: "REED FIELD", LatDeg: 52.3, LonDeg: -0.9, ElevationM: model.Known[model.Metres](80)},
		{ID: "XXI0000XXAA", Source: "ghcnh", Name: "SALLOW, NORTH", LatDeg: 52.1, LonDeg: -0.7},
		{ID: "XXM00010002", Source: "ghcnh", Name: "LIGHT VESSEL", LatDeg: 54.02, LonDeg: 8.22},
	}
	for name, text := range map[string]string{"with its header": header + rows, "without one": rows} {
		stations, warnings, err := ghcnh.ParseStations(strings.NewReader(text))
		if diff := cmp.Diff(want, stations); diff != "" || len(warnings) != 0 || err != nil {
			t.Errorf("%s: warnings %q, error %v (-want +got):\n%s", name, warnings, err, diff)
		}
	}
}

func TestFaultsInTheListOfStations(t *testing.T) {
	const good = "XXM00010001,52.30,-0.90,80.0,,REED FIELD\n"
	for name, bad := range map[string]string{
		"no name": "reed,52.3,-0.9,80,,X\n", "off the earth": "XXM00010009,152.3,-0.9,80,,X\n",
		"no position": "XXM00010009,,,80,,X\n", "not a number": "XXM00010009,NaN,-0.9,80,,X\n", "short": "XXM00010009,52.3\n",
	} {
		stations, warnings, err := ghcnh.ParseStations(strings.NewReader(good + bad))
		if len(stations) != 1 || len(warnings) != 1 || !strings.HasPrefix(warnings[0], "row 2: ") || err != nil {
			t.Errorf("%s: %d stations, warnings %q, error %v; want the good one, and the row named", name, len(stations), warnings, err)
		}
		if _, _, err := ghcnh.ParseStations(strings.NewReader(bad)); model.CodeOf(err) != model.Invalid {
			t.Errorf("%s alone: error %v, want it refused", name, err)
		}
	}
	for name, body := range map[string]string{"empty": "", "a web page": "<html><body>sorry</body></html>"} {
		if _, _, err := ghcnh.ParseStations(strings.NewReader(body)); model.CodeOf(err) != model.Invalid {
			t.Errorf("%s: error %v, want it refused", name, err)
		}
	}
	if _, _, err := ghcnh.ParseStations(iotest.ErrReader(errors.New("line dropped"))); err == nil || !strings.Contains(err.Error(), "breaks off") {
		t.Errorf("cut off: error %v", err)
	}
}

func FuzzParseStations(f *testing.F) {
	f.Add("XXM00010001,52.30,-0.90,80.0,,REED FIELD\n")
	f.Add("GHCN_ID,LATITUDE\n\"")
	f.Fuzz(func(t *testing.T, text string) {
		stations, _, err := ghcnh.ParseStations(strings.NewReader(text))
		if (err == nil) != (len(stations) > 0) {
			t.Fatalf("%d stations with error %v", len(stations), err)
		}
		for _, s := range stations {
			if s.LatDeg != s.LatDeg || s.LonDeg != s.LonDeg || len(s.ID) != 11 {
				t.Fatalf("station %+v", s)
			}
		}
	})
}
