package api_test

import (
	"bytes"
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"osier/api"
	"osier/api/auth"
	"osier/api/cache"
	"osier/jobs"
	"osier/model"
	"osier/model/store"
	"osier/model/store/storetest"
	"osier/openapi"
	"osier/openapi/contract"
)

// now is the clock of every test.
var now = time.Date(2026, 11, 25, 9, 20, 0, 0, time.UTC)

func clock() time.Time { return now }

// house is the API over a real store, wired as the program wires it. Every
// exchange is held against the OpenAPI document.
type house struct {
	t       testing.TB
	db      *store.DB
	api     *api.Server
	watched *contract.Watched
	log     *bytes.Buffer
	from    string // the address that requests come from; the usual one when empty
}

// theContract is the document, read once for all tests.
var theContract = sync.OnceValues(func() (*contract.Contract, error) { return contract.Load(openapi.Document()) })

// newHouse opens an empty store and puts the API before it. change may replace
// a part.
func newHouse(t testing.TB, change ...func(*api.Options)) *house {
	t.Helper()
	db, err := store.OpenSQLite(t.Context(), storetest.EmptyFolder(t))
	must(t, err)
	t.Cleanup(func() { _ = db.Close() }) // a test may have closed it
	kept, err := cache.NewInProcess(1 << 20)
	must(t, err)
	t.Cleanup(kept.Close)
	loader := cache.NewLoader(cache.LoaderOptions{Cache: kept, Deadline: 10 * time.Second, Now: time.Now, Log: slog.New(slog.DiscardHandler)})
	t.Cleanup(loader.Close)
	limits, err := auth.NewLimiter()
	must(t, err)
	t.Cleanup(limits.Close)
	h := &house{t: t, db: db, log: &bytes.Buffer{}}
	o := api.Options{
		Waters: db, Planner: &jobs.Planner{Store: db, Now: clock}, Plans: &jobs.Planner{Store: db, Now: clock}, TrackRecords: &jobs.TrackRecorder{Store: db, Now: clock},
		Restrictions: &jobs.Restrictor{Store: db, Now: clock}, Feeds: db,
		Findings: &jobs.Finder{Store: db, Now: clock},
		Clubs:    &jobs.ClubRegister{Store: db, Now: clock}, Outlooks: &jobs.Outlooker{Store: db, Now: clock},
		Recorder: &jobs.Recorder{Store: db, Now: clock}, Jobs: db, Answers: db, Revisions: db,
		Credentials: db, Owners: &jobs.Owners{Store: db}, Limits: limits, Loopback: true,
		Privacy: &jobs.Privacy{Store: db, Now: clock, Fit: &jobs.Fitter{Store: db, Now: clock}},
		Loader:  loader, Pointers: loader, Metrics: &figures{}, Ready: db.Ping, Now: clock, Log: slog.New(slog.NewTextHandler(h.log, nil)), Document: openapi.Document(),
	}
	live := &jobs.Live{Store: db, Recorder: o.Recorder.(*jobs.Recorder), Now: clock}
	o.Summaries = &jobs.Summarizer{Store: db, Live: live}
	o.Live, o.Advisor = live, &jobs.Advisor{Store: db, Planner: &jobs.Planner{Store: db, Now: clock}, Live: live, Now: clock, Moves: &jobs.MoveGrids{}}
	for _, c := range change {
		c(&o)
	}
	h.api, err = api.New(o)
	must(t, err)
	document, err := theContract()
	must(t, err)
	h.watched = document.Watch(t, h.api)
	return h
}

// on is the same house in a test of a part.
func (h *house) on(t testing.TB) *house {
	part := *h
	part.t = t
	return &part
}

// asDemo is the wiring of the demonstration.
func asDemo(o *api.Options) {
	o.Demo = true
	o.Recorder.(*jobs.Recorder).Demo = true
	o.Restrictions.(*jobs.Restrictor).Demo = true
	o.Clubs.(*jobs.ClubRegister).Demo = true
	o.Privacy.(*jobs.Privacy).Demo = true
}

// newPit is a house with one water, its weather and no records.
func newPit(t testing.TB, change ...func(*api.Options)) *house {
	t.Helper()
	h := newHouse(t, change...)
	h.wants(h.send("PUT", "/v1/waters/quillmarsh-pit", pit), http.StatusCreated)
	h.seedWeather()
	return h
}

const pit = `{"name":"Quillmarsh Pit","lat":51.5,"lon":-0.12,"elevation_m":12,"mean_depth_m":2.4,
	"bank":"grass","zone":"Europe/London","groups":["silver","bream"],"colour":"tinged",
	"pegs":[{"number":"7","facing_deg":180}]}`

