package ghcnh_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"math"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/ghcnh"
	"osier/model"
)

// elements are the columns of the tables written here, in the archive's order;
// each has five more for its codes.
var elements = []string{
	"temperature", "dew_point_temperature", "station_level_pressure", "sea_level_pressure", "wind_direction", "wind_speed", "wind_gust",
	"precipitation", "pres_wx_MW1", "pres_wx_MW2", "pres_wx_AU1", "pres_wx_AW1", "visibility", "altimeter", "precipitation_3_hour", "precipitation_24_hour", "remarks",
}

// The headings of a table of all years and of one of a single year.
const (
	allYears = "Station_ID|Station_name|Year|Month|Day|Hour|Minute|Latitude|Longitude|Elevation"
	oneYear  = "STATION|Station_name|DATE|LATITUDE|LONGITUDE|ELEVATION"
)

func heading(start string) string {
	names := []string{start}
	for _, e := range elements {
		names = append(names, e, e+"_Measurement_Code", e+"_Quality_Code", e+"_Report_Type", e+"_Source_Code", e+"_Source_Station_ID")
	}
	return strings.Join(names, "|")
}

// start is how every row begins whose place in the table does not matter.
const start = "UKX00099999|ALDER FIELD|2016|03|07|12|00|53.0000|-1.5000|95.0"

// values are the cells of a row: value, measurement code, quality code and
// source of an element, parted by bars as in the table.
type values map[string]string

func row(start string, v values) string {
	cells := []string{start}
	for _, e := range elements {
		parts := append(strings.Split(v[e], "|"), "", "", "", "")
		cells = append(cells, parts[0], parts[1], parts[2], "FM12-SYNOP", parts[3], "999991-99999")
	}
	return strings.Join(cells, "|")
}

func table(rows ...string) string { return heading(allYears) + "\n" + strings.Join(rows, "\n") + "\n" }

