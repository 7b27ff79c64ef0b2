package isdlite_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/isdlite"
	"osier/model"
)

const archive = "../../../../shared/data/weather/archive/"

func recording(t *testing.T, name string) []byte {
	t.Helper()
	body, err := os.ReadFile(filepath.FromSlash(archive + name))
	if err != nil {
		t.Skipf("the recording is not on this machine: %v", err)
	}
	return body
}

// january is a month of the Arctic station that the shared data rewrote from
// the full form.
func january(t *testing.T) []model.Observation {
	t.Helper()
	got, warnings, err := isdlite.Parse(bytes.NewReader(recording(t, "isd-lite/example_010010-99999-1988-jan.txt")), model.Station{ID: "010010-99999"})
	if err != nil || len(warnings) != 0 {
		t.Fatalf("error %v, warnings %q", err, warnings)
	}
	return got
}

// The counts were made apart from this package, by splitting lines at spaces.
func TestTheRecordedMonth(t *testing.T) {
	got := january(t)
	type counts struct{ Hours, Air, Dew, SeaLevel, Wind, Calm, Direction, North, Cloud, Rain int }
	n := counts{Hours: len(got)}
	add := func(to *int, is bool) {
		if is {
			*to++
		}
	}
	for _, o := range got {
		add(&n.Air, o.AirC.Known)
		add(&n.Dew, o.DewC.Known)
		add(&n.SeaLevel, o.SeaLevelHPa.Known)
		add(&n.Wind, o.WindMps.Known)
		add(&n.Calm, o.WindMps == model.Known[model.MetresPerSecond](0))
		add(&n.Direction, o.WindFromDeg.Known)
		add(&n.North, o.WindFromDeg == model.Known[model.Degrees](0))
		add(&n.Cloud, o.CloudOktas.Known)
		add(&n.Rain, o.Rain.Known)
	}
	// 245 directions are written; the 15 of calms are none.
	want := counts{Hours: 247, Air: 246, Dew: 245, SeaLevel: 245, Wind: 246, Calm: 15, Direction: 230, North: 10}
	if diff := cmp.Diff(want, n); diff != "" {
		t.Errorf("counts (-want +got):\n%s", diff)
	}
	celsius, speed := model.Known[model.Celsius], model.Known[model.MetresPerSecond]
	pressure, from := model.Known[model.Hectopascals], model.Known[model.Degrees]
	hour := func(day, h int) time.Time { return time.Date(1988, 1, day, h, 0, 0, 0, time.UTC) }
	for _, want := range []model.Observation{
		{At: hour(1, 0), AirC: celsius(-20.1), DewC: celsius(-22.1), SeaLevelHPa: pressure(1002.1), WindFromDeg: from(330), WindMps: speed(18.5)},
		{At: hour(1, 18), AirC: celsius(-19.3), SeaLevelHPa: pressure(993.8), WindFromDeg: from(340), WindMps: speed(17)},                      // no dew point
		{At: hour(3, 9), AirC: celsius(-16.7), DewC: celsius(-18.6), SeaLevelHPa: pressure(995.2), WindFromDeg: from(0), WindMps: speed(16.4)}, // 360
		{At: hour(3, 18), AirC: celsius(-22.4), DewC: celsius(-24.9), SeaLevelHPa: pressure(997.7)},                                            // no wind
		{At: hour(6, 15), AirC: celsius(-15.2), DewC: celsius(-16.5), SeaLevelHPa: pressure(1000.9), WindMps: speed(0)},                        // calm
		{At: hour(13, 0), AirC: celsius(-9), DewC: celsius(-12.9), SeaLevelHPa: pressure(1011.2), WindMps: speed(1.5)},                         // no direction
		{At: hour(31, 6), SeaLevelHPa: pressure(1012.2), WindFromDeg: from(70), WindMps: speed(6.2)},                                           // no temperature
		{At: hour(31, 21), AirC: celsius(0.2), DewC: celsius(-0.1), SeaLevelHPa: pressure(1011.4), WindFromDeg: from(60), WindMps: speed(2.1)},
	} {
		i := index(got, want.At)
		if i < 0 {
			t.Errorf("no report of %v", want.At)
			continue
		}
		want.Station, want.Source, want.Raw = "010010-99999", "isd-lite", got[i].Raw
		if diff := cmp.Diff(want, got[i]); diff != "" {
			t.Errorf("%v (-want +got):\n%s", want.At, diff)
		}
	}
}

func index(observations []model.Observation, at time.Time) int {
	for i, o := range observations {
		if o.At.Equal(at) {
			return i
		}
	}
	return -1
}

