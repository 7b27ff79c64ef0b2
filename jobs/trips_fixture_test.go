package jobs_test

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net/http"
	"strings"
	"testing"
	"time"

	"osier/jobs"
	"osier/jobs/feed"
	"osier/jobs/feed/metar"
	"osier/jobs/feed/nws"
	"osier/jobs/feed/openmeteo"
	"osier/model"
)

// knotMps is a knot in m/s: 1852 m an hour (exact by definition).
const knotMps = 1852.0 / 3600

func wantValue[T ~float64](t *testing.T, what string, got model.Maybe[T], want float64) {
	t.Helper()
	if !got.Known || math.Abs(float64(got.Value)-want) > 1e-9 || math.Signbit(float64(got.Value)) != math.Signbit(want) {
		t.Errorf("%s %+v, want %v", what, got, want)
	}
}

func wantMissing[T ~float64](t *testing.T, what string, got model.Maybe[T]) {
	t.Helper()
	if got.Known {
		t.Errorf("%s %v, want it missing", what, got.Value)
	}
}

func moment(t *testing.T, text string) time.Time {
	t.Helper()
	at, err := time.Parse(time.RFC3339, text)
	done(t, err)
	return at
}

// metarReport decodes the groups after a heading.
func metarReport(t *testing.T, groups string) metar.Report {
	t.Helper()
	r, err := metar.Decode("EGXX 310135Z " + groups)
	done(t, err)
	return r
}

// nwsReport reads an answer of one report with the properties given.
func nwsReport(t *testing.T, properties string) nws.Report {
	t.Helper()
	reports, warnings, err := nws.Parse(fmt.Appendf(nil, `{"type":"Feature","geometry":{"coordinates":[-1.5,53.25]},
		"properties":{"stationId":"KXXA","timestamp":"2026-03-04T17:53:00+00:00",%s}}`, properties))
	if err != nil || len(reports) != 1 || len(warnings) != 0 {
		t.Fatalf("%d reports, warnings %q, error %v", len(reports), warnings, err)
	}
	return reports[0]
}

// localDays reads hours that were written in local time under one offset.
func localDays(t *testing.T, first string, days, offsetS int) []model.ForecastHour {
	t.Helper()
	const local = "2006-01-02T15:04"
	at, err := time.Parse(local, first)
	done(t, err)
	var when []string
	var airC []int
	for i := range days * 24 {
		when, airC = append(when, at.Add(time.Duration(i)*time.Hour).Format(local)), append(airC, 10)
	}
	body, err := json.Marshal(map[string]any{
		"latitude": 52.5, "longitude": 13.4, "utc_offset_seconds": offsetS,
		"hourly_units": map[string]string{"time": "iso8601", "temperature_2m": "°C"},
		"hourly":       map[string]any{"time": when, "temperature_2m": airC},
	})
	done(t, err)
	f, warnings, err := openmeteo.Parse(body)
	if err != nil || len(warnings) != 0 {
		t.Fatalf("warnings %q, error %v", warnings, err)
	}
	return f.Hours
}

// putReports stores the whole hours of the day up to a time, as a station at a
// latitude told them.
func (b *bench) putReports(t *testing.T, station string, latDeg float64, last time.Time) {
	t.Helper()
	done(t, b.db.PutStations(t.Context(), []model.Station{{ID: station, Source: "awc", LatDeg: latDeg, LonDeg: -0.9, ElevationM: model.Known[model.Metres](80)}}))
	var reports []model.Observation
	for at := last.Add(-23 * time.Hour); !at.After(last); at = at.Add(time.Hour) {
		o := report(at)
		o.Station, o.Raw = station, station+" "+at.Format("021504")+"Z"
		reports = append(reports, o)
	}
	_, err := b.db.PutObservations(t.Context(), reports)
	done(t, err)
}

// conditionsAt are those of the hour that holds an instant.
func (b *bench) conditionsAt(t *testing.T, at time.Time) model.Conditions {
	t.Helper()
	at = at.Truncate(time.Hour)
	c, err := b.planner().Conditions(t.Context(), "reedmere", at, at.Add(time.Hour))
	done(t, err)
	if len(c.Hours) != 1 {
		t.Fatalf("%d hours, want one", len(c.Hours))
	}
	return c
}

const gridBody = `{"geometry":{"coordinates":[-0.9,52.2,60]},"properties":{"meta":{"updated_at":"2026-02-06T11:30:00Z",
	"units":{"air_temperature":"celsius","wind_speed":"m/s"}},"timeseries":[
	{"time":"2026-02-06T12:00:00Z","data":{"instant":{"details":{"air_temperature":9.5,"wind_speed":4}}}},
	{"time":"2026-02-06T13:00:00Z","data":{"instant":{"details":{"air_temperature":9,"wind_speed":5}}}}]}}`

// oneFeed is one feed that a test plays, the forecast; all others have nothing.
type oneFeed struct {
	b      *bench
	status int
	body   string
	header http.Header
	answer func(*http.Request) (status int, body string) // in place of status and body; may be nil
	asked  []*http.Request
}

const tripURL = "https://api.met.no/trip"

func (f *oneFeed) RoundTrip(r *http.Request) (*http.Response, error) {
	status, body, header := 404, "", http.Header{}
	if r.URL.Host == "api.met.no" {
		f.asked = append(f.asked, r)
		if status, body = f.status, f.body; f.answer != nil {
			status, body = f.answer(r)
		}
		if f.header != nil {
			header = f.header
		}
	}
	return &http.Response{StatusCode: status, Header: header, ContentLength: int64(len(body)), Body: io.NopCloser(strings.NewReader(body)), Request: r}, nil
}

func (f *oneFeed) client(t *testing.T) *feed.Client {
	t.Helper()
	c, err := feed.New(feed.Options{
		Application: "osier/test", Contact: "angler@club.example", Transport: f, Now: f.b.clock,
		Random: func() float64 { return 0 }, Spacing: time.Nanosecond,
	})
	done(t, err)
	return c
}

// get asks once, from the start or from what is remembered.
func (f *oneFeed) get(t *testing.T, state feed.State) (feed.Result, feed.State) {
	t.Helper()
	return f.client(t).Get(t.Context(), feed.Request{URL: tripURL, Want: feed.JSON, MinInterval: time.Minute}, state)
}

// pull asks for the weather of Reedmere.
func (f *oneFeed) pull(t *testing.T) error {
	t.Helper()
	p := &jobs.Puller{Store: f.b.db, Client: f.client(t), Now: f.b.clock, Log: quiet}
	_, err := p.Run(t.Context(), []model.Water{reedmere})
	return err
}