func parse(t *testing.T, text string) (model.Station, []model.Observation, []string) {
	t.Helper()
	s, o, w, err := ghcnh.Parse(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return s, o, w
}

var everything = values{
	"temperature": "-1.1||5|344", "dew_point_temperature": "-3.5||5|344", "station_level_pressure": "987.1||5|344", "sea_level_pressure": "998.2||5|344",
	"wind_direction": "360|N-Normal|5|344", "wind_speed": "10.3|N-Normal|5|344", "wind_gust": "16.4||5|344", "precipitation": "0.4|3-Measurab|5|344",
	"pres_wx_MW1": "+TSRA:95||5|344", "visibility": "16.093|N-Not-vari|5|344", "altimeter": "998.6||5|344", "precipitation_3_hour": "1.2|3-Measurab|5|344",
	"remarks": "MET022METAR EGXX 071200Z\t=||F|344",
}

func TestARowWithEverything(t *testing.T) {
	want := []model.Observation{{
		Station: "UKX00099999", Source: "ghcnh", At: time.Date(2016, 3, 7, 12, 0, 0, 0, time.UTC),
		AirC: model.Known[model.Celsius](-1.1), DewC: model.Known[model.Celsius](-3.5),
		WindMps: model.Known[model.MetresPerSecond](10.3), WindFromDeg: model.Known[model.Degrees](0), GustMps: model.Known[model.MetresPerSecond](16.4),
		QNHHPa: model.Known[model.Hectopascals](998.6), SeaLevelHPa: model.Known[model.Hectopascals](998.2), StationHPa: model.Known[model.Hectopascals](987.1),
		Rain: model.Known(model.Rain{Mm: 0.4, OverH: 1}), Thunder: model.ThunderNow, Raw: "MET022METAR EGXX 071200Z =",
	}}
	wantStation := model.Station{ID: "UKX00099999", Source: "ghcnh", Name: "ALDER FIELD", LatDeg: 53, LonDeg: -1.5, ElevationM: model.Known[model.Metres](95)}
	for name, text := range map[string]string{
		"a table of all years":                  table(row(start, everything)),
		"a table of one year":                   heading(oneYear) + "\n" + row("UKX00099999|ALDER FIELD|2016-03-07T12:00:00|53.0000|-1.5000|95.0", everything),
		"with ends of DOS":                      strings.ReplaceAll(table(row(start, everything)), "\n", "\r\n"),
		"its remarks named as in the full form": strings.ReplaceAll(table(row(start, everything)), "|remarks|", "|REM|"),
	} {
		station, got, warnings := parse(t, text)
		if diff := cmp.Diff(wantStation, station); diff != "" {
			t.Errorf("%s: station (-want +got):\n%s", name, diff)
		}
		if diff := cmp.Diff(want, got); diff != "" || len(warnings) != 0 {
			t.Errorf("%s: warnings %q, observation (-want +got):\n%s", name, warnings, diff)
		}
	}
}

func TestNothingIsMissing(t *testing.T) {
	_, got, warnings := parse(t, table(row(start, values{"temperature": "0.0||1|344"})))
	want := []model.Observation{{Station: "UKX00099999", Source: "ghcnh", At: time.Date(2016, 3, 7, 12, 0, 0, 0, time.UTC), AirC: model.Known[model.Celsius](0)}}
	if diff := cmp.Diff(want, got); diff != "" || len(warnings) != 0 {
		t.Errorf("warnings %q, observation (-want +got):\n%s", warnings, diff)
	}
}

func TestWind(t *testing.T) {
	speed, from := model.Known[model.MetresPerSecond], model.Known[model.Degrees]
	noSpeed, noDirection := model.Maybe[model.MetresPerSecond]{}, model.Maybe[model.Degrees]{}
	for _, c := range []struct {
		name, direction, speed string
		wantSpeed              model.Maybe[model.MetresPerSecond]
		wantFrom               model.Maybe[model.Degrees]
	}{
		{"normal", "240|N-Normal|5|344", "5.1|N-Normal|5|344", speed(5.1), from(240)},
		{"no codes", "120|||393", "5.8|||393", speed(5.8), from(120)},
		{"north", "360|N-Normal|5|344", "5.1|N-Normal|5|344", speed(5.1), from(0)},
		{"calm", "|C-Calm|5|344", "0.0|C-Calm|5|344", speed(0), noDirection},
		{"calm with a direction of 0", "000|C-Calm|5|344", "0.0|C-Calm|5|344", speed(0), noDirection},
		{"calm by its letter alone", "|C||344", "0.0|C||344", speed(0), noDirection},
		{"calm with a direction", "240|||393", "0.0|||393", speed(0), noDirection},
		{"the calm code with a missing speed is missing", "|C-Calm||344", "|C-Calm||344", noSpeed, noDirection},
		{"variable", "VRB|V-Variable|5|344", "1.0|V-Variable|5|344", speed(1), noDirection},
		{"variable about a direction", "280|V-Variable|5|344", "4.1|V-Variable|5|344", speed(4.1), from(280)},
		{"a direction in nines", "999|9-Missing|9|344", "2.1|9-Missing|1|344", speed(2.1), noDirection},
		{"a direction of 0 that no calm explains", "000|||393", "2.1|||393", speed(2.1), noDirection},
		{"a direction without a speed", "240|||393", "", noSpeed, from(240)},
		{"an erroneous speed", "240||5|344", "50.0||7|344", noSpeed, from(240)},
		{"an erroneous direction", "240||3|344", "5.1||5|344", speed(5.1), noDirection},
	} {
		_, got, warnings := parse(t, table(row(start, values{"temperature": "1.0", "wind_direction": c.direction, "wind_speed": c.speed})))
		if got[0].WindMps != c.wantSpeed || got[0].WindFromDeg != c.wantFrom || len(warnings) != 0 {
			t.Errorf("%s: %+v %+v, warnings %q; want %+v %+v", c.name, got[0].WindMps, got[0].WindFromDeg, warnings, c.wantSpeed, c.wantFrom)
		}
	}
}

// A digit means the same from every source; a letter is a hand's work where the
// value came from the Integrated Surface Data and a failed check elsewhere.
func TestQualityCodes(t *testing.T) {
	for _, c := range []struct {
		quality, source  string
		usable, lowTrust bool
	}{
		{"", "393", true, false},
		{"", "344", true, false},
		{"0", "223", true, false},
		{"1", "223", true, false},
		{"4", "344", true, false},
		{"5", "344", true, false},
		{"9", "344", true, false},
		{"2", "344", true, true},
		{"6", "223", true, true},
		{"3", "344", false, false},
		{"7", "344", false, false},
		{"3", "223", false, false},
		{"7", "", false, false},
		{"A", "313", true, false},
		{"C", "344", true, false},
		{"I", "344", true, false},
		{"M", "344", true, false},
		{"P", "344", true, false},
		{"R", "344", true, false},
		{"U", "348", true, false},
		{"C", "312", false, false},
		{"U", "349", false, false},
		{"M", "382", false, false},
		{"A", "", false, false},
		{"o", "344", false, false},
		{"F", "344", false, false},
		{"L", "223", false, false},
		{"8", "344", false, false},
		{"15", "344", false, false},
		{"CU", "344", false, false},
	} {
		_, got, _ := parse(t, table(row(start, values{"temperature": "7.1||" + c.quality + "|" + c.source, "dew_point_temperature": "5.2"})))
		if got[0].AirC.Known != c.usable || got[0].LowTrust != c.lowTrust || !got[0].DewC.Known {
			t.Errorf("code %q of source %q: %+v, low trust %v; want known %v, low trust %v", c.quality, c.source, got[0].AirC, got[0].LowTrust, c.usable, c.lowTrust)
		}
	}
	if _, got, _ := parse(t, table(row(start, values{"temperature": "||2|344", "dew_point_temperature": "5.2"}))); got[0].LowTrust || got[0].AirC.Known {
		t.Errorf("%+v: a missing value cannot be suspect", got[0])
	}
}

func TestRain(t *testing.T) {
	rain := func(mm model.Millimetres, h float64) model.Maybe[model.Rain] {
		return model.Known(model.Rain{Mm: mm, OverH: h})
	}
	for _, c := range []struct {
		name     string
		v        values
		rain     model.Maybe[model.Rain]
		lowTrust bool
	}{
		{"none", values{}, model.Maybe[model.Rain]{}, false},
		{"dry", values{"precipitation": "0.0|||393"}, rain(0, 1), false},
		{"a depth", values{"precipitation": "1.2|3-Measurab|1|223"}, rain(1.2, 1), false},
		{"a zero that is missing", values{"precipitation": "0.0|9-Missing|9|344"}, model.Maybe[model.Rain]{}, false},
		{"a trace", values{"precipitation": "0.0|2-Trace|5|344"}, rain(0, 1), false},
		{"a trace without a figure", values{"precipitation": "|2-Trace|5|344"}, rain(0, 1), false},
		{"a trace by its letter", values{"precipitation": "0.0|T|5|344"}, rain(0, 1), false},
		{"an erroneous trace", values{"precipitation": "0.0|2-Trace|3|344"}, model.Maybe[model.Rain]{}, false},
		{"a suspect trace", values{"precipitation": "0.0|2-Trace|2|344"}, rain(0, 1), true},
		{"an estimate", values{"precipitation": "2.0|E-Estimate|5|344"}, rain(2, 1), true},
		{"a zero nobody measured", values{"precipitation": "0.0|Z-Assumed|5|344"}, model.Maybe[model.Rain]{}, false},
		{"a sum of other hours", values{"precipitation": "8.0|06-hr-accu|5|344"}, model.Maybe[model.Rain]{}, false},
		{"three hours", values{"precipitation_3_hour": "0.2|3-Measurab|0|223"}, rain(0.2, 3), false},
		{"three hours of a day", values{"precipitation_24_hour": "16.1|3-Measurab|1|223", "precipitation_3_hour": "2.0|3-Measurab|1|223"}, rain(2, 3), false},
		{"one hour says more than three", values{"precipitation": "0.0|||393", "precipitation_3_hour": "0.2|3-Measurab|0|223"}, rain(0, 1), false},
		{"three hours where the one is missing", values{"precipitation": "0.0|9-Missing|9|344", "precipitation_3_hour": "0.2|3-Measurab|0|223"}, rain(0.2, 3), false},
	} {
		c.v["temperature"] = "7.1"
		_, got, warnings := parse(t, table(row(start, c.v)))
		if got[0].Rain != c.rain || got[0].LowTrust != c.lowTrust || len(warnings) != 0 {
			t.Errorf("%s: %+v, low trust %v, warnings %q; want %+v, low trust %v", c.name, got[0].Rain, got[0].LowTrust, warnings, c.rain, c.lowTrust)
		}
	}
}

func TestThunder(t *testing.T) {
	for _, c := range []struct {
		name string
		v    values
		want model.Thunder
	}{
		{"nothing said", values{}, model.ThunderUnknown},
		{"an observer saw rain and heard nothing", values{"pres_wx_MW1": "RA:61"}, model.ThunderNone},
		{"an observer heard it", values{"pres_wx_MW1": "TS:17"}, model.ThunderNow},
		{"in the second place", values{"pres_wx_MW1": "RA:61", "pres_wx_MW2": "+TSRA:97"}, model.ThunderNow},
		{"in the last hour, by the number", values{"pres_wx_MW1": "TS:29"}, model.ThunderRecent},
		{"rain now, thunder in the last hour", values{"pres_wx_MW1": "TSRA:91"}, model.ThunderRecent},
		{"lightning without thunder", values{"pres_wx_MW1": "LTG:13"}, model.ThunderVicinity},
		{"a number alone", values{"pres_wx_MW1": "95"}, model.ThunderNow},
		{"words alone", values{"pres_wx_MW1": "-TSRA"}, model.ThunderNow},
		{"an erroneous code", values{"pres_wx_MW1": "TS:95||3|344"}, model.ThunderUnknown},
		{"a machine says rain, which proves nothing", values{"pres_wx_AW1": "RA:61"}, model.ThunderUnknown},
		{"a machine says thunder", values{"pres_wx_AW1": "TS:90"}, model.ThunderNow},
		{"a machine says thunder in the last hour", values{"pres_wx_AW1": "TS:26"}, model.ThunderRecent},
		{"a machine says thunder nearby", values{"pres_wx_AU1": "VCTS:7"}, model.ThunderVicinity},
		{"a number that is no weather of a table", values{"pres_wx_AU1": "-RA:95"}, model.ThunderUnknown},
		{"a machine says thunder and an observer rain", values{"pres_wx_AU1": "TS:7", "pres_wx_MW1": "RA:61"}, model.ThunderNow},
	} {
		c.v["temperature"] = "7.1"
		if _, got, warnings := parse(t, table(row(start, c.v))); got[0].Thunder != c.want || len(warnings) != 0 {
			t.Errorf("%s: %q, warnings %q; want %q", c.name, got[0].Thunder, warnings, c.want)
		}
	}
}

func TestWholeHectopascals(t *testing.T) {
	for setting, want := range map[string]bool{"1013.0": true, "1013.2": false, "": false} {
		if _, got, _ := parse(t, table(row(start, values{"temperature": "7.1", "altimeter": setting}))); got[0].WholeHPa != want {
			t.Errorf("setting %q: whole %v, want %v", setting, got[0].WholeHPa, want)
		}
	}
}

func TestABadRowCostsOneRow(t *testing.T) {
	good := values{"temperature": "7.1"}
	at := func(when string) string { return strings.Replace(row(start, good), "2016|03|07|12|00", when, 1) }
	for _, c := range []struct{ name, row, says string }{
		{"cut off", at("2016|03|07|13|00")[:200], "cells and the heading"},
		{"a cell too many", at("2016|03|07|13|00") + "|", "it has 113 cells and the heading 112"},
		{"the 31st of April", at("2016|04|31|13|00"), `"2016-04-31T13:00:00" is no time`},
		{"no minute", at("2016|03|07|13|"), "is no time"},
		{"the year 16", at("0016|03|07|13|00"), "is no time"},
		{"another station", strings.Replace(at("2016|03|07|13|00"), "UKX00099999", "UKX00099998", 1), "of station UKX00099998"},
		{"no station", strings.Replace(at("2016|03|07|13|00"), "UKX00099999", "", 1), `"" is no station`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, got, warnings := parse(t, table(row(start, good), c.row, at("2016|03|07|14|00")))
			if len(got) != 2 || len(warnings) != 1 || !strings.HasPrefix(warnings[0], "line 3: left out: ") || !strings.Contains(warnings[0], c.says) {
				t.Errorf("%d reports, warnings %q; want two, and a warning about line 3 that says %q", len(got), warnings, c.says)
			}
		})
	}
}