// seedWeather stores ten invented days of hourly reports from an invented
// station and an invented forecast of two days.
func (h *house) seedWeather() {
	h.t.Helper()
	ctx := h.t.Context()
	must(h.t, h.db.PutStations(ctx, []model.Station{{ID: "QQQQ", Source: "invented", Name: "Invented Field", LatDeg: 51.52, LonDeg: -0.1, ElevationM: model.Known(model.Metres(20))}}))
	var reports []model.Observation
	for back := 10 * 24; back >= 0; back-- {
		at := now.Truncate(time.Hour).Add(-time.Duration(back) * time.Hour)
		reports = append(reports, model.Observation{
			Source: "invented", Station: "QQQQ", At: at, Raw: "invented " + at.Format(time.RFC3339),
			AirC: model.Known(model.Celsius(7 + 3*float64((at.Hour()+6)%12)/12)), DewC: model.Known(model.Celsius(4)),
			WindMps: model.Known(model.MetresPerSecond(3)), WindFromDeg: model.Known(model.Degrees(230)),
			SeaLevelHPa: model.Known(model.Hectopascals(1012 - float64(back)/100)), CloudOktas: model.Known(6), Thunder: model.ThunderNone,
		})
	}
	_, err := h.db.PutObservations(ctx, reports)
	must(h.t, err)
	forecast := model.Forecast{Source: "invented", LatDeg: 51.5, LonDeg: -0.12, IssuedAt: now.Add(-time.Hour), FetchedAt: now.Add(-time.Hour), ConfirmedAt: now.Add(-time.Hour)}
	for ahead := range 60 {
		forecast.Hours = append(forecast.Hours, model.ForecastHour{
			At: now.Truncate(time.Hour).Add(time.Duration(ahead) * time.Hour), StepH: 1,
			AirC: model.Known(model.Celsius(8)), DewC: model.Known(model.Celsius(5)), RHPct: model.Known(81.0),
			WindMps: model.Known(model.MetresPerSecond(4)), WindFromDeg: model.Known(model.Degrees(220)),
			SeaLevelHPa: model.Known(model.Hectopascals(1011)), CloudFraction: model.Known(0.75), Thunder: model.Known(false),
		})
	}
	must(h.t, h.db.PutForecast(ctx, forecast))
}

// header changes a request before it is sent.
type header struct{ name, value string }

// send sends a request; a body counts as JSON unless a header says otherwise.
func (h *house) send(method, path, body string, headers ...header) *httptest.ResponseRecorder {
	return h.stream(method, path, strings.NewReader(body), headers...)
}

func (h *house) stream(method, path string, body io.Reader, headers ...header) *httptest.ResponseRecorder {
	h.t.Helper()
	r := httptest.NewRequest(method, path, body)
	r.Host = "localhost"
	if h.from != "" {
		r.RemoteAddr = h.from
	}
	if method != http.MethodGet && method != http.MethodHead && method != http.MethodDelete {
		r.Header.Set("Content-Type", "application/json")
	}
	for _, set := range headers {
		r.Header.Set(set.name, set.value)
	}
	w := httptest.NewRecorder()
	h.watched.ServeHTTP(w, r)
	return w
}

// wants fails the test unless the answer has the status.
func (h *house) wants(w *httptest.ResponseRecorder, status int) *httptest.ResponseRecorder {
	h.t.Helper()
	if w.Code != status {
		h.t.Fatalf("answered %d, want %d: %s", w.Code, status, w.Body)
	}
	return w
}

// problem reads a problem document of the status.
func (h *house) problem(w *httptest.ResponseRecorder, status int) api.Problem {
	h.t.Helper()
	h.wants(w, status)
	if kind := w.Header().Get("Content-Type"); kind != "application/problem+json" {
		h.t.Errorf("the content type is %q", kind)
	}
	p := read[api.Problem](h.t, w)
	if p.Status != status || p.Title != http.StatusText(status) {
		h.t.Errorf("the problem says %d %q, and the status is %d", p.Status, p.Title, status)
	}
	return p
}

func (h *house) revision() int64 {
	h.t.Helper()
	n, err := h.db.Revision(h.t.Context())
	must(h.t, err)
	return n
}

func read[T any](t testing.TB, w *httptest.ResponseRecorder) T {
	t.Helper()
	var v T
	if err := json.Unmarshal(w.Body.Bytes(), &v); err != nil {
		t.Fatalf("read the answer: %v: %s", err, w.Body)
	}
	return v
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
