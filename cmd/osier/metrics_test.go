package main

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/prometheus/client_golang/prometheus/testutil"

	"osier/api/cache"
	"osier/jobs"
	"osier/model"
)

// ended is a run that took a second and a half, to 2026-11-25 09:00.
func ended(job, fault string, counts map[string]int) model.JobRun {
	at := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	return model.JobRun{ID: "1", Job: job, StartedAt: at, EndedAt: model.Known(at), DurationS: model.Known(1.5), Counts: counts, Error: fault}
}

// worked are figures of which each has been told something.
func worked() *metrics {
	m := newMetrics(true)
	m.Request("/v1/waters/:water", "GET", 200, 3*time.Millisecond)
	m.Request("/v1/waters/:water", "GET", 200, 3*time.Second)
	m.Request("none", "other", 405, time.Microsecond)
	m.RunEnded(ended("pull", "", map[string]int{"requests": 4, "nothing there": 1}))
	m.RunEnded(ended("pull", "the feed was down", map[string]int{"requests": 2, "odd": -1}))
	m.RunSkipped("pull")
	m.RunEnded(model.JobRun{Job: "fit", Error: "the disk is full"}) // it never began
	m.cacheReads.WithLabelValues("hit").Inc()
	return m
}

func TestFiguresKeepTheConventions(t *testing.T) {
	problems, err := testutil.GatherAndLint(worked().registry)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range problems {
		t.Errorf("%s: %s", p.Metric, p.Text)
	}
}

func TestFiguresCountWhatTheyAreTold(t *testing.T) {
	const want = `
# HELP osier_job_runs_total Runs of a job by outcome: done, failed, or skipped because the last run still went on.
# TYPE osier_job_runs_total counter
osier_job_runs_total{job="fit",outcome="failed"} 1
osier_job_runs_total{job="pull",outcome="done"} 1
osier_job_runs_total{job="pull",outcome="failed"} 1
osier_job_runs_total{job="pull",outcome="skipped"} 1
# HELP osier_job_items_total What runs of a job counted, by name, such as the requests of a pull.
# TYPE osier_job_items_total counter
osier_job_items_total{item="nothing there",job="pull"} 1
osier_job_items_total{item="odd",job="pull"} 0
osier_job_items_total{item="requests",job="pull"} 6
# HELP osier_job_last_success_timestamp_seconds When the last run of a job that did not fail ended, also before this process began.
# TYPE osier_job_last_success_timestamp_seconds gauge
osier_job_last_success_timestamp_seconds{job="pull"} 1.7955972e+09
`
	m := worked()
	if err := testutil.GatherAndCompare(m.registry, strings.NewReader(want), "osier_job_runs_total", "osier_job_items_total", "osier_job_last_success_timestamp_seconds"); err != nil {
		t.Error(err)
	}
	text := scrape(t, m)
	for _, line := range []string{
		`osier_http_request_duration_seconds_bucket{method="GET",route="/v1/waters/:water",status="200",le="0.0025"} 0`,
		`osier_http_request_duration_seconds_bucket{method="GET",route="/v1/waters/:water",status="200",le="0.005"} 1`,
		`osier_http_request_duration_seconds_count{method="GET",route="/v1/waters/:water",status="200"} 2`,
		`osier_http_request_duration_seconds_sum{method="GET",route="/v1/waters/:water",status="200"} 3.003`,
		`osier_http_request_duration_seconds_count{method="other",route="none",status="405"} 1`,
		`osier_job_duration_seconds_sum{job="pull"} 3`,
		`osier_job_duration_seconds_count{job="pull"} 2`,
		`osier_cache_reads_total{outcome="hit"} 1`,
		`osier_build_info{application="osier/0.1",demo="true",go_version="go`,
	} {
		if !strings.Contains(text, line) {
			t.Errorf("the figures lack %s", line)
		}
	}
	if strings.Contains(text, `osier_job_duration_seconds_count{job="fit"}`) {
		t.Error("a run that never began has a duration")
	}
}

func TestTheLastSuccessIsRememberedAcrossAStart(t *testing.T) {
	runs := lastRuns{"pull": ended("pull", "", nil)}
	m := newMetrics(false)
	m.remember(t.Context(), runs, []jobs.Job{{Name: "pull"}, {Name: "fit"}})
	text := scrape(t, m)
	if !strings.Contains(text, `osier_job_last_success_timestamp_seconds{job="pull"} 1.7955972e+09`) || strings.Contains(text, `timestamp_seconds{job="fit"}`) {
		t.Errorf("want the success of pull and none of fit:\n%s", text)
	}
	for _, none := range []string{`osier_job_runs_total{job="pull",outcome="done"} 0`, `osier_job_runs_total{job="fit",outcome="failed"} 0`} {
		if !strings.Contains(text, none) {
			t.Errorf("the figures of a process that has run nothing lack %s", none)
		}
	}
}

// lastRuns is a store of the last success of each job.
type lastRuns map[string]model.JobRun

func (l lastRuns) PutJobRun(context.Context, model.JobRun) error { return nil }

func (l lastRuns) LastSuccess(_ context.Context, job string) (model.JobRun, error) {
	r, ok := l[job]
	if !ok {
		return r, model.NotFoundf("job run", "", "none")
	}
	return r, nil
}

// mapCache is a cache in a map.
type mapCache map[string]string

func (c mapCache) Get(_ context.Context, key string) ([]byte, bool) {
	v, ok := c[key]
	return []byte(v), ok
}

func (c mapCache) Put(_ context.Context, key string, value []byte, _ time.Duration) {
	c[key] = string(value)
}

// sharedCache is one that replicas share.
type sharedCache struct{ mapCache }

func (c sharedCache) Renew(ctx context.Context, key string) ([]byte, bool) { return c.Get(ctx, key) }

func (c sharedCache) Claim(context.Context, string, time.Duration) (func(), bool) {
	return func() {}, true
}

func TestLooksIntoTheCacheAreCounted(t *testing.T) {
	for name, kept := range map[string]cache.Cache{"alone": mapCache{}, "shared": sharedCache{mapCache{}}} {
		m := newMetrics(false)
		counted := m.counting(kept)
		counted.Get(t.Context(), "a")
		counted.Put(t.Context(), "a", []byte("plan"), time.Minute)
		for range 3 {
			if got, ok := counted.Get(t.Context(), "a"); !ok || string(got) != "plan" {
				t.Errorf("%s: got %q, %v", name, got, ok)
			}
		}
		if hits, misses := testutil.ToFloat64(m.cacheReads.WithLabelValues("hit")), testutil.ToFloat64(m.cacheReads.WithLabelValues("miss")); hits != 3 || misses != 1 {
			t.Errorf("%s: %v hits and %v misses, want 3 and 1", name, hits, misses)
		}
		if _, before := kept.(cache.Shared); before {
			shared, still := counted.(cache.Shared)
			if !still {
				t.Fatalf("%s: a cache that replicas share is no longer one when counted", name)
			}
			if _, taken := shared.Claim(t.Context(), "a", time.Second); !taken {
				t.Errorf("%s: the claim did not reach the cache", name)
			}
		}
	}
}