func TestABadValueCostsOneValue(t *testing.T) {
	for value, says := range map[string]string{
		"warm":  `line 2: temperature "warm" is no number; left out`,
		"99":    "line 2: temperature 99 is outside -93.2 to 61.8 C; left out",
		"-9999": "line 2: temperature -9999 is outside -93.2 to 61.8 C; left out",
		"NaN":   "line 2: temperature NaN is outside -93.2 to 61.8 C; left out",
		"Inf":   "line 2: temperature +Inf is outside -93.2 to 61.8 C; left out",
	} {
		_, got, warnings := parse(t, table(row(start, values{"temperature": value, "dew_point_temperature": "5.2"})))
		if got[0].AirC.Known || got[0].DewC != model.Known[model.Celsius](5.2) || len(warnings) != 1 || warnings[0] != says {
			t.Errorf("%s: %+v, warnings %q; want only the temperature missing, and %q", value, got[0], warnings, says)
		}
	}
	if _, got, _ := parse(t, table(row(start, values{"temperature": "-0.0"}))); math.Signbit(float64(got[0].AirC.Value)) {
		t.Error("freezing is written -0")
	}
}

func TestRowsOutOfOrderEmptyAndTwice(t *testing.T) {
	at := func(hour, air string) string {
		return strings.Replace(row(start, values{"temperature": air}), "|12|00|", "|"+hour+"|00|", 1)
	}
	_, got, warnings := parse(t, table(at("14", "3.0"), at("13", "2.0"), at("15", ""), at("13", "2.5")))
	if len(got) != 2 || got[0].AirC != model.Known[model.Celsius](2.5) || got[1].AirC != model.Known[model.Celsius](3) {
		t.Errorf("%+v; want 13 and 14 h, the first as the last row has it", got)
	}
	if len(warnings) != 1 || !strings.HasPrefix(warnings[0], "1 reports are left out") {
		t.Errorf("warnings %q", warnings)
	}
	if _, got, warnings := parse(t, table(at("12", ""))); len(got) != 0 || len(warnings) != 0 {
		t.Errorf("%d reports, warnings %q of a table whose station was silent; want none", len(got), warnings)
	}
}

