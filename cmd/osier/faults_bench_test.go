package main

import (
	"encoding/json"
	"fmt"
	"log/slog"
	"math"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"
	"testing/fstest"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/jobs/feed"
	"osier/model"
	"osier/model/store"
	"osier/model/store/storetest"
)

// The two feeds that the tests of faults play.
const (
	reportsPath  = "/data/cache/metars.cache.csv.gz"
	forecastPath = "/weatherapi/locationforecast/2.0/complete"
)

// The water lies as high as the station XINV, so that no temperature is moved.
var faultWater = model.Water{
	ID: "home", Name: "Home Pit", LatDeg: 53, LonDeg: -1.5, ElevationM: 90, MeanDepthM: 2,
	Bank: "grass", Colour: "tinged", Zone: "Europe/London", Groups: model.Groups(),
}

// faultBench is the whole way from two feeds on loopback to the conditions at a
// water, with a clock that only the test moves.
type faultBench struct {
	t          *testing.T
	clock      atomic.Int64 // Unix seconds
	feeds      atomic.Pointer[replay]
	feedsAhead atomic.Int64 // how far their clocks are ahead of ours, ns
	base       string
	client     *feed.Client
	db         *store.DB
	earlier    map[string]int // requests that feeds before the present ones counted
}

// faultStart is when every test of faults begins. No wait that follows from it
// ends in the first minute of an hour, which the client leaves out.
var faultStart = time.Date(2026, 2, 6, 12, 5, 0, 0, time.UTC)

func newFaultBench(t *testing.T) *faultBench {
	t.Helper()
	b := &faultBench{t: t, earlier: map[string]int{}}
	b.setClock(faultStart)
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { b.feeds.Load().ServeHTTP(w, r) }))
	t.Cleanup(server.Close)
	b.base = server.URL
	b.useClient(10 * time.Second)
	var err error
	if b.db, err = store.OpenSQLite(t.Context(), storetest.EmptyFolder(t)); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := b.db.Close(); err != nil {
			t.Error(err)
		}
	})
	if err := b.db.PutWater(t.Context(), faultWater); err != nil {
		t.Fatal(err)
	}
	return b
}

func (b *faultBench) now() time.Time          { return time.Unix(b.clock.Load(), 0).UTC() }
func (b *faultBench) setClock(to time.Time)   { b.clock.Store(to.Unix()) }
func (b *faultBench) advance(d time.Duration) { b.setClock(b.now().Add(d)) }

// useClient makes a client anew, as a restart does.
func (b *faultBench) useClient(patience time.Duration) {
	b.t.Helper()
	client, err := feed.New(feed.Options{
		Application: "osier/test", Base: b.base, Now: b.now, Random: func() float64 { return 0 },
		Timeout: patience, Spacing: time.Nanosecond,
	})
	if err != nil {
		b.t.Fatal(err)
	}
	b.client = client
}

// The invented weather: what a station reports goes by the hour, what a
// forecast says by its issue.
func reportedC(at time.Time) int { return 2 + at.Hour()%9 }

func forecastC(issue int) float64 {
	return 10.5 + float64(issue)
}

// issuedAt is when an issue of the forecast that is published at a time was
// made.
func issuedAt(published time.Time) time.Time { return published.Add(-20 * time.Minute) }

// reportRows are the rows of a station for each ten to the hour since nine, up
// to a time.
func reportRows(station string, until time.Time) []string {
	var rows []string
	for at := time.Date(2026, 2, 6, 8, 50, 0, 0, time.UTC); !at.After(until); at = at.Add(time.Hour) {
		rows = append(rows, fmt.Sprintf("%s %sZ 22005KT 9999 BKN030 %02d/01 Q1009,%s,%s,53.05,-1.5,90.0,",
			station, at.Format("021504"), reportedC(at), station, at.Format(time.RFC3339)))
	}
	return rows
}

// publish puts new answers up at both feeds: rows of reports, and an issue of
// the forecast for 80 hours, or no forecast at all where issue is negative.
// Both may be asked again after 40 minutes.
func (b *faultBench) publish(at time.Time, issue int, rows ...string) {
	b.t.Helper()
	date := at.Format(http.TimeFormat)
	routes := fmt.Sprintf(`{"file": "reports.csv", "path": %q, "headers": {"Last-Modified": %q, "Cache-Control": "max-age=2400"}}`, reportsPath, date)
	files := fstest.MapFS{
		"reports.csv":   {Data: []byte("raw_text,station_id,observation_time,latitude,longitude,elevation_m,corrected\n" + strings.Join(rows, "\n") + "\n")},
		"forecast.json": {Data: forecastAnswer(at, issue)},
	}
	if issue >= 0 {
		routes += fmt.Sprintf(`, {"file": "forecast.json", "path": %q, "headers": {"Last-Modified": %q, "ETag": "\"issue-%d\"", "Expires": %q}}`,
			forecastPath, date, issue, at.Add(40*time.Minute).Format(http.TimeFormat))
	} else {
		routes += fmt.Sprintf(`, {"path": %q, "status": 404}`, forecastPath)
	}
	files[replayFile] = &fstest.MapFile{Data: []byte(`{"routes": [` + routes + `]}`)}
	made, err := newReplay(files, func() time.Time { return b.now().Add(time.Duration(b.feedsAhead.Load())) })
	if err != nil {
		b.t.Fatal(err)
	}
	if before := b.feeds.Swap(made); before != nil {
		for _, c := range before.counts() {
			b.earlier[c.Path] += c.Asked
		}
	}
}

