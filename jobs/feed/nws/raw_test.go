package nws_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/metar"
	"osier/jobs/feed/nws"
	"osier/model"
)

// preferRaw does what the caller does: it decodes the raw report, dates it by
// the JSON and prefers it.
func preferRaw(r nws.Report) (model.Observation, error) {
	raw, err := metar.Decode(r.Observation.Raw)
	if err != nil {
		return r.Observation, err
	}
	at, err := metar.ResolveTime(raw.Day, raw.Hour, raw.Minute, r.Observation.At)
	if err != nil {
		return r.Observation, err
	}
	return r.Prefer(raw.Observation(at, nws.Source))
}

// one makes an answer of one report with the raw text and the properties given.
func one(raw, properties string) []byte {
	return fmt.Appendf(nil, `{"type": "Feature", "geometry": {"coordinates": [-1.5, 53.25]}, "properties": {
		"stationId": "KXXA", "timestamp": "2026-03-04T17:53:00+00:00", "rawMessage": %q%s}}`, raw, properties)
}

// parseOne reads such an answer, which must be without fault.
func parseOne(t *testing.T, raw, properties string) nws.Report {
	t.Helper()
	got, warnings, err := nws.Parse(one(raw, properties))
	if err != nil || len(got) != 1 || len(warnings) != 0 {
		t.Fatalf("%d reports, warnings %q, error %v", len(got), warnings, err)
	}
	return got[0]
}

func TestTheRawReportIsPreferred(t *testing.T) {
	const full = `, "temperature": {"unitCode": "wmoUnit:degC", "value": 7, "qualityControl": "V"},
		"dewpoint": {"unitCode": "wmoUnit:degC", "value": 5, "qualityControl": "V"},
		"windDirection": {"unitCode": "wmoUnit:degree_(angle)", "value": 90, "qualityControl": "V"},
		"windSpeed": {"unitCode": "wmoUnit:km_h-1", "value": 36, "qualityControl": "V"},
		"windGust": {"unitCode": "wmoUnit:km_h-1", "value": 72, "qualityControl": "V"},
		"barometricPressure": {"unitCode": "wmoUnit:Pa", "value": 100000, "qualityControl": "V"},
		"seaLevelPressure": {"unitCode": "wmoUnit:Pa", "value": 100100, "qualityControl": "V"},
		"precipitationLastHour": {"unitCode": "wmoUnit:mm", "value": 1, "qualityControl": "V"},
		"cloudLayers": [{"amount": "OVC"}]`
	const kt = 1852.0 / 3600 // m/s
	for _, c := range []struct {
		name, raw string
		change    func(o *model.Observation) // of what the JSON holds
	}{
		{"everything", "METAR COR KXXA 041753Z 22012G20KT 5SM TSRA FEW040 08/06 A2992 RMK AO2 SLP140 $", func(o *model.Observation) {
			o.AirC, o.DewC, o.WindMps, o.WindFromDeg, o.GustMps = celsius(8), celsius(6), mps(12*kt), degrees(220), mps(20*kt)
			o.QNHHPa, o.SeaLevelHPa, o.CloudOktas = hPa(29.92*33.86388640341), hPa(1014), model.Known(2)
			o.Thunder, o.Corrected, o.LowTrust = model.ThunderNow, true, true
		}},
		{"whole hectopascals", "KXXA 041753Z Q1009", func(o *model.Observation) { o.QNHHPa, o.WholeHPa = hPa(1009), true }},
		{"a wind without a gust leaves none", "KXXA 041753Z 22012KT", func(o *model.Observation) {
			o.WindMps, o.WindFromDeg, o.GustMps = mps(12*kt), degrees(220), model.Maybe[model.MetresPerSecond]{}
			o.Thunder = model.ThunderNone
		}},
		{"a calm leaves no direction", "KXXA 041753Z 00000KT", func(o *model.Observation) {
			o.WindMps, o.WindFromDeg, o.GustMps = mps(0), model.Maybe[model.Degrees]{}, model.Maybe[model.MetresPerSecond]{}
			o.Thunder = model.ThunderNone
		}},
		{"a temperature without a dew point", "KXXA 041753Z 09/", func(o *model.Observation) {
			o.AirC, o.Thunder = celsius(9), model.ThunderNone
		}},
		{"nothing but a heading", "KXXA 041753Z", func(*model.Observation) {}},
		{"a sensor that is off proves nothing", "KXXA 041753Z AUTO 09/ RMK AO2 TSNO", func(o *model.Observation) { o.AirC = celsius(9) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			report := parseOne(t, c.raw, full)
			want := report.Observation
			c.change(&want)
			got, err := preferRaw(report)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(want, got, both); diff != "" {
				t.Errorf("observation (-want +got):\n%s", diff)
			}
		})
	}
}