func TestAPlaceThatIsNotKnown(t *testing.T) {
	lost := strings.Replace(start, "53.0000|-1.5000|95.0", "||-999.9", 1)
	station, _, warnings := parse(t, table(row(start, everything), row(strings.Replace(lost, "|12|00|", "|13|00|", 1), everything)))
	if station.LatDeg != 53 || station.ElevationM != model.Known[model.Metres](95) || len(warnings) != 0 {
		t.Errorf("%+v, warnings %q; want the place of the row that gives one", station, warnings)
	}
	if station, _, _ := parse(t, table(row(strings.Replace(start, "95.0", "-999.9", 1), everything))); station.ElevationM.Known {
		t.Errorf("height %+v, want none", station.ElevationM)
	}
}

func TestWhatIsNoStationTable(t *testing.T) {
	lost := strings.Replace(start, "53.0000", "", 1)
	whole := table(row(start, everything))
	for _, c := range []struct {
		name string
		from io.Reader
		want string
	}{
		{"nothing", strings.NewReader(""), "it is empty"},
		{"a web page", strings.NewReader("<!DOCTYPE html>\n<html></html>\n"), "a web page"},
		{"a heading and nothing else", strings.NewReader(heading(allYears) + "\n"), "it has no rows"},
		{"no heading", strings.NewReader(row(start, everything)), "Station_ID among them"},
		{"no time", strings.NewReader(strings.Replace(whole, "|Minute|", "|Second|", 1)), "Minute among them"},
		{"no wind", strings.NewReader(strings.Replace(whole, "|wind_speed|", "|speed|", 1)), "wind_speed among them"},
		{"no quality codes", strings.NewReader(strings.Replace(whole, "|temperature_Quality_Code|", "|Quality|", 1)), "temperature_Quality_Code among them"},
		{"no row that can be read", strings.NewReader(table("x")), "no row of it can be read; the first: line 2"},
		{"no position", strings.NewReader(table(row(lost, everything))), "where the station is"},
		{"a line without end", strings.NewReader(table(strings.Repeat("x", 100_000))), "longer than 64 KiB"},
		{"broken off", io.MultiReader(strings.NewReader(whole), iotest.ErrReader(errors.New("connection lost"))), "it breaks off"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, got, _, err := ghcnh.Parse(c.from)
			if err == nil || !strings.Contains(err.Error(), c.want) || model.CodeOf(err) != model.Invalid || got != nil {
				t.Errorf("%d reports, error %v; want none and one that says %q", len(got), err, c.want)
			}
		})
	}
}

