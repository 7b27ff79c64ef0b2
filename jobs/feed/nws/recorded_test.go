package nws_test

import (
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/nws"
	"osier/model"
)

// recorded reads a recording kept outside this project, if it is there.
func recorded(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile("../../../../shared/data/weather/feeds/nws/" + name)
	if err != nil {
		t.Skipf("the recording %s is not on this machine: %v", name, err)
	}
	return b
}

// The values are those of the recordings, with km/h divided by 3.6 and Pa by
// 100 by hand.
func TestTheRecordings(t *testing.T) {
	for _, c := range []struct {
		file    string
		station model.Station
		want    model.Observation
	}{
		{
			"obs_KALB_null_pressure_rh.json",
			model.Station{ID: "KALB", Name: "Albany International Airport", LatDeg: 42.75, LonDeg: -73.8, ElevationM: metres(89)},
			model.Observation{At: at("2026-07-15T19:50:00Z"), AirC: celsius(25), WindMps: mps(6.17), WindFromDeg: degrees(270), CloudOktas: model.Known(4)},
		},
		{
			"obs_KANE_windchill.json",
			model.Station{ID: "KANE", Name: "Minneapolis / Blaine", LatDeg: 45.14, LonDeg: -93.21, ElevationM: metres(276)},
			model.Observation{At: at("2026-03-04T18:18:00Z"), AirC: celsius(7), DewC: celsius(4), WindMps: mps(3.09), WindFromDeg: degrees(220), QNHHPa: hPa(1019.303), CloudOktas: model.Known(4)},
		},
		{
			"obs_KBFI_windchill.json",
			model.Station{ID: "KBFI", Name: "Boeing Field - King County International Airport", LatDeg: 47.53, LonDeg: -122.3, ElevationM: metres(5)},
			model.Observation{At: at("2026-03-04T22:25:00Z"), AirC: celsius(9), DewC: celsius(8), WindMps: mps(2.57), WindFromDeg: degrees(110), QNHHPa: hPa(1013.5461), CloudOktas: model.Known(8)},
		},
		{
			"obs_KDCA_calm_latest.json",
			model.Station{ID: "KDCA", Name: "Washington/Reagan National Airport, DC", LatDeg: 38.85, LonDeg: -77.03, ElevationM: metres(20)},
			model.Observation{At: at("2026-02-06T21:30:00Z"), AirC: celsius(-1), DewC: celsius(-7), WindMps: mps(0), QNHHPa: hPa(1003.7255), CloudOktas: model.Known(8)},
		},
		{
			"obs_KDDH_heatindex_simple.json",
			model.Station{ID: "KDDH", Name: "Bennington Morse State Airport", LatDeg: 42.89, LonDeg: -73.25, ElevationM: metres(250)},
			model.Observation{At: at("2026-07-15T19:50:00Z"), AirC: celsius(24), DewC: celsius(15), WindMps: mps(2.57), WindFromDeg: degrees(290), QNHHPa: hPa(1011.1757), CloudOktas: model.Known(2)},
		},
		{
			"obs_KMSP_windchill.json",
			model.Station{ID: "KMSP", Name: "Minneapolis, Minneapolis-St. Paul International Airport", LatDeg: 44.88, LonDeg: -93.22, ElevationM: metres(255)},
			model.Observation{At: at("2026-03-04T18:20:00Z"), AirC: celsius(5), DewC: celsius(3), WindMps: mps(4.12), WindFromDeg: degrees(200), QNHHPa: hPa(1019.6416), CloudOktas: model.Known(6)},
		},
		{
			"obs_KOWD_heatindex.json",
			model.Station{ID: "KOWD", Name: "Norwood, Norwood Memorial Airport", LatDeg: 42.18, LonDeg: -71.18, ElevationM: metres(15)},
			model.Observation{At: at("2026-07-15T19:40:00Z"), AirC: celsius(28), DewC: celsius(16), WindMps: mps(4.12), WindFromDeg: degrees(310), QNHHPa: hPa(1007.7893), CloudOktas: model.Known(0)},
		},
		{
			"obs_LBNL1_no_icon_no_slp.json",
			model.Station{ID: "LBNL1", Name: "Berkeley Lab", LatDeg: 37.88, LonDeg: -122.25, ElevationM: metres(270.7)},
			model.Observation{At: at("2026-03-04T21:15:00Z"), AirC: celsius(14.83), DewC: celsius(7.69), WindMps: mps(2.84), WindFromDeg: degrees(241.4), GustMps: mps(5.29), QNHHPa: hPa(1020.5435)},
		},
		{
			"obs_PABR_freezing_fog.json",
			model.Station{ID: "PABR", Name: "Wiley Post-Will Rogers Memorial Airport", LatDeg: 71.3, LonDeg: -156.78, ElevationM: metres(4)},
			model.Observation{At: at("2026-06-02T16:50:00Z"), AirC: celsius(-3), DewC: celsius(-4), WindMps: mps(4.12), WindFromDeg: degrees(180), QNHHPa: hPa(1019.9803), CloudOktas: model.Known(8)},
		},
		{
			"obs_PGUA_heatindex.json",
			model.Station{ID: "PGUA", Name: "Andersen, Mariana Is, Andersen Air Force Base", LatDeg: 13.57, LonDeg: 144.92, ElevationM: metres(159)},
			model.Observation{At: at("2026-05-14T15:55:00Z"), AirC: celsius(27.2), DewC: celsius(24.2), WindMps: mps(5.66), WindFromDeg: degrees(100), QNHHPa: hPa(1014.2234), CloudOktas: model.Known(8)},
		},
	} {
		t.Run(c.file, func(t *testing.T) {
			c.station.Source, c.want.Source, c.want.Station = "nws", "nws", c.station.ID
			got, warnings, err := nws.Parse(recorded(t, c.file))
			if err != nil || len(warnings) != 0 {
				t.Fatalf("error %v, warnings %q", err, warnings)
			}
			if diff := cmp.Diff([]nws.Report{{Station: c.station, Observation: c.want}}, got, both); diff != "" {
				t.Errorf("reports (-want +got):\n%s", diff)
			}
		})
	}
}