func TestARawReportDoesNotBringBackWhatFailed(t *testing.T) {
	failed := func(names ...string) string {
		var b strings.Builder
		for _, name := range names {
			fmt.Fprintf(&b, `, %q: {"unitCode": "wmoUnit:x", "value": 1, "qualityControl": "X"}`, name)
		}
		return b.String()
	}
	const raw = "KXXA 041753Z 22012G20KT 08/06 A2992 RMK SLP140"
	for _, c := range []struct {
		name  string
		taken func(o model.Observation) bool // what must be missing is there
	}{
		{"temperature", func(o model.Observation) bool { return o.AirC.Known }},
		{"dewpoint", func(o model.Observation) bool { return o.DewC.Known }},
		{"windSpeed", func(o model.Observation) bool { return o.WindMps.Known }},
		{"windDirection", func(o model.Observation) bool { return o.WindFromDeg.Known }},
		{"windGust", func(o model.Observation) bool { return o.GustMps.Known }},
		{"barometricPressure", func(o model.Observation) bool { return o.QNHHPa.Known || o.WholeHPa }},
		{"seaLevelPressure", func(o model.Observation) bool { return o.SeaLevelHPa.Known }},
	} {
		for _, fails := range []bool{false, true} {
			properties := ""
			if fails {
				properties = failed(c.name)
			}
			o, err := preferRaw(parseOne(t, raw, properties))
			if err != nil || c.taken(o) == fails {
				t.Errorf("%s, failed %v: %+v, error %v", c.name, fails, o, err)
			}
		}
	}
}

func TestARawReportOfAnotherStationOrTimeIsLeftAside(t *testing.T) {
	for _, c := range []struct{ name, raw, says string }{
		{"another station", "KXXB 041753Z 22012KT 08/06", "it is of KXXB"},
		{"an hour old", "KXXA 041653Z 22012KT 08/06", "at 2026-03-04T16:53:00Z"},
		{"a day old", "KXXA 031753Z 22012KT 08/06", "at 2026-03-03T17:53:00Z"},
		{"a month old", "KXXA 051753Z 22012KT 08/06", "at 2026-02-05T17:53:00Z"},
	} {
		t.Run(c.name, func(t *testing.T) {
			report := parseOne(t, c.raw, "")
			got, err := preferRaw(report)
			if err == nil || !strings.Contains(err.Error(), c.says) || model.CodeOf(err) != model.Invalid {
				t.Errorf("error %v, want one that says %q", err, c.says)
			}
			if got != report.Observation {
				t.Errorf("observation %+v, want it as it was", got)
			}
		})
	}
	report := parseOne(t, "KXXA 041753Z", "")
	for _, apart := range []time.Duration{-15 * time.Minute, 15 * time.Minute} {
		raw := model.Observation{Station: "KXXA", At: report.Observation.At.Add(apart), AirC: celsius(3)}
		if got, err := report.Prefer(raw); err != nil || got.AirC != celsius(3) || !got.At.Equal(report.Observation.At) {
			t.Errorf("%v apart: %+v, %v; want its temperature and the time of the JSON", apart, got, err)
		}
	}
}
