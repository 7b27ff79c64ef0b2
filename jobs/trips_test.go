package jobs_test

import (
	"fmt"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed"
	"osier/jobs/feed/awc"
	"osier/jobs/feed/locationforecast"
	"osier/jobs/feed/metar"
	"osier/jobs/feed/nws"
	"osier/jobs/feed/openmeteo"
	"osier/model"
	"osier/model/air"
)

// trips is the table of inputs that trip real clients (weather reference,
// section 10), row by row and in its order. Several rows are tested more closely
// where the format is read; here the table is whole.
var trips = []struct {
	input string
	right func(t *testing.T)
}{
	{`NWS "temperature":{"value":0}`, func(t *testing.T) {
		o := nwsReport(t, `"temperature":{"unitCode":"wmoUnit:degC","value":0}`).Observation
		wantValue(t, "temperature", o.AirC, 0)
	}},
	{"wind 24.12 with unit:m_s-1, later 24.12 with wmoUnit:km_h-1", func(t *testing.T) {
		for unit, want := range map[string]float64{"unit:m_s-1": 24.12, "wmoUnit:km_h-1": 6.70} {
			o := nwsReport(t, fmt.Sprintf(`"windSpeed":{"unitCode":%q,"value":24.12}`, unit)).Observation
			wantValue(t, unit, o.WindMps, want)
		}
	}},
	{"now 2025-03-05, time 310053Z; now 2026-03-01T00:20Z, time 282350Z", func(t *testing.T) {
		for now, want := range map[string]struct {
			group [3]int
			at    string
			stale bool
		}{
			"2025-03-05T06:00:00Z": {[3]int{31, 0, 53}, "2025-01-31T00:53:00Z", true},
			"2026-03-01T00:20:00Z": {[3]int{28, 23, 50}, "2026-02-28T23:50:00Z", false},
		} {
			got, err := metar.ResolveTime(want.group[0], want.group[1], want.group[2], moment(t, now))
			done(t, err)
			if !got.Equal(moment(t, want.at)) || metar.Stale(got, moment(t, now)) != want.stale {
				t.Errorf("%v at %s is %v, stale %v; want %s, stale %v", want.group, now, got, metar.Stale(got, moment(t, now)), want.at, want.stale)
			}
		}
	}},
	{"... Q1003 RESHRA REGR R27/290045 TEMPO 1000 TSRA", func(t *testing.T) {
		r := metarReport(t, "27005KT 9999 20/18 Q1003 RESHRA REGR R27/290045 TEMPO 1000 TSRA")
		wantValue(t, "QNH", r.QNHHPa, 1003)
		if diff := cmp.Diff([]string{"SHRA", "GR"}, r.Recent); diff != "" || r.Thunder() != model.ThunderNone {
			t.Errorf("recent weather (-want +got):\n%s\nthunder %q, want none", diff, r.Thunder())
		}
	}},
	{"... 9999 R23///// R15///// FEW032 26/19 Q1017", func(t *testing.T) {
		r := metarReport(t, "27005KT 9999 R23///// R15///// FEW032 26/19 Q1017")
		wantValue(t, "temperature", r.AirC, 26)
		wantValue(t, "dew point", r.DewC, 19)
		wantValue(t, "QNH", r.QNHHPa, 1017)
	}},
	{"EGXX 310135Z AUTO 00000KT 9999 NCD Q1012", func(t *testing.T) {
		r := metarReport(t, "AUTO 00000KT 9999 NCD Q1012")
		wantValue(t, "wind", r.WindMps, 0)
		wantValue(t, "QNH", r.QNHHPa, 1012)
		wantMissing(t, "temperature", r.AirC)
	}},
	{"... CAVOK M02/M03 Q1018", func(t *testing.T) {
		r := metarReport(t, "27005KT CAVOK M02/M03 Q1018")
		wantValue(t, "temperature", r.AirC, -2)
		wantValue(t, "dew point", r.DewC, -3)
	}},
	{"... 22013KT 9999 11/08 Q1027 FM1915 18025G40KT 4000 +TSRA", func(t *testing.T) {
		r := metarReport(t, "22013KT 9999 11/08 Q1027 FM1915 18025G40KT 4000 +TSRA")
		wantValue(t, "wind", r.WindMps, 13*knotMps)
		wantMissing(t, "gust", r.GustMps)
		if r.Thunder() != model.ThunderNone {
			t.Errorf("thunder %q, want none", r.Thunder())
		}
	}},
	{"gust 41.8 then gust null", func(t *testing.T) {
		const speed = `"windSpeed":{"unitCode":"wmoUnit:km_h-1","value":20},"windGust":{"unitCode":"wmoUnit:km_h-1","value":`
		wantValue(t, "first gust", nwsReport(t, speed+`41.8}`).Observation.GustMps, 41.8/3.6)
		wantMissing(t, "second gust", nwsReport(t, speed+`null}`).Observation.GustMps)
	}},
	{"200 with body, then 304 with none", func(t *testing.T) {
		b := newBench(t)
		f := &oneFeed{b: b, status: 200, body: gridBody, header: http.Header{"Content-Type": {"application/json"}, "Etag": {`"one"`}}}
		done(t, f.pull(t))
		b.now = noon.Add(45 * time.Minute)
		f.status, f.body = 304, ""
		done(t, f.pull(t))
		kept, err := b.db.Forecasts(t.Context(), 52.2, -0.9, b.now, 9)
		done(t, err)
		if len(kept) != 1 || len(kept[0].Hours) != 2 || !kept[0].ConfirmedAt.Equal(b.now) {
			t.Errorf("forecasts %+v, want the stored one whole and confirmed now", kept)
		}
		asked := len(f.asked)
		b.now = b.now.Add(29 * time.Minute)
		done(t, f.pull(t))
		if len(f.asked) != asked || asked != 2 {
			t.Errorf("%d requests and then %d, want 2 and no more while it is fresh", asked, len(f.asked))
		}
	}},
	{"stub that answers 403 without User-Agent", func(t *testing.T) {
		f := &oneFeed{b: newBench(t), answer: func(r *http.Request) (int, string) {
			if r.Header.Get("User-Agent") == "" || strings.HasPrefix(r.Header.Get("User-Agent"), "Go-http-client") {
				return 403, ""
			}
			return 200, "{}"
		}}
		if result, _ := f.get(t, feed.State{}); result.Kind != feed.Fresh || f.asked[0].Header.Get("User-Agent") != "osier/test angler@club.example" {
			t.Errorf("result %+v, asked as %q", result, f.asked[0].Header.Get("User-Agent"))
		}
	}},
	{"last timeseries entry holds only instant", func(t *testing.T) {
		f, _, err := locationforecast.Parse([]byte(`{"geometry":{"coordinates":[-0.9,52.2,60]},"properties":{"meta":{"updated_at":"2026-02-06T11:30:00Z",
			"units":{"air_temperature":"celsius","precipitation_amount":"mm"}},"timeseries":[
			{"time":"2026-02-06T12:00:00Z","data":{"instant":{"details":{"air_temperature":9}},"next_1_hours":{"details":{"precipitation_amount":0.4}}}},
			{"time":"2026-02-06T13:00:00Z","data":{"instant":{"details":{"air_temperature":8}}}}]}}`))
		done(t, err)
		if len(f.Hours) != 2 || f.Hours[0].Rain != model.Known(model.Rain{Mm: 0.4, OverH: 1}) || f.Hours[1].Rain.Known || f.Hours[1].AirC.Value != 8 {
			t.Errorf("hours %+v, want rain in the first and none known in the last", f.Hours)
		}
	}},
	{"Europe, 2025-10-24 to 28, daily, local zone", func(t *testing.T) {
		berlin, err := time.LoadLocation("Europe/Berlin")
		done(t, err)
		var midnights []string
		for _, h := range localDays(t, "2025-10-24T00:00", 5, 7200) {
			if h.At.In(berlin).Hour() == 0 {
				midnights = append(midnights, h.At.Format("02T15"))
			}
		}
		if diff := cmp.Diff([]string{"23T22", "24T22", "25T22", "26T23", "27T23"}, midnights); diff != "" {
			t.Errorf("local midnights in UTC (-want +got):\n%s", diff)
		}
	}},
	{"newest report 11 hours old", func(t *testing.T) {
		b := newBench(t)
		last := noon.Truncate(time.Hour).Add(-11 * time.Hour)
		b.putReports(t, "AAAA", 52.3, last)
		c := b.conditionsAt(t, noon)
		if c.Hours[0].Weather != model.Missing || !c.Stale {
			t.Errorf("now: %s, stale %v; want it missing and stale", c.Hours[0].Weather, c.Stale)
		}
		if c = b.conditionsAt(t, last); c.Hours[0].Weather != model.Observed || !c.Stale || c.AgeMin.Value != 11*60+5 {
			t.Errorf("then: %s, stale %v, age %v min; want it observed, stale and 665 min old", c.Hours[0].Weather, c.Stale, c.AgeMin.Value)
		}
	}},
	{"404 for the latest report of a valid station", func(t *testing.T) {
		b := newBench(t)
		f := &oneFeed{b: b, status: 404, body: `{"title":"Not Found","status":404}`}
		result, state := f.get(t, feed.State{})
		b.now = noon.Add(6*time.Hour - time.Second)
		if again, _ := f.get(t, state); result.Kind != feed.Gone || again.Asked {
			t.Errorf("%+v, and then %+v; want nothing there, and no request for six hours", result, again)
		}
		b.now = noon
		b.putReports(t, "AAAA", 52.21, noon.Truncate(time.Hour).Add(-8*time.Hour)) // near, and silent
		b.putReports(t, "BBBB", 52.4, noon.Truncate(time.Hour))
		if from := b.conditionsAt(t, noon).Hours[0].Provenance["air_temp_c"]; from.Station != "BBBB" || from.Kind != model.Observed {
			t.Errorf("from %+v, want what BBBB observed", from)
		}
	}},
	{"pressure_msl 1018.2, later only surface_pressure 984.0", func(t *testing.T) {
		f, _, err := openmeteo.Parse([]byte(`{"latitude":52.2,"longitude":-0.9,"utc_offset_seconds":0,
			"hourly_units":{"time":"iso8601","temperature_2m":"°C","wind_speed_10m":"m/s","pressure_msl":"hPa","surface_pressure":"hPa"},
			"hourly":{"time":["2026-02-06T12:00","2026-02-06T13:00","2026-02-06T14:00","2026-02-06T15:00"],"temperature_2m":[5,5,5,5],"wind_speed_10m":[2,2,2,2],
			"pressure_msl":[1018.2,1018.2,1018.2,null],"surface_pressure":[984.6,984.6,984.6,984.0]}}`))
		done(t, err)
		b := newBench(t)
		f.LatDeg, f.LonDeg, f.IssuedAt, f.FetchedAt, f.ConfirmedAt = 52.2, -0.9, noon, noon, noon
		done(t, b.db.PutForecast(t.Context(), f))
		first, last := b.conditionsAt(t, noon).Hours[0], b.conditionsAt(t, noon.Add(3*time.Hour)).Hours[0]
		wantValue(t, "pressure at noon", first.PressureHPa, 1018.2)
		wantMissing(t, "pressure at three", last.PressureHPa)
		wantMissing(t, "trend at three", last.Tendency3hHPa)
		if last.TendencyText != "unknown" || !last.AirC.Known {
			t.Errorf("trend %q, want unknown in an hour that is otherwise known", last.TendencyText)
		}
	}},
	{`429 "Minutely API request limit exceeded ..."`, func(t *testing.T) {
		for text, wait := range map[string]time.Duration{
			"Minutely API request limit exceeded. Please try again in one minute.":  time.Minute,
			"Hourly API request limit exceeded. Please try again in the next hour.": 56 * time.Minute,
			"Daily API request limit exceeded. Please try again tomorrow.":          11*time.Hour + 56*time.Minute,
		} {
			f := &oneFeed{b: newBench(t), status: 429, body: fmt.Sprintf(`{"error":true,"reason":%q}`, text)}
			// A minute on top where the next hour begins: all the world asks then.
			if result, state := f.get(t, feed.State{}); result.Kind != feed.SlowDown || state.NextAttempt.Sub(noon) != wait {
				t.Errorf("%s: %s, and a wait of %v; want %v", text, result.Kind, state.NextAttempt.Sub(noon), wait)
			}
		}
	}},
	{`"visib":"10+","wdir":"VRB","dewp":0`, func(t *testing.T) {
		rows, warnings, err := awc.ParseJSON([]byte(`[{"icaoId":"KXXA","obsTime":1785333180,"lat":33.9,"lon":-118.4,"elev":30,"temp":4,"dewp":0,
			"wdir":"VRB","wspd":3,"visib":"10+","altim":1009.2,"rawOb":"METAR KXXA 291353Z VRB03KT 10SM CLR 04/00 A2980"}]`))
		if err != nil || len(rows) != 1 || len(warnings) != 0 {
			t.Fatalf("rows %+v, warnings %q, error %v", rows, warnings, err)
		}
		r, err := metar.Decode(rows[0].Raw)
		done(t, err)
		wantValue(t, "dew point", r.DewC, 0)
		wantValue(t, "wind", r.WindMps, 3*knotMps)
		if r.WindFromDeg.Known {
			t.Errorf("direction %v, want none", r.WindFromDeg.Value)
		}
	}},
	{"-0.04 to whole degrees, M00", func(t *testing.T) {
		for _, v := range []float64{air.Round(-0.04, 0), float64(metarReport(t, "27005KT 9999 M00/M00 Q1012").AirC.Value)} {
			if got := fmt.Sprint(v); got != "0" {
				t.Errorf("it prints %s, want 0", got)
			}
		}
	}},
	{"If-Modified-Since in ISO form", func(t *testing.T) {
		const asItCame = "Fri, 06 Feb 2026 11:44:31 GMT"
		f := &oneFeed{b: newBench(t), status: 200, body: "{}", header: http.Header{"Last-Modified": {asItCame}}}
		_, state := f.get(t, feed.State{})
		f.b.now = state.NextAttempt
		f.get(t, state)
		if len(f.asked) != 2 || f.asked[1].Header.Get("If-Modified-Since") != asItCame {
			t.Errorf("%d requests, the last with %q; want Last-Modified back as it came", len(f.asked), f.asked[len(f.asked)-1].Header.Get("If-Modified-Since"))
		}
	}},
	{"windGust null, rawMessage 22012G20KT ... TSRA", func(t *testing.T) {
		r := nwsReport(t, `"windGust":{"unitCode":"wmoUnit:km_h-1","value":null},"rawMessage":"KXXA 041753Z 22012G20KT 5SM TSRA 20/18 A2992"`)
		raw, err := metar.Decode(r.Observation.Raw)
		done(t, err)
		o, err := r.Prefer(raw.Observation(r.Observation.At, nws.Source))
		done(t, err)
		wantValue(t, "gust", o.GustMps, 20*knotMps)
		if o.Thunder != model.ThunderNow {
			t.Errorf("thunder %q, want now", o.Thunder)
		}
	}},
}

func TestInputsThatTripRealClients(t *testing.T) {
	for _, row := range trips {
		t.Run(row.input, row.right)
	}
	t.Run("the table is whole", func(t *testing.T) {
		text, err := os.ReadFile("../../shared/reference/weather.md")
		if err != nil {
			t.Skipf("the weather reference is not here: %v", err)
		}
		_, table, _ := strings.Cut(string(text), "## 10 ")
		table, _, _ = strings.Cut(table, "\n## ")
		if rows := strings.Count(table, "\n| ") - 1; rows != len(trips) { // less the heading
			t.Errorf("the reference has %d rows, and %d are tested", rows, len(trips))
		}
	})
}
