package isdlite_test

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/isdlite"
	"osier/model"
)

var station = model.Station{ID: "999991-99999", Source: "isd-lite", LatDeg: 53, LonDeg: -1.5}

// sample is typed in the published layout; the figures are invented. The
// columns: air, dew point, sea-level pressure, direction, speed, sky, rain of one
// and of six hours.
const sample = `2016 03 07 12    71    52 10133   240    50     7     4    12
2016 03 07 13   -11   -35  9982   360   103     8    -1 -9999
2016 03 07 14     0    -1 10000     0     0     0     0     0
`

func parse(t *testing.T, text string) ([]model.Observation, []string) {
	t.Helper()
	got, warnings, err := isdlite.Parse(strings.NewReader(text), station)
	if err != nil {
		t.Fatal(err)
	}
	return got, warnings
}

func pack(t testing.TB, text string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	if _, err := z.Write([]byte(text)); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestTheSample(t *testing.T) {
	celsius, speed, pressure := model.Known[model.Celsius], model.Known[model.MetresPerSecond], model.Known[model.Hectopascals]
	raw := strings.Split(sample, "\n")
	want := []model.Observation{
		{
			At:   time.Date(2016, 3, 7, 12, 0, 0, 0, time.UTC),
			AirC: celsius(7.1), DewC: celsius(5.2), SeaLevelHPa: pressure(1013.3), WindMps: speed(5), WindFromDeg: model.Known[model.Degrees](240),
			CloudOktas: model.Known(7), Rain: model.Known(model.Rain{Mm: 0.4, OverH: 1}),
		},
		{ // north, and a trace of rain
			At:   time.Date(2016, 3, 7, 13, 0, 0, 0, time.UTC),
			AirC: celsius(-1.1), DewC: celsius(-3.5), SeaLevelHPa: pressure(998.2), WindMps: speed(10.3), WindFromDeg: model.Known[model.Degrees](0),
			CloudOktas: model.Known(8), Rain: model.Known(model.Rain{Mm: 0, OverH: 1}),
		},
		{ // zeros are values: frost, calm, clear, dry
			At:   time.Date(2016, 3, 7, 14, 0, 0, 0, time.UTC),
			AirC: celsius(0), DewC: celsius(-0.1), SeaLevelHPa: pressure(1000), WindMps: speed(0),
			CloudOktas: model.Known(0), Rain: model.Known(model.Rain{Mm: 0, OverH: 1}),
		},
	}
	for i := range want {
		want[i].Station, want[i].Source, want[i].Raw = "999991-99999", "isd-lite", raw[i]
	}
	for name, body := range map[string][]byte{
		"plain":             []byte(sample),
		"packed":            pack(t, sample),
		"with ends of DOS":  []byte(strings.ReplaceAll(sample, "\n", "\r\n")),
		"out of order":      []byte(raw[2] + "\n" + raw[0] + "\n\n" + raw[1]),
		"with spaces after": []byte(strings.ReplaceAll(sample, "\n", "  \n")),
	} {
		got, warnings, err := isdlite.Parse(bytes.NewReader(body), station)
		if err != nil || len(warnings) != 0 {
			t.Errorf("%s: error %v, warnings %q", name, err, warnings)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
}

func TestValues(t *testing.T) {
	speed, from := model.Known[model.MetresPerSecond], model.Known[model.Degrees]
	rain := func(mm model.Millimetres, h float64) model.Maybe[model.Rain] {
		return model.Known(model.Rain{Mm: mm, OverH: h})
	}
	for _, c := range []struct {
		name, columns string // from the direction on
		speed         model.Maybe[model.MetresPerSecond]
		from          model.Maybe[model.Degrees]
		cloud         model.Maybe[int]
		rain          model.Maybe[model.Rain]
	}{
		{name: "all missing", columns: " -9999 -9999 -9999 -9999 -9999"},
		{name: "calm", columns: "     0     0 -9999 -9999 -9999", speed: speed(0)},
		{name: "calm without a speed is missing", columns: "     0 -9999 -9999 -9999 -9999"},
		{name: "a speed without a direction", columns: " -9999    21 -9999 -9999 -9999", speed: speed(2.1)},
		{name: "a direction without a speed", columns: "   240 -9999 -9999 -9999 -9999", from: from(240)},
		{name: "a direction of nothing", columns: "   240     0 -9999 -9999 -9999", speed: speed(0)},
		{name: "a clear sky", columns: " -9999 -9999     0 -9999 -9999", cloud: model.Known(0)},
		{name: "a sky that cannot be seen", columns: " -9999 -9999     9 -9999 -9999"},
		{name: "a sky in words", columns: " -9999 -9999    19 -9999 -9999"},
		{name: "six hours of rain", columns: " -9999 -9999 -9999 -9999   124", rain: rain(12.4, 6)},
		{name: "a trace in six hours", columns: " -9999 -9999 -9999 -9999    -1", rain: rain(0, 6)},
		{name: "one hour says more than six", columns: " -9999 -9999 -9999    10   124", rain: rain(1, 1)},
		{name: "a dry hour in six wet ones", columns: " -9999 -9999 -9999     0   124", rain: rain(0, 1)},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, warnings := parse(t, "2016 03 07 12 -9999 -9999 -9999"+c.columns)
			o := got[0]
			if o.WindMps != c.speed || o.WindFromDeg != c.from || o.CloudOktas != c.cloud || o.Rain != c.rain || len(warnings) != 0 {
				t.Errorf("%+v, warnings %q; want %+v", o, warnings, c)
			}
			if o.AirC.Known || o.DewC.Known || o.SeaLevelHPa.Known {
				t.Errorf("%+v; want what is missing missing", o)
			}
		})
	}
}

func TestABadLineCostsOneLine(t *testing.T) {
	const rest = "    71    52 10133   240    50     7     4    12"
	for _, c := range []struct{ name, line, says string }{
		{"cut off", "2016 03 07 15    71    52 10133", "it has 31 characters, 61 are right"},
		{"a column too many", "2016 03 07 15" + rest + "     0", "it has 67 characters"},
		{"the 31st of April", "2016 04 31 15" + rest, `"2016 04 31 15" is no hour`},
		{"the hour 24", "2016 03 07 24" + rest, "is no hour"},
		{"no date", "yyyy mm dd hh" + rest, "is no hour"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, warnings := parse(t, sample+c.line+"\n")
			if len(got) != 3 || len(warnings) != 1 || !strings.HasPrefix(warnings[0], "line 4: left out: ") || !strings.Contains(warnings[0], c.says) {
				t.Errorf("%d reports, warnings %q; want three, and a warning about line 4 that says %q", len(got), warnings, c.says)
			}
		})
	}
}

