package isd_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/isd"
	"osier/model"
)

// row is a line typed from the field table of DS3505, all positions up to 105
// but the length in front. The gaps show the fields:
//
//	station           date and time     position      type  height
//	wind: direction, mark, type, speed, mark
//	air, mark; dew point, mark; sea-level pressure, mark
type row struct {
	when  string // yyyymmddhhmm
	kind  string // report type, five characters
	wind  string // ddd q t ssss q
	air   string // +TTTT q +DDDD q PPPPP q
	items string // after ADD
	rest  string // REM and so on
}

func (r row) String() string {
	if r.when == "" {
		r.when = "201603071200"
	}
	if r.kind == "" {
		r.kind = "FM-12"
	}
	if r.wind == "" {
		r.wind = "240 1 N 0050 1"
	}
	if r.air == "" {
		r.air = "+0071 1 +0052 1 10133 1"
	}
	text := "999991 99999 " + r.when + " 4 +53000 -001500 " + r.kind + " +0095 99999 V020 " + r.wind + " 99999 9 9 N 999999 9 9 9 " + r.air
	text = strings.ReplaceAll(text, " ", "")
	if r.kind == "SOD  " || r.kind == "SOM  " { // their type is written with spaces
		text = strings.Replace(text, strings.TrimSpace(r.kind), r.kind, 1)
	}
	more := ""
	if r.items != "" {
		more = "ADD" + strings.ReplaceAll(r.items, " ", "")
	}
	more += r.rest
	return fmt.Sprintf("%04d%s%s", len(more), text, more)
}

func parse(t *testing.T, lines ...string) (model.Station, []model.Observation, []string) {
	t.Helper()
	s, o, w, err := isd.Parse(strings.NewReader(strings.Join(lines, "\n") + "\n"))
	if err != nil {
		t.Fatal(err)
	}
	return s, o, w
}

func TestALineWithEverything(t *testing.T) {
	text := row{
		kind:  "FM-15",
		wind:  "360 1 N 0103 1",
		air:   "-0011 1 -0035 5 09982 1",
		items: "AA1 06 0012 9 1 AA2 01 0004 9 1 GF1 07 99 1 05 1 07 1 00300 1 99 9 99 9 MA1 09986 1 09871 1 MW1 95 1 OC1 0164 1",
		rest:  "REMMET022METAR OC1 MA1 AA1GF1=",
	}.String()
	station, got, warnings := parse(t, text)
	wantStation := model.Station{ID: "999991-99999", Source: "isd", LatDeg: 53, LonDeg: -1.5, ElevationM: model.Known[model.Metres](95)}
	if diff := cmp.Diff(wantStation, station); diff != "" {
		t.Errorf("station (-want +got):\n%s", diff)
	}
	want := []model.Observation{{
		Station: "999991-99999", Source: "isd", At: time.Date(2016, 3, 7, 12, 0, 0, 0, time.UTC),
		AirC: model.Known[model.Celsius](-1.1), DewC: model.Known[model.Celsius](-3.5),
		WindMps: model.Known[model.MetresPerSecond](10.3), WindFromDeg: model.Known[model.Degrees](0),
		GustMps: model.Known[model.MetresPerSecond](16.4), QNHHPa: model.Known[model.Hectopascals](998.6),
		SeaLevelHPa: model.Known[model.Hectopascals](998.2), StationHPa: model.Known[model.Hectopascals](987.1),
		Rain: model.Known(model.Rain{Mm: 0.4, OverH: 1}), CloudOktas: model.Known(7), Thunder: model.ThunderNow, Raw: text,
	}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("observation (-want +got):\n%s", diff)
	}
	if len(warnings) != 0 {
		t.Errorf("warnings %q", warnings)
	}
}

func TestWind(t *testing.T) {
	speed, from := model.Known[model.MetresPerSecond], model.Known[model.Degrees]
	noSpeed, noDirection := model.Maybe[model.MetresPerSecond]{}, model.Maybe[model.Degrees]{}
	for _, c := range []struct {
		name, wind string
		speed      model.Maybe[model.MetresPerSecond]
		from       model.Maybe[model.Degrees]
	}{
		{"normal", "240 1 N 0050 1", speed(5), from(240)},
		{"north", "360 1 N 0050 1", speed(5), from(0)},
		{"calm", "999 9 C 0000 1", speed(0), noDirection},
		{"calm without a type", "999 9 9 0000 1", speed(0), noDirection},
		{"the calm code with a missing speed is missing", "999 9 C 9999 9", noSpeed, noDirection},
		{"all missing", "999 9 9 9999 9", noSpeed, noDirection},
		{"variable", "999 9 V 0021 1", speed(2.1), noDirection},
		{"variable about a direction, as 28008KT 230V290", "280 1 V 0041 1", speed(4.1), from(280)},
		{"a calm with a direction", "280 1 C 0000 1", speed(0), noDirection},
		{"a direction without a speed", "240 1 N 9999 9", noSpeed, from(240)},
		{"an erroneous speed", "240 1 N 0500 3", noSpeed, from(240)},
		{"an erroneous direction", "240 7 N 0050 1", speed(5), noDirection},
		{"a direction of 400", "400 1 N 0050 1", speed(5), noDirection},
	} {
		_, got, _ := parse(t, row{wind: c.wind}.String())
		if got[0].WindMps != c.speed || got[0].WindFromDeg != c.from {
			t.Errorf("%s: %+v %+v, want %+v %+v", c.name, got[0].WindMps, got[0].WindFromDeg, c.speed, c.from)
		}
	}
}