// full is what the mandatory part of one report of the full form says.
type full struct {
	air, dew, pressure float64 // C, C, hPa
	known              [3]bool // which of the three are
	wind               string  // the digits of direction, type and speed
}

// fullForm cuts the values of the mandatory part out of lines of the full form,
// by the positions of its field table, and files them under the hour that
// ISD-Lite gives them: that which follows within ten minutes.
func fullForm(t *testing.T, body []byte, month string) map[time.Time][]full {
	t.Helper()
	byHour := map[time.Time][]full{}
	for _, text := range strings.Split(strings.TrimSuffix(string(body), "\n"), "\n") {
		if text[15:21] != month {
			continue
		}
		at, err := time.Parse("200601021504", text[15:27])
		if err != nil {
			t.Fatal(err)
		}
		hour := at.Truncate(time.Hour)
		if !hour.Equal(at) {
			hour = hour.Add(time.Hour)
		}
		if hour.Sub(at) > 10*time.Minute {
			continue
		}
		byHour[hour] = append(byHour[hour], cut(t, text))
	}
	return byHour
}

func cut(t *testing.T, text string) full {
	t.Helper()
	var f full
	for i, field := range []struct {
		to          *float64
		text, nines string
		mark        byte
	}{
		{&f.air, text[87:92], "+9999", text[92]},
		{&f.dew, text[93:98], "+9999", text[98]},
		{&f.pressure, text[99:104], "99999", text[104]},
	} {
		if field.text == field.nines || field.mark == '3' || field.mark == '7' {
			continue
		}
		n, err := strconv.Atoi(field.text)
		if err != nil {
			t.Fatal(err)
		}
		*field.to, f.known[i] = float64(n)/10, true
	}
	f.wind = text[60:63] + text[64:69]
	return f
}

// Every hour of the rewriting stands in the file it was made from, with the
// values of a report made in the ten minutes before it, and no hour that
// reported is lost.
func TestTheRewritingEqualsTheFullForm(t *testing.T) {
	lite := january(t)
	reports := fullForm(t, recording(t, "isd/010010-99999-1988.txt"), "198801")
	if len(lite) != len(reports) || len(lite) != 247 {
		t.Errorf("%d hours, and %d in the full form; want 247 in both", len(lite), len(reports))
	}
	for _, o := range lite {
		candidates := reports[o.At]
		if len(candidates) == 0 {
			t.Errorf("%v: the full form has no report of that hour", o.At)
			continue
		}
		checkValue(t, o.At, "air temperature", float64(o.AirC.Value), o.AirC.Known, candidates, func(f full) (float64, bool) { return f.air, f.known[0] })
		checkValue(t, o.At, "dew point", float64(o.DewC.Value), o.DewC.Known, candidates, func(f full) (float64, bool) { return f.dew, f.known[1] })
		checkValue(t, o.At, "sea-level pressure", float64(o.SeaLevelHPa.Value), o.SeaLevelHPa.Known, candidates, func(f full) (float64, bool) { return f.pressure, f.known[2] })
		if !windIsAmong(t, o, candidates) {
			t.Errorf("%v: wind %+v from %+v is in none of %+v", o.At, o.WindMps, o.WindFromDeg, candidates)
		}
	}
}

// checkValue demands that a value is that of one of the reports, and that it is
// missing only where all of them lack it.
func checkValue(t *testing.T, at time.Time, name string, got float64, known bool, candidates []full, of func(full) (float64, bool)) {
	t.Helper()
	reported := false
	for _, c := range candidates {
		v, ok := of(c)
		if ok && known && v == got {
			return
		}
		reported = reported || ok
	}
	if known || reported {
		t.Errorf("%v: %s %v (known: %v), the full form has %+v", at, name, got, known, candidates)
	}
}

// windIsAmong looks for speed and direction in one report together.
func windIsAmong(t *testing.T, o model.Observation, candidates []full) bool {
	t.Helper()
	for _, c := range candidates {
		direction, kind, speed := c.wind[:3], c.wind[3:4], c.wind[4:]
		v, err := strconv.Atoi(speed)
		if err != nil {
			t.Fatal(err)
		}
		var mps model.Maybe[model.MetresPerSecond]
		if speed != "9999" {
			mps = model.Known(model.MetresPerSecond(float64(v) / 10))
		}
		d, err := strconv.Atoi(direction)
		if err != nil {
			t.Fatal(err)
		}
		var from model.Maybe[model.Degrees]
		if direction != "999" && kind != "C" {
			from = model.Known(model.Degrees(d % 360))
		}
		if o.WindMps == mps && o.WindFromDeg == from {
			return true
		}
	}
	return false
}