func TestTheRecordingsThatHoldNoObservation(t *testing.T) {
	for _, c := range []struct {
		file     string
		warnings int
	}{
		{"obs_PPIZ_empty_features.json", 0},
		{"obs_PAEI_features_null.json", 0},
		{"client_stations_observations_missing_value.json", 1}, // a place and an address, no time
		{"points_DCA.json", 1},                                 // a place, no station
		{"client_points.json", 1},
	} {
		t.Run(c.file, func(t *testing.T) {
			got, warnings, err := nws.Parse(recorded(t, c.file))
			if err != nil || len(got) != 0 || len(warnings) != c.warnings {
				t.Errorf("reports %+v, error %v, warnings %q; want %d warnings alone", got, err, warnings, c.warnings)
			}
		})
	}
}

// The project that kept these set their numbers; only their shape is real.
func TestTheShapeOfTheAlteredRecordings(t *testing.T) {
	for _, c := range []struct {
		file    string
		reports int
	}{
		{"client_stations_observations_latest.json", 1},
		{"client_stations_observations_multiple.json", 2},
	} {
		t.Run(c.file, func(t *testing.T) {
			got, warnings, err := nws.Parse(recorded(t, c.file))
			if err != nil || len(got) != c.reports || len(warnings) != 0 {
				t.Fatalf("%d reports, error %v, warnings %q; want %d", len(got), err, warnings, c.reports)
			}
			for _, r := range got {
				if r.Station.ID != "KFLL" || r.Station.LatDeg != 26.07 || !r.Station.ElevationM.Known || r.Observation.Raw == "" {
					t.Errorf("report %+v", r)
				}
			}
			last := got[len(got)-1].Observation
			if !last.AirC.Known || !last.DewC.Known || !last.WindMps.Known || !last.WindFromDeg.Known || !last.QNHHPa.Known || !last.SeaLevelHPa.Known || !last.CloudOktas.Known {
				t.Errorf("last report %+v, want every value of it", last)
			}
		})
	}
}