func TestQualityMarks(t *testing.T) {
	for _, mark := range "01459ACIMPRU" {
		_, got, _ := parse(t, row{air: "+0071 " + string(mark) + " +0052 1 10133 1"}.String())
		if got[0].AirC != model.Known[model.Celsius](7.1) || got[0].LowTrust {
			t.Errorf("mark %c: %+v, low trust %v; want 7.1, trusted", mark, got[0].AirC, got[0].LowTrust)
		}
	}
	for _, mark := range "26" {
		_, got, _ := parse(t, row{air: "+0071 " + string(mark) + " +0052 1 10133 1"}.String())
		if !got[0].AirC.Known || !got[0].LowTrust {
			t.Errorf("mark %c: %+v, low trust %v; want the value, and little trust", mark, got[0].AirC, got[0].LowTrust)
		}
	}
	for _, mark := range "37x" {
		_, got, _ := parse(t, row{air: "+0071 " + string(mark) + " +0052 1 10133 1"}.String())
		if got[0].AirC.Known || got[0].LowTrust || !got[0].DewC.Known {
			t.Errorf("mark %c: %+v; want the temperature missing and the dew point there", mark, got[0].AirC)
		}
	}
	if _, got, _ := parse(t, row{air: "+9999 2 +9999 9 99999 2"}.String()); got[0].LowTrust || got[0].AirC.Known || got[0].SeaLevelHPa.Known {
		t.Errorf("%+v: a missing value cannot be suspect", got[0])
	}
}

func TestItems(t *testing.T) {
	rain := func(mm model.Millimetres, h float64) model.Maybe[model.Rain] {
		return model.Known(model.Rain{Mm: mm, OverH: h})
	}
	for _, c := range []struct {
		name, items string
		rain        model.Maybe[model.Rain]
		cloud       model.Maybe[int]
		gust        model.Maybe[model.MetresPerSecond]
		qnh         model.Maybe[model.Hectopascals]
		wholeHPa    bool
		thunder     model.Thunder
		lowTrust    bool
	}{
		{name: "none"},
		{name: "a trace", items: "AA1 06 0000 2 1", rain: rain(0, 6)},
		{name: "a trace without a depth", items: "AA1 06 9999 2 9", rain: rain(0, 6)},
		{name: "a trace over no known time", items: "AA1 99 9999 2 9"},
		{name: "no rain", items: "AA1 06 0000 9 1", rain: rain(0, 6)},
		{name: "no known period", items: "AA1 99 0004 9 1"},
		{name: "missing", items: "AA1 01 9999 9 9"},
		{name: "thirteen millimetres in twelve hours, sixteen in the day", items: "AA1 12 0130 3 1 AA2 24 0161 3 1", rain: rain(13, 12)},
		{name: "an incomplete amount", items: "AA1 06 0020 I 1"},
		{name: "an estimate", items: "AA1 06 0020 E 1", rain: rain(2, 6), lowTrust: true},
		{name: "an erroneous amount", items: "AA1 06 0020 9 3"},
		{name: "a gust below the least that is reported", items: "OC1 0049 1"},
		{name: "a missing gust", items: "OC1 9999 9"},
		{name: "a suspect gust", items: "OC1 0180 2", gust: model.Known[model.MetresPerSecond](18), lowTrust: true},
		{name: "a clear sky", items: "GF1 00 99 1 00 1 00 1 99999 9 00 1 00 1", cloud: model.Known(0)},
		{name: "a sky that cannot be seen", items: "GF1 09 99 1 09 1 99 9 00050 1 99 9 99 9"},
		{name: "no cloud report", items: "GF1 99 99 9 99 9 99 9 99999 9 99 9 99 9"},
		{name: "a setting in whole hectopascals", items: "MA1 10130 1 99999 9", qnh: model.Known[model.Hectopascals](1013), wholeHPa: true},
		{name: "a setting in tenths", items: "MA1 10132 1 99999 9", qnh: model.Known[model.Hectopascals](1013.2)},
		{name: "an observer saw rain and heard nothing", items: "MW1 61 1", thunder: model.ThunderNone},
		{name: "thunder without rain", items: "MW1 17 1", thunder: model.ThunderNow},
		{name: "thunder in the second place", items: "MW1 61 1 MW2 95 1", thunder: model.ThunderNow},
		{name: "thunder in the last hour", items: "MW1 29 1", thunder: model.ThunderRecent},
		{name: "rain now, thunder in the last hour", items: "MW1 91 1", thunder: model.ThunderRecent},
		{name: "lightning without thunder", items: "MW1 13 1", thunder: model.ThunderVicinity},
		{name: "a machine says rain, which proves nothing", items: "AW1 61 1", thunder: model.ThunderUnknown},
		{name: "a machine says thunder", items: "AW1 10 1 AW2 92 1", thunder: model.ThunderNow},
		{name: "an erroneous code", items: "MW1 95 3", thunder: model.ThunderUnknown},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, got, warnings := parse(t, row{items: c.items, rest: "REMSYN004GF10899"}.String())
			o := got[0]
			if o.Rain != c.rain || o.CloudOktas != c.cloud || o.GustMps != c.gust || o.QNHHPa != c.qnh || o.WholeHPa != c.wholeHPa || o.Thunder != c.thunder || o.LowTrust != c.lowTrust {
				t.Errorf("%+v, want %+v (warnings %q)", o, c, warnings)
			}
		})
	}
}