func forecastAnswer(at time.Time, issue int) []byte {
	type object = map[string]any
	var series []object
	for h := range 80 {
		series = append(series, object{
			"time": at.Truncate(time.Hour).Add(time.Duration(h) * time.Hour).Format(time.RFC3339),
			"data": object{
				"instant": object{"details": object{"air_temperature": forecastC(issue), "wind_speed": 4, "air_pressure_at_sea_level": 1009}},
			},
		})
	}
	units := object{"air_temperature": "celsius", "wind_speed": "m/s", "air_pressure_at_sea_level": "hPa"}
	body, err := json.Marshal(object{
		"geometry":   object{"coordinates": []float64{-1.5, 53, 90}},
		"properties": object{"meta": object{"updated_at": issuedAt(at).Format(time.RFC3339), "units": units}, "timeseries": series},
	})
	if err != nil {
		panic(err) // nothing in it can fail
	}
	return body
}

// fault sets what is wrong with a feed; the zero value mends it.
func (b *faultBench) fault(path string, f faultText) {
	b.t.Helper()
	if err := b.feeds.Load().setFault(path, f); err != nil {
		b.t.Fatal(err)
	}
}

func (b *faultBench) asked() map[string]int {
	total := map[string]int{reportsPath: b.earlier[reportsPath], forecastPath: b.earlier[forecastPath]}
	for _, c := range b.feeds.Load().counts() {
		total[c.Path] += c.Asked
	}
	return total
}

// pull asks the feeds by the rules of the program, and says how often each was
// asked and what went wrong.
func (b *faultBench) pull() (map[string]int, error) {
	b.t.Helper()
	before := b.asked()
	p := &jobs.Puller{Store: b.db, Client: b.client, Now: b.now, Log: slog.New(slog.DiscardHandler)}
	_, err := p.Run(b.t.Context(), []model.Water{faultWater})
	after := b.asked()
	for path := range after {
		after[path] -= before[path]
	}
	return after, err
}

// pullAsks pulls and demands that each of both feeds was asked so many times.
func (b *faultBench) pullAsks(times int) error {
	b.t.Helper()
	asked, err := b.pull()
	if asked[reportsPath] != times || asked[forecastPath] != times {
		b.t.Fatalf("%s: asked %v, want %d of each", b.now().Format(time.DateTime), asked, times)
	}
	return err
}

func (b *faultBench) conditions(from, to time.Time) model.Conditions {
	b.t.Helper()
	c, err := (&jobs.Planner{Store: b.db, Now: b.now}).Conditions(b.t.Context(), faultWater.ID, from, to)
	if err != nil {
		b.t.Fatalf("%s: %v", b.now().Format(time.DateTime), err)
	}
	body, err := json.Marshal(c)
	if err != nil {
		b.t.Fatal(err)
	}
	if age := negativeAge.Find(body); age != nil {
		b.t.Errorf("%s: the answer holds %s", b.now().Format(time.DateTime), age)
	}
	return c
}

// negativeAge finds an age below zero anywhere in a document.
var negativeAge = regexp.MustCompile(`"(?:age_min|confirmed_min)":-[^,}]*`)

// served is what a reader sees of one hour.
type served struct {
	AirC   float64
	Kind   model.Kind
	Source string
	AgeMin float64
	Stale  bool
}

func (b *faultBench) hour(at time.Time) served {
	b.t.Helper()
	c := b.conditions(at, at.Add(time.Hour))
	if len(c.Hours) != 1 {
		b.t.Fatalf("%d hours at %v, want one", len(c.Hours), at)
	}
	from := c.Hours[0].Provenance["air_temp_c"]
	if from.AgeMin != c.AgeMin {
		b.t.Errorf("%v: the answer is %v min old, and its only hour %v", at, c.AgeMin, from.AgeMin)
	}
	return served{AirC: float64(c.Hours[0].AirC.Value), Kind: from.Kind, Source: from.Source, AgeMin: from.AgeMin.Value, Stale: c.Stale}
}

// wantServed demands the report of 11:50, and of the hour after next what an
// issue says, each with its age at this moment. stood is when the feed last
// stood by that issue.
func (b *faultBench) wantServed(issue int, published, stood time.Time) {
	b.t.Helper()
	report := time.Date(2026, 2, 6, 11, 50, 0, 0, time.UTC)
	minutes := func(since time.Time) float64 { return b.now().Sub(since).Minutes() }
	want := []served{
		{float64(reportedC(report)), model.Observed, "awc", minutes(report), minutes(report) > 90},
		{forecastC(issue), model.Forecasted, "locationforecast", minutes(issuedAt(published)), minutes(stood) > 6*60},
	}
	got := []served{b.hour(report.Add(10 * time.Minute)), b.hour(b.now().Truncate(time.Hour).Add(2 * time.Hour))}
	near := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-6 })
	if diff := cmp.Diff(want, got, near); diff != "" {
		b.t.Errorf("%s (-want +got):\n%s", b.now().Format(time.DateTime), diff)
	}
}

// wantStored demands so many reports of a station and issues of the forecast,
// no instant twice.
func (b *faultBench) wantStored(reports, issues int) {
	b.t.Helper()
	list, err := b.db.Observations(b.t.Context(), "awc", "XINV", faultStart.AddDate(0, 0, -7), faultStart.AddDate(0, 0, 7))
	if err != nil {
		b.t.Fatal(err)
	}
	seen := map[time.Time]bool{}
	for _, o := range list {
		if seen[o.At] {
			b.t.Errorf("the report of %v is there twice", o.At)
		}
		seen[o.At] = true
	}
	forecasts, err := b.db.Forecasts(b.t.Context(), faultWater.LatDeg, faultWater.LonDeg, b.now(), 99)
	if err != nil {
		b.t.Fatal(err)
	}
	if len(list) != reports || len(forecasts) != issues {
		b.t.Errorf("%s: %d reports and %d issues are stored, want %d and %d", b.now().Format(time.DateTime), len(list), len(forecasts), reports, issues)
	}
}
