package main

import (
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/testutil"

	"osier/api/cache"
	"osier/api/cache/cachetest"
	"osier/jobs/feed"
	"osier/model/store"
	"osier/model/store/storetest"
)

// sentTo answers every request by one server, whatever host it was meant for.
type sentTo struct{ address string }

func (s sentTo) RoundTrip(r *http.Request) (*http.Response, error) {
	sent := r.Clone(r.Context())
	sent.URL.Scheme, sent.URL.Host = "http", s.address
	return http.DefaultTransport.RoundTrip(sent)
}

func TestRequestsToFeedsAreCountedByHostAndOutcome(t *testing.T) {
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch r.URL.Path {
		case "/304":
			w.WriteHeader(http.StatusNotModified)
		case "/429":
			w.WriteHeader(http.StatusTooManyRequests)
		case "/404":
			w.WriteHeader(http.StatusNotFound)
		case "/500":
			w.WriteHeader(http.StatusInternalServerError)
		case "/cut":
			w.Header().Set("Content-Length", "1000")
			_, _ = io.WriteString(w, `{"a":`)
		default:
			w.Header().Set("Content-Type", "application/json")
			_, _ = io.WriteString(w, `{"a":1}`)
		}
	}))
	address := strings.TrimPrefix(server.URL, "http://")
	figures := newFeedFigures()
	client, err := feed.New(feed.Options{Application: application, Contact: "bailiff@club.example", Transport: figures.through(sentTo{address}), Spacing: 1})
	if err != nil {
		t.Fatal(err)
	}
	ask := func(url string) { client.Get(t.Context(), feed.Request{URL: url}, feed.State{}) }
	for _, path := range []string{"200", "again", "304", "429", "404", "500", "cut"} {
		ask("https://api.met.no/" + path)
	}
	ask("https://somewhere.example/200")
	server.Close()
	ask("https://api.weather.gov/200")

	const want = `
# HELP osier_feed_requests_total Requests to feeds by host and outcome: fresh, unchanged, limited, refused, faulty, cut off or unreachable.
# TYPE osier_feed_requests_total counter
osier_feed_requests_total{host="api.met.no",outcome="cut off"} 1
osier_feed_requests_total{host="api.met.no",outcome="faulty"} 1
osier_feed_requests_total{host="api.met.no",outcome="fresh"} 2
osier_feed_requests_total{host="api.met.no",outcome="limited"} 1
osier_feed_requests_total{host="api.met.no",outcome="refused"} 1
osier_feed_requests_total{host="api.met.no",outcome="unchanged"} 1
osier_feed_requests_total{host="api.weather.gov",outcome="unreachable"} 1
osier_feed_requests_total{host="other",outcome="fresh"} 1
`
	if err := testutil.CollectAndCompare(figures.requests, strings.NewReader(want)); err != nil {
		t.Error(err)
	}
	if n := testutil.CollectAndCount(figures.seconds); n != 8 {
		t.Errorf("durations of %d hosts and outcomes, want 8", n)
	}
	lint(t, figures.requests, figures.seconds)
}

// lint holds figures against the conventions.
func lint(t *testing.T, all ...prometheus.Collector) {
	t.Helper()
	registry := prometheus.NewRegistry()
	registry.MustRegister(all...)
	problems, err := testutil.GatherAndLint(registry)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range problems {
		t.Errorf("%s: %s", p.Metric, p.Text)
	}
}

// A feed that is added has its host in the list, or its figures are lost among
// the others.
func TestEveryHostThatIsAskedHasFiguresOfItsOwn(t *testing.T) {
	files, err := filepath.Glob("../../jobs/feed/*/*.go")
	if err != nil || len(files) == 0 {
		t.Fatalf("no feed's files: %v", err)
	}
	asked := map[string]bool{}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, host := range regexp.MustCompile(`"https://([a-z0-9.-]+)[/"]`).FindAllStringSubmatch(string(text), -1) {
			if !strings.HasSuffix(file, "_test.go") {
				asked[host[1]] = true
			}
		}
	}
	for host := range asked {
		if !feedHosts[host] {
			t.Errorf("%s is asked and is not in the list", host)
		}
	}
	for host := range feedHosts {
		if !asked[host] {
			t.Errorf("%s is in the list and is not asked", host)
		}
	}
}

func TestTheFiguresOfAStore(t *testing.T) {
	a := newApp(t.Context(), cli{Data: t.TempDir()}, io.Discard, io.Discard)
	db, err := a.open()
	if err != nil {
		t.Fatal(err)
	}
	m := newMetrics(false)
	m.registry.MustRegister(figuresOf(db, a.now)...)
	before := scrape(t, m)
	for _, want := range []string{
		"\nosier_store_up 1\n", "\nosier_fit_converged 1\n", `osier_fit_sessions{group="bream"} 0`,
		`go_sql_max_open_connections{db_name="writer"} 1`, `go_sql_max_open_connections{db_name="readers"} 8`,
		`go_sql_wait_count_total{db_name="writer"} 0`,
	} {
		if !strings.Contains(before, want) {
			t.Errorf("the figures of an empty store lack %s", want)
		}
	}
	if strings.Contains(before, "osier_fit_made_timestamp_seconds ") {
		t.Error("the prior has an age")
	}
	world, _, err := a.loadDemo(t.Context(), db)
	if err != nil {
		t.Fatal(err)
	}
	after := scrape(t, m)
	if strings.Contains(after, `osier_fit_sessions{group="bream"} 0`) || !strings.Contains(after, "\nosier_fit_made_timestamp_seconds ") || !strings.Contains(after, "\nosier_fit_converged 1\n") {
		t.Errorf("the figures of the demo's fit are missing")
	}
	for _, k := range world.Kits {
		if strings.Contains(after, `"`+k.Angler+`"`) {
			t.Errorf("the figures name %s", k.Angler)
		}
	}
	problems, err := testutil.GatherAndLint(m.registry)
	if err != nil || len(problems) > 0 {
		t.Errorf("%v, %v", problems, err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	if gone := scrape(t, m); !strings.Contains(gone, "\nosier_store_up 0\n") || strings.Contains(gone, "\nosier_fit_converged ") {
		t.Error("of a store that is gone the figures say that it answers")
	}
}

func TestTheFiguresOfRedis(t *testing.T) {
	server := cachetest.StartRedis(t)
	db, err := store.OpenSQLite(t.Context(), storetest.EmptyFolder(t))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	a := newApp(t.Context(), cli{}, io.Discard, io.Discard)
	kept, err := a.cache("redis://"+server.Addr, db)
	if err != nil {
		t.Fatal(err)
	}
	defer kept.Close()
	m := newMetrics(false)
	m.registry.MustRegister(a.watched...)
	if text := scrape(t, m); !strings.Contains(text, "\nosier_redis_up 1\n") || !strings.Contains(text, "\nosier_redis_faults_total 0\n") {
		t.Error("while Redis answers the figures do not say so")
	}
	silent, err := cache.NewRedis(cache.RedisOptions{Address: "redis://127.0.0.1:1", Prefix: "p/", Log: a.log})
	if err != nil {
		t.Fatal(err)
	}
	defer silent.Close()
	silent.Get(t.Context(), "a")
	m = newMetrics(false)
	m.registry.MustRegister(redisFigures(silent)...)
	if text := scrape(t, m); !strings.Contains(text, "\nosier_redis_up 0\n") || !strings.Contains(text, "\nosier_redis_faults_total 1\n") {
		t.Error("while Redis does not answer the figures do not say so")
	}
	lint(t, redisFigures(silent)...)
}
