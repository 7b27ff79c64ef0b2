package main

import (
	"errors"
	"io"
	"net/http"
	"sync"
	"time"

	"github.com/prometheus/client_golang/prometheus"
)

// feedHosts are the hosts that figures name. Whatever else is asked, such as a
// replay on loopback, counts as otherHost: a label has few values.
var feedHosts = map[string]bool{
	"api.brightsky.dev":                 true,
	"api.met.no":                        true,
	"api.open-meteo.com":                true,
	"api.weather.gov":                   true,
	"archive-api.open-meteo.com":        true,
	"aviationweather.gov":               true,
	"opendata-download-metfcst.smhi.se": true,
	"www.ncei.noaa.gov":                 true,
}

const otherHost = "other"

// What becomes of a request to a feed.
const (
	feedFresh       = "fresh"       // an answer came, whole
	feedUnchanged   = "unchanged"   // what is stored is current
	feedLimited     = "limited"     // asked too often, by the feed's word
	feedRefused     = "refused"     // the feed has nothing for us there, or wants no more of us
	feedFaulty      = "faulty"      // the feed is in trouble, by its own word
	feedCutOff      = "cut off"     // the answer broke off
	feedUnreachable = "unreachable" // no answer came
)

// Upper bounds of the time a feed takes, in seconds; our choice.
var feedBounds = []float64{0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30}

// feedFigures count the requests to feeds.
type feedFigures struct {
	requests *prometheus.CounterVec
	seconds  *prometheus.HistogramVec
}

func newFeedFigures() feedFigures {
	labels := []string{"host", "outcome"}
	return feedFigures{
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "osier_feed_requests_total",
			Help: "Requests to feeds by host and outcome: fresh, unchanged, limited, refused, faulty, cut off or unreachable.",
		}, labels),
		seconds: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "osier_feed_request_duration_seconds", Buckets: feedBounds,
			Help: "Time from asking a feed until its answer was read, or given up.",
		}, labels),
	}
}

// through gives a way to ask feeds that is the same but for being counted.
func (f feedFigures) through(next http.RoundTripper) http.RoundTripper {
	return countedFeeds{next: next, figures: f}
}

func (f feedFigures) count(host, outcome string, began time.Time) {
	f.requests.WithLabelValues(host, outcome).Inc()
	f.seconds.WithLabelValues(host, outcome).Observe(time.Since(began).Seconds())
}

type countedFeeds struct {
	next    http.RoundTripper
	figures feedFigures
}

// RoundTrip asks, and counts the request once its answer is let go: an answer
// that breaks off half way is none.
func (c countedFeeds) RoundTrip(r *http.Request) (*http.Response, error) {
	host, began := otherHost, time.Now()
	if feedHosts[r.URL.Host] {
		host = r.URL.Host
	}
	answer, err := c.next.RoundTrip(r)
	if err != nil {
		c.figures.count(host, feedUnreachable, began)
		return answer, err
	}
	answer.Body = &countedBody{ReadCloser: answer.Body, outcome: outcomeOf(answer.StatusCode), told: func(outcome string) {
		c.figures.count(host, outcome, began)
	}}
	return answer, nil
}

func outcomeOf(status int) string {
	switch {
	case status == http.StatusNotModified:
		return feedUnchanged
	case status == http.StatusTooManyRequests:
		return feedLimited
	case status >= 500:
		return feedFaulty
	case status >= 400:
		return feedRefused
	}
	return feedFresh
}

// countedBody tells what came of an answer when it is let go.
type countedBody struct {
	io.ReadCloser
	outcome string
	told    func(outcome string)
	once    sync.Once
}

// Read reads on, and notes where the answer breaks off.
func (b *countedBody) Read(p []byte) (int, error) {
	n, err := b.ReadCloser.Read(p)
	if err != nil && !errors.Is(err, io.EOF) {
		b.outcome = feedCutOff
	}
	return n, err
}

// Close lets the answer go.
func (b *countedBody) Close() error {
	b.once.Do(func() { b.told(b.outcome) })
	return b.ReadCloser.Close()
}
