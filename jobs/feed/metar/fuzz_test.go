package metar_test

import (
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/metar"
)

// Whatever the text, nothing panics, every value that is known is a number
// that a station could measure, and the raw report decodes to itself.
func FuzzDecode(f *testing.F) {
	for _, row := range wholeReports {
		f.Add(row.raw)
	}
	for _, raw := range []string{
		"EGXX 180750Z 1508G20KT 28/222 Q10 10 RMK T1000////$ SLP/// 5////",
		"EGXX 180750Z E360P99GP99KT M00/MS07 A9999Q1013 TSNO RMK TSB0159E30 54012",
		"AAXX 11124 78859 12480", "UTO8 M M M", "METAR", "EGXX 312460Z", "=", "EGXX 180750Z =$",
		"EGXX 180750Z //// / // /// ///// ////// M MS T Q A R G KT RMK $ T S 5 SLP",
		"EGXX 180750 VRBG//KT 99/99 ///47 XX/XX 30/26Q1007\x00\x01\xff",
	} {
		f.Add(raw)
	}
	f.Fuzz(func(t *testing.T, raw string) {
		r, err := metar.Decode(raw)
		if err != nil {
			if r.Station != "" || r.Raw != "" {
				t.Errorf("an error with half a report: %+v", r)
			}
			return
		}
		checkPhysical(t, r)
		again, err := metar.Decode(r.Raw)
		if err != nil {
			t.Fatalf("the raw report is refused: %v", err)
		}
		if diff := cmp.Diff(r, again, cmp.AllowUnexported(metar.Report{})); diff != "" {
			t.Errorf("the raw report decodes to another one (-first +second)\n%s", diff)
		}
	})
}

func checkPhysical(t *testing.T, r metar.Report) {
	t.Helper()
	o := r.Observation(time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC), "fuzz")
	for _, v := range []struct {
		name             string
		known            bool
		value, low, high float64
	}{
		{"air", o.AirC.Known, float64(o.AirC.Value), -95, 65},
		{"dew", o.DewC.Known, float64(o.DewC.Value), -95, 65},
		{"wind", o.WindMps.Known, float64(o.WindMps.Value), 0, 130},
		{"direction", o.WindFromDeg.Known, float64(o.WindFromDeg.Value), 0, 359},
		{"gust", o.GustMps.Known, float64(o.GustMps.Value), 0, 130},
		{"QNH", o.QNHHPa.Known, float64(o.QNHHPa.Value), 850, 1100},
		{"sea level", o.SeaLevelHPa.Known, float64(o.SeaLevelHPa.Value), 900, 1100},
		{"cloud", o.CloudOktas.Known, float64(o.CloudOktas.Value), 0, 8},
		{"tendency", r.Tendency.Known, r.Tendency.Value.ChangeHPa, -100, 100},
		{"day", true, float64(r.Day), 1, 31},
		{"hour", true, float64(r.Hour), 0, 23},
		{"minute", true, float64(r.Minute), 0, 59},
		{"weather groups", true, float64(len(r.Weather)), 0, 8},
		{"recent groups", true, float64(len(r.Recent)), 0, 8},
	} {
		if v.known && !(v.value >= v.low && v.value <= v.high) {
			t.Errorf("%s is %v, outside %v to %v", v.name, v.value, v.low, v.high)
		}
		if v.known && v.value == 0 && math.Signbit(v.value) {
			t.Errorf("%s is a negative zero", v.name)
		}
	}
}

func FuzzSplitBulletin(f *testing.F) {
	f.Add("\x01\r\r\n776 \r\r\nSAUS70 KAAA 081400\r\r\nMETAR\r\r\nKXXX 081352Z 10015KT 10SM\r\r\n     25/16 A2967=\r\r\n\x03")
	f.Add("METAR COR\n= = =\nEGXX 020050Z CAVOK")
	f.Fuzz(func(t *testing.T, text string) {
		for _, report := range metar.SplitBulletin(text) {
			if report == "" {
				t.Error("an empty report")
			}
		}
	})
}
