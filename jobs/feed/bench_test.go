package feed_test

import (
	"bytes"
	"compress/gzip"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"osier/jobs/feed"
)

const address = "https://feed.example/data?lat=51.5"

// noon is in the middle of an hour, so that no moment below is moved off a
// full hour unless the test is about that.
var noon = time.Date(2026, 2, 6, 12, 10, 0, 0, time.UTC)

// bench is a client in front of a feed that the test plays.
type bench struct {
	t      *testing.T
	now    time.Time
	client *feed.Client
	seen   []*http.Request
	answer func(*http.Request) (*http.Response, error)
}

func (b *bench) RoundTrip(r *http.Request) (*http.Response, error) {
	b.seen = append(b.seen, r)
	return b.answer(r)
}

func newBench(t *testing.T, adjust ...func(*feed.Options)) *bench {
	t.Helper()
	b := &bench{t: t, now: noon}
	o := feed.Options{
		Application: "osier/test", Contact: "angler@club.example",
		Transport: b, Now: func() time.Time { return b.now }, Random: func() float64 { return 0 },
		Spacing: time.Nanosecond,
	}
	for _, a := range adjust {
		a(&o)
	}
	var err error
	if b.client, err = feed.New(o); err != nil {
		t.Fatal(err)
	}
	return b
}

func (b *bench) get(state feed.State) (feed.Result, feed.State) {
	b.t.Helper()
	return b.client.Get(b.t.Context(), feed.Request{URL: address, Want: feed.JSON, MinInterval: 10 * time.Minute}, state)
}

// answers makes the feed answer with a status, a body and headers "Name: value".
func (b *bench) answers(status int, body string, headers ...string) {
	b.answer = func(*http.Request) (*http.Response, error) { return response(status, body, headers...), nil }
}

func response(status int, body string, headers ...string) *http.Response {
	h := http.Header{}
	for _, line := range headers {
		name, value, _ := strings.Cut(line, ": ")
		h.Set(name, value)
	}
	return &http.Response{StatusCode: status, Header: h, Body: io.NopCloser(strings.NewReader(body)), ContentLength: int64(len(body))}
}

const goodBody = `{"t":1}`

var goodHeaders = []string{
	"Content-Type: application/json", "Date: Fri, 06 Feb 2026 12:10:00 GMT", "Expires: Fri, 06 Feb 2026 12:41:52 GMT",
	"Last-Modified: Fri, 06 Feb 2026 11:44:31 GMT", `ETag: "a1"`,
}

func pack(t *testing.T, text string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	if _, err := io.WriteString(z, text); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

type roundTrip func(*http.Request) (*http.Response, error)

func (f roundTrip) RoundTrip(r *http.Request) (*http.Response, error) { return f(r) }
