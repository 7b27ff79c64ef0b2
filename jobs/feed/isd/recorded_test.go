package isd_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/isd"
	"osier/model"
)

// The first, the last and odd lines of the recorded station-years, read off the
// files by eye with the field table beside them.
func TestLinesOfTheRecordedYears(t *testing.T) {
	celsius, speed, from := model.Known[model.Celsius], model.Known[model.MetresPerSecond], model.Known[model.Degrees]
	pressure, oktas := model.Known[model.Hectopascals], model.Known[int]
	dry := model.Known(model.Rain{Mm: 0, OverH: 6})
	hour := func(y int, m time.Month, d, h int) time.Time { return time.Date(y, m, d, h, 0, 0, 0, time.UTC) }
	for file, want := range map[string][]model.Observation{
		"010010-99999-1988.txt": {
			{At: hour(1988, 1, 1, 0), AirC: celsius(-20.1), DewC: celsius(-22.1), SeaLevelHPa: pressure(1002.1), WindMps: speed(18.5), WindFromDeg: from(330), Rain: dry, CloudOktas: oktas(2), Thunder: model.ThunderNone},
			// Three millimetres over a time nobody gives are no rain of an hour.
			{At: hour(1988, 1, 10, 18), AirC: celsius(-2.8), DewC: celsius(-3.5), SeaLevelHPa: pressure(972), WindMps: speed(13.9), WindFromDeg: from(350), CloudOktas: oktas(8), Thunder: model.ThunderNone},
			// The pressure is marked suspect.
			{At: hour(1988, 2, 28, 10), AirC: celsius(-9), SeaLevelHPa: pressure(1034.2), WindMps: speed(10.3), WindFromDeg: from(330), CloudOktas: oktas(6), Thunder: model.ThunderNone, LowTrust: true},
			{At: hour(1988, 12, 31, 21), AirC: celsius(-2.5), DewC: celsius(-2.9), SeaLevelHPa: pressure(1014.3), WindMps: speed(10.3), WindFromDeg: from(130), CloudOktas: oktas(8), Thunder: model.ThunderNone},
		},
		"014160-99999-2016-head.txt": {
			// A calm by its code, and no speed: no wind was measured.
			{At: hour(2016, 1, 1, 0), AirC: celsius(7.3), DewC: celsius(2.9), Rain: dry},
			// The raw report shows a temperature that quality control took away.
			{At: hour(2016, 3, 3, 22)},
		},
		"035480-99999-1943-head.txt": {
			{At: hour(1943, 7, 1, 2), WindMps: speed(4.6), WindFromDeg: from(50), CloudOktas: oktas(8)},
			// Written 2400 on the first of July.
			{At: hour(1943, 7, 2, 0), WindMps: speed(4.6), WindFromDeg: from(50), CloudOktas: oktas(8), Thunder: model.ThunderNone},
			{At: hour(1943, 7, 6, 21), WindMps: speed(2.6), WindFromDeg: from(290), CloudOktas: oktas(8), Thunder: model.ThunderNow},
			{At: hour(1943, 7, 13, 13), WindMps: speed(12.3), WindFromDeg: from(270), CloudOktas: oktas(6)},
		},
	} {
		t.Run(file, func(t *testing.T) {
			f, err := os.Open(filepath.FromSlash("../../../../shared/data/weather/archive/isd/" + file))
			if err != nil {
				t.Skipf("the recording is not on this machine: %v", err)
			}
			defer f.Close()
			_, all, _, err := isd.Parse(f)
			if err != nil {
				t.Fatal(err)
			}
			byTime := map[time.Time]model.Observation{}
			for _, o := range all {
				byTime[o.At] = o
			}
			if first, last := all[0].At, all[len(all)-1].At; !first.Equal(want[0].At) || !last.Equal(want[len(want)-1].At) {
				t.Errorf("from %v to %v, want %v to %v", first, last, want[0].At, want[len(want)-1].At)
			}
			for _, w := range want {
				got := byTime[w.At]
				w.Station, w.Source, w.Raw = file[:12], "isd", got.Raw
				if diff := cmp.Diff(w, got); diff != "" {
					t.Errorf("%v (-want +got):\n%s", w.At, diff)
				}
			}
		})
	}
}