func TestABadValueCostsOneValue(t *testing.T) {
	for _, c := range []struct{ was, is, says string }{
		{"    71", "  7x.1", `line 1: air temperature "7x.1" is no number; left out`},
		{"    71", "      ", `line 1: air temperature "" is no number; left out`},
		{"    71", "   999", "line 1: air temperature 99.9 is outside -93.2 to 61.8 C; left out"},
		{"    71", " 99999", "line 1: air temperature 9999.9 is outside -93.2 to 61.8 C; left out"},
		{"   240", "   400", "line 1: wind direction 400 is outside 0 to 360 degrees; left out"},
		{"     7", "    20", "line 1: sky code 20 is outside 0 to 19 of its table; left out"},
		{"     4", "    -2", "line 1: rain of one hour -0.2 is outside -0.1 to 999.8 mm; left out"},
	} {
		got, warnings := parse(t, strings.Replace(sample, c.was, c.is, 1))
		if len(warnings) != 1 || warnings[0] != c.says {
			t.Errorf("warnings %q, want %q", warnings, c.says)
		}
		if got[0].DewC != model.Known[model.Celsius](5.2) {
			t.Errorf("%s: %+v; want the other values kept", c.says, got[0])
		}
	}
}

func TestTheLastLineOfAnHourHolds(t *testing.T) {
	got, warnings := parse(t, sample+strings.Replace(sample[:62], "    71", "    90", 1))
	if len(got) != 3 || got[0].AirC != model.Known[model.Celsius](9) {
		t.Errorf("%d reports, the first %+v; want three and 9 C", len(got), got[0])
	}
	if len(warnings) != 1 || !strings.HasPrefix(warnings[0], "1 reports are left out") {
		t.Errorf("warnings %q", warnings)
	}
}

func TestWhatIsNoStationYear(t *testing.T) {
	for _, c := range []struct {
		name string
		body []byte
		want string
	}{
		{"nothing", nil, "it is empty"},
		{"a web page", []byte("<!DOCTYPE html>\n<html></html>\n"), "a web page"},
		{"something else", []byte("STATION,DATE\n"), "no line of it can be read; the first: line 1"},
		{"packed and cut off", pack(t, sample)[:40], "it breaks off"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, _, err := isdlite.Parse(bytes.NewReader(c.body), station)
			if err == nil || !strings.Contains(err.Error(), c.want) || model.CodeOf(err) != model.Invalid || got != nil {
				t.Errorf("%d reports, error %v; want none and one that says %q", len(got), err, c.want)
			}
		})
	}
}

func TestURL(t *testing.T) {
	got, err := isdlite.URL("014160-99999", 2016)
	if want := "https://www.ncei.noaa.gov/pub/data/noaa/isd-lite/2016/014160-99999-2016.gz"; got != want || err != nil {
		t.Errorf("%q, %v; want %q", got, err, want)
	}
	for station, year := range map[string]int{"014160": 2016, "../../x-99999": 2016, "014160-99999": 1900} {
		if got, err := isdlite.URL(station, year); err == nil {
			t.Errorf("%s in %d: %q, want an error", station, year, got)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(sample))
	f.Add([]byte("2016 03 07 12 -9999 -9999 -9999 -9999 -9999 -9999    -1    -1"))
	f.Add(pack(f, sample))
	f.Fuzz(func(t *testing.T, body []byte) {
		got, _, err := isdlite.Parse(bytes.NewReader(body), station)
		if (err == nil) != (len(got) > 0) {
			t.Errorf("%d reports, error %v", len(got), err)
		}
		for i, o := range got {
			if i > 0 && !o.At.After(got[i-1].At) || !o.At.Equal(o.At.Truncate(time.Hour)) || o.At.Location() != time.UTC {
				t.Errorf("report %d at %v", i, o.At)
			}
			for _, v := range []float64{float64(o.AirC.Value), float64(o.DewC.Value), float64(o.WindMps.Value), float64(o.SeaLevelHPa.Value)} {
				if math.IsNaN(v) || math.Abs(v) > 1100 {
					t.Errorf("value %v", v)
				}
			}
			if o.WindFromDeg.Value < 0 || o.WindFromDeg.Value >= 360 || o.Rain.Value.Mm < 0 || o.CloudOktas.Value < 0 || o.CloudOktas.Value > 8 {
				t.Errorf("%+v", o)
			}
			if _, err := json.Marshal(o); err != nil {
				t.Errorf("it cannot be written: %v", err)
			}
		}
	})
}