func TestURL(t *testing.T) {
	got, err := ghcnh.URL("USW00026442", 2005)
	if want := "https://www.ncei.noaa.gov/oa/global-historical-climatology-network/hourly/access/by-year/2005/psv/GHCNh_USW00026442_2005.psv"; got != want || err != nil {
		t.Errorf("%q, %v; want %q", got, err, want)
	}
	for station, year := range map[string]int{"702750-26442": 2005, "../../../../": 2005, "USW00026442": 1600} {
		if got, err := ghcnh.URL(station, year); err == nil {
			t.Errorf("%s in %d: %q, want an error", station, year, got)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(table(row(start, everything))))
	f.Add([]byte(table(row(start, values{"temperature": "NaN", "wind_direction": "VRB", "precipitation": "0.0|9-Missing", "pres_wx_AW1": "TS:26"}))))
	f.Add([]byte(heading(oneYear) + "\n" + row("UKX00099999|ALDER FIELD|2016-03-07T12:00:00Z|53.0000|-1.5000|95.0", everything)))
	f.Fuzz(func(t *testing.T, body []byte) {
		station, got, _, err := ghcnh.Parse(bytes.NewReader(body))
		if err != nil {
			if got != nil {
				t.Errorf("%d reports with error %v", len(got), err)
			}
			return
		}
		if _, err := ghcnh.URL(station.ID, 2016); err != nil || !(math.Abs(station.LatDeg) <= 90 && math.Abs(station.LonDeg) <= 180) {
			t.Errorf("station %+v", station)
		}
		for i, o := range got {
			if i > 0 && !o.At.After(got[i-1].At) || o.At.Location() != time.UTC || o.Station != station.ID {
				t.Errorf("report %d: %+v", i, o)
			}
			if o.WindFromDeg.Value < 0 || o.WindFromDeg.Value >= 360 || o.Rain.Value.Mm < 0 {
				t.Errorf("%+v", o)
			}
			if _, err := json.Marshal(o); err != nil {
				t.Errorf("it cannot be written: %v", err)
			}
		}
	})
}
