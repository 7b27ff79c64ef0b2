package ghcnh_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/ghcnh"
	"osier/model"
)

// The two recorded tables have one report each; the values were read off them
// by eye.
func TestTheRecordedTables(t *testing.T) {
	celsius, pressure := model.Known[model.Celsius], model.Known[model.Hectopascals]
	for _, c := range []struct {
		file    string
		station model.Station
		want    model.Observation
	}{
		{ // codes left empty; no altimeter setting; its hour was dry and three hours were not
			file:    "GHCNh_FPI0000NTAT_por.psv",
			station: model.Station{ID: "FPI0000NTAT", Source: "ghcnh", Name: "TUBUAI", LatDeg: -23.371, LonDeg: -149.529, ElevationM: model.Known[model.Metres](3)},
			want: model.Observation{
				Station: "FPI0000NTAT", At: time.Date(2014, 4, 8, 15, 0, 0, 0, time.UTC),
				AirC: celsius(25.9), DewC: celsius(17.3), StationHPa: pressure(1015.2), SeaLevelHPa: pressure(1015.7),
				WindMps: model.Known[model.MetresPerSecond](5.8), WindFromDeg: model.Known[model.Degrees](120),
				Rain: model.Known(model.Rain{Mm: 0, OverH: 1}),
				Raw:  "SYN09891954 26/// /1213 10234 20167 30167 40170 55001 333 4//// 69927 90710 91123 555 60005 11023 59013=",
			},
		},
		{ // a variable wind; the sky is overcast, which the three layers do not say
			file:    "GHCNh_USW00026442_por.psv",
			station: model.Station{ID: "USW00026442", Source: "ghcnh", Name: "VALDEZ WSO", LatDeg: 61.1303, LonDeg: -146.3517, ElevationM: model.Known[model.Metres](29)},
			want: model.Observation{
				Station: "USW00026442", At: time.Date(2005, 6, 10, 17, 50, 0, 0, time.UTC),
				AirC: celsius(11.9), DewC: celsius(6.8), QNHHPa: pressure(1004.7), SeaLevelHPa: pressure(1004.8), StationHPa: pressure(1003.7),
				WindMps: model.Known[model.MetresPerSecond](1),
				Raw:     "MET214A10METAR PAVW 0850 VRB02KT 20SM SCT100 BKN140 OVC200 12/07 A2967 RMK SLP048 8/078 T01190068 10124 20082 55003 (JR 17:54Z)B10085029640 119 8 3AC 100 3AS 140 6 2CS 200 8",
			},
		},
	} {
		t.Run(c.file, func(t *testing.T) {
			f, err := os.Open(filepath.FromSlash("../../../../shared/data/weather/archive/ghcnh/" + c.file))
			if err != nil {
				t.Skipf("the recording is not on this machine: %v", err)
			}
			defer f.Close()
			station, got, warnings, err := ghcnh.Parse(f)
			if err != nil || len(warnings) != 0 {
				t.Fatalf("error %v, warnings %q", err, warnings)
			}
			if diff := cmp.Diff(c.station, station); diff != "" {
				t.Errorf("station (-want +got):\n%s", diff)
			}
			c.want.Source = "ghcnh"
			if diff := cmp.Diff([]model.Observation{c.want}, got); diff != "" {
				t.Errorf("reports (-want +got):\n%s", diff)
			}
		})
	}
}
