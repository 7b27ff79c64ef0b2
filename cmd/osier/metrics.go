package main

import (
	"context"
	"net/http"
	"runtime"
	"runtime/debug"
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"osier/jobs"
	"osier/model"
)

// metrics are the figures of this process for Prometheus. Names and units
// follow its conventions. It is what the API and the schedule tell of their
// work, and it serves /metrics.
type metrics struct {
	http.Handler
	registry *prometheus.Registry

	requests    *prometheus.HistogramVec
	runs        *prometheus.CounterVec
	runSeconds  *prometheus.HistogramVec
	lastSuccess *prometheus.GaugeVec
	counted     *prometheus.CounterVec
	cacheReads  *prometheus.CounterVec
}

// What becomes of a run, and of a look into the cache.
const (
	runDone, runFailed, runSkipped = "done", "failed", "skipped"
	cacheHit, cacheMiss            = "hit", "miss"
)

// Upper bounds of the histograms, in seconds; our choice.
var (
	requestBounds = []float64{0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 10}
	runBounds     = []float64{0.1, 0.5, 1, 5, 15, 60, 300, 600, 1200}
)

// newMetrics makes the figures, all at nothing; demo says that all served is
// invented.
func newMetrics(demo bool) *metrics {
	m := &metrics{
		registry: prometheus.NewRegistry(),
		requests: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "osier_http_request_duration_seconds", Buckets: requestBounds,
			Help: "Time to answer a request, by route, method and status; its count is the number of requests.",
		}, []string{"route", "method", "status"}),
		runs: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "osier_job_runs_total",
			Help: "Runs of a job by outcome: done, failed, or skipped because the last run still went on.",
		}, []string{"job", "outcome"}),
		runSeconds: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "osier_job_duration_seconds", Buckets: runBounds,
			Help: "Time that runs of a job took.",
		}, []string{"job"}),
		lastSuccess: prometheus.NewGaugeVec(prometheus.GaugeOpts{
			Name: "osier_job_last_success_timestamp_seconds",
			Help: "When the last run of a job that did not fail ended, also before this process began.",
		}, []string{"job"}),
		counted: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "osier_job_items_total",
			Help: "What runs of a job counted, by name, such as the requests of a pull.",
		}, []string{"job", "item"}),
		cacheReads: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "osier_cache_reads_total",
			Help: "Looks into the cache by outcome: hit or miss. What is missing is looked for once more just before it is made.",
		}, []string{"outcome"}),
	}
	for _, outcome := range []string{cacheHit, cacheMiss} {
		m.cacheReads.WithLabelValues(outcome)
	}
	build := prometheus.NewGaugeVec(prometheus.GaugeOpts{
		Name: "osier_build_info",
		Help: "Always 1; its labels say what is running.",
	}, []string{"application", "revision", "go_version", "demo"})
	build.WithLabelValues(application, revision(), runtime.Version(), strconv.FormatBool(demo)).Set(1)
	m.registry.MustRegister(
		m.requests, m.runs, m.runSeconds, m.lastSuccess, m.counted, m.cacheReads, build,
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}),
	)
	// A fault becomes a panic, which the API answers with a problem document.
	m.Handler = promhttp.HandlerFor(m.registry, promhttp.HandlerOpts{ErrorHandling: promhttp.PanicOnError})
	return m
}

// revision is the commit that the program was built from, where the toolchain
// recorded it.
func revision() string {
	built, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	for _, s := range built.Settings {
		if s.Key == "vcs.revision" {
			return s.Value
		}
	}
	return "unknown"
}

// Request counts a request that was answered.
func (m *metrics) Request(route, method string, status int, took time.Duration) {
	m.requests.WithLabelValues(route, method, strconv.Itoa(status)).Observe(took.Seconds())
}

// RunEnded counts a run and what it counted.
func (m *metrics) RunEnded(r model.JobRun) {
	outcome := runDone
	if r.Error != "" {
		outcome = runFailed
	}
	m.runs.WithLabelValues(r.Job, outcome).Inc()
	if r.DurationS.Known {
		m.runSeconds.WithLabelValues(r.Job).Observe(r.DurationS.Value)
	}
	for item, n := range r.Counts {
		m.counted.WithLabelValues(r.Job, item).Add(float64(max(n, 0)))
	}
	if r.Error == "" {
		m.succeeded(r)
	}
}

// remember notes when each job last did its work before this process began,
// and shows that nothing has run in it so far: a count that begins at 1 hides
// the first failure from a rate.
func (m *metrics) remember(ctx context.Context, runs jobs.RunStore, table []jobs.Job) {
	for _, j := range table {
		for _, outcome := range []string{runDone, runFailed, runSkipped} {
			m.runs.WithLabelValues(j.Name, outcome)
		}
		if last, err := runs.LastSuccess(ctx, j.Name); err == nil {
			m.succeeded(last)
		}
	}
}

// RunSkipped counts a run that did not take place.
func (m *metrics) RunSkipped(job string) { m.runs.WithLabelValues(job, runSkipped).Inc() }

// succeeded notes when a job last did its work.
func (m *metrics) succeeded(r model.JobRun) {
	m.lastSuccess.WithLabelValues(r.Job).Set(float64(r.EndedAt.Value.Unix()))
}
