package main

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/fstest"
	"time"
)

const londonWrapped = `{"status_code": 200, "headers": {
	"Server": "nginx", "Date": "Mon, 20 Jul 2020 11:44:31 GMT", "Content-Length": "4313", "Content-Encoding": "gzip",
	"Expires": "Mon, 20 Jul 2020 12:16:23 GMT", "Last-Modified": "Mon, 20 Jul 2020 11:44:31 GMT"}, "data": {"place": "london"}}`

const replayRoutes = `{"routes": [
	{"file": "london.json", "wrapped": true, "path": "/forecast", "query": {"lat": "51\\.5.*", "lon": "-0\\.1"}},
	{"file": "oslo.json", "path": "/forecast", "query": {"lat": "59\\..*"}, "headers": {"ETag": "\"v1\"", "Cache-Control": "max-age=60"}},
	{"file": "cache.csv", "path": "/data/cache.csv.gz"},
	{"file": "busy.json", "path": "/busy", "status": 429, "headers": {"Retry-After": "60"}},
	{"file": "london.json", "wrapped": true, "path": "/old", "status": 203, "headers": {"Expires": "Mon, 20 Jul 2020 13:00:00 GMT"}},
	{"path": "/forbidden", "status": 403}
]}`

func replayFiles(routes string) fstest.MapFS {
	return fstest.MapFS{
		"replay.json": {Data: []byte(routes)},
		"london.json": {Data: []byte(londonWrapped)},
		"oslo.json":   {Data: []byte(`{"place":"oslo"}`)},
		"cache.csv":   {Data: []byte("raw_text\nEGXX\n")},
		"busy.json":   {Data: []byte(`{"error":true,"reason":"Too many concurrent requests"}`)},
	}
}

var replayNow = time.Date(2026, 2, 6, 12, 0, 0, 0, time.UTC)

func askReplay(t *testing.T, method, target string, headers ...string) *http.Response {
	t.Helper()
	handler, err := newReplay(replayFiles(replayRoutes), func() time.Time { return replayNow })
	if err != nil {
		t.Fatal(err)
	}
	r := httptest.NewRequest(method, target, nil)
	for _, line := range headers {
		name, value, _ := strings.Cut(line, ": ")
		r.Header.Set(name, value)
	}
	w := httptest.NewRecorder()
	handler.ServeHTTP(w, r)
	return w.Result()
}

func replayBody(t *testing.T, r *http.Response) string {
	t.Helper()
	b, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestReplayAnswers(t *testing.T) {
	for _, c := range []struct {
		target  string
		status  int
		body    string
		headers map[string]string
	}{
		{"/forecast?lat=51.5074&lon=-0.1&altitude=25", 200, `{"place": "london"}`, map[string]string{
			"Date": "Mon, 20 Jul 2020 11:44:31 GMT", "Expires": "Mon, 20 Jul 2020 12:16:23 GMT",
			"Last-Modified": "Mon, 20 Jul 2020 11:44:31 GMT", "Content-Type": "application/json",
			"Content-Length": "19", "Content-Encoding": "", "Server": "",
		}},
		{"/forecast?lat=59.9139", 200, `{"place":"oslo"}`, map[string]string{
			"ETag": `"v1"`, "Cache-Control": "max-age=60", "Date": "Fri, 06 Feb 2026 12:00:00 GMT",
		}},
		{"/busy", 429, `{"error":true,"reason":"Too many concurrent requests"}`, map[string]string{"Retry-After": "60"}},
		{"/old", 203, `{"place": "london"}`, map[string]string{"Expires": "Mon, 20 Jul 2020 13:00:00 GMT"}},
		{"/forbidden", 403, "", nil},
	} {
		r := askReplay(t, "GET", c.target)
		if got := replayBody(t, r); r.StatusCode != c.status || got != c.body {
			t.Errorf("%s: %d %q, want %d %q", c.target, r.StatusCode, got, c.status, c.body)
		}
		for name, want := range c.headers {
			if got := r.Header.Get(name); got != want {
				t.Errorf("%s: %s %q, want %q", c.target, name, got, want)
			}
		}
	}
}

func TestReplayNamesWhatItDoesNotHave(t *testing.T) {
	for _, target := range []string{
		"/nowhere", "/forecast", "/forecast?lat=51.5", // a listed key is missing
		"/forecast?lat=151.5&lon=-0.1", "/forecast?lat=51.5&lon=-0.12", // part of a value is no match
	} {
		r := askReplay(t, "GET", target)
		var problem struct{ Detail string }
		if err := json.Unmarshal([]byte(replayBody(t, r)), &problem); err != nil {
			t.Fatal(err)
		}
		if r.StatusCode != 404 || !strings.Contains(problem.Detail, target) {
			t.Errorf("%s: %d %q, want 404 and the address named", target, r.StatusCode, problem.Detail)
		}
	}
	if r := askReplay(t, "HEAD", "/busy"); r.StatusCode != 405 || r.Header.Get("Allow") != "GET" {
		t.Errorf("HEAD: %d, want 405", r.StatusCode)
	}
}

func TestReplayPacksAnew(t *testing.T) {
	for accept, packed := range map[string]bool{"gzip": true, "br, gzip;q=0.5": true, "gzip;q=0": false, "": false, "x-gzip2": false} {
		r := askReplay(t, "GET", "/forecast?lat=59.9", "Accept-Encoding: "+accept)
		if got := r.Header.Get("Content-Encoding") == "gzip"; got != packed {
			t.Errorf("Accept-Encoding %q: packed %v, want %v", accept, got, packed)
			continue
		}
		body := replayBody(t, r)
		if packed {
			body = gunzipText(t, body)
		}
		if body != `{"place":"oslo"}` {
			t.Errorf("Accept-Encoding %q: %q", accept, body)
		}
	}
	r := askReplay(t, "GET", "/data/cache.csv.gz", "Accept-Encoding: gzip")
	if r.Header.Get("Content-Type") != "application/gzip" || r.Header.Get("Content-Encoding") != "" {
		t.Errorf("a .gz address: headers %v, want application/gzip and no encoding", r.Header)
	}
	if got := gunzipText(t, replayBody(t, r)); got != "raw_text\nEGXX\n" {
		t.Errorf("a .gz address: %q", got)
	}
}

func gunzipText(t *testing.T, packed string) string {
	t.Helper()
	z, err := gzip.NewReader(strings.NewReader(packed))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if _, err := io.Copy(&b, z); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestReplayAnswersConditionalRequests(t *testing.T) {
	const london, oslo = "/forecast?lat=51.5&lon=-0.1", "/forecast?lat=59.9"
	for _, c := range []struct {
		name, target, header string
		status               int
	}{
		{"the same date", london, "If-Modified-Since: Mon, 20 Jul 2020 11:44:31 GMT", 304},
		{"a later date", london, "If-Modified-Since: Mon, 20 Jul 2020 12:00:00 GMT", 304},
		{"an earlier date", london, "If-Modified-Since: Mon, 20 Jul 2020 11:00:00 GMT", 200},
		{"a date in ISO form is no condition", london, "If-Modified-Since: 2020-07-20T11:44:31Z", 200},
		{"a date where none is recorded", oslo, "If-Modified-Since: Mon, 20 Jul 2020 11:44:31 GMT", 200},
		{"the same tag", oslo, `If-None-Match: "v0", W/"v1"`, 304},
		{"another tag", oslo, `If-None-Match: "v2"`, 200},
		{"a tag where none is recorded", london, `If-None-Match: "v2"`, 200},
		{"only 200 has conditions", "/old", "If-Modified-Since: Mon, 20 Jul 2020 11:44:31 GMT", 203},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := askReplay(t, "GET", c.target, c.header, "Accept-Encoding: gzip")
			if r.StatusCode != c.status {
				t.Errorf("status %d, want %d", r.StatusCode, c.status)
			}
			if c.status == 304 && (replayBody(t, r) != "" || r.Header.Get("Content-Encoding") != "") {
				t.Error("a 304 has no body and no encoding")
			}
		})
	}
	if r := askReplay(t, "GET", london, "If-Modified-Since: Mon, 20 Jul 2020 11:44:31 GMT"); r.Header.Get("Expires") == "" {
		t.Error("a 304 renews Expires")
	}
}

func TestReplayRefusesAWrongMap(t *testing.T) {
	for _, c := range []struct{ name, routes, want string }{
		{"not JSON", `{"routes": [`, "replay.json"},
		{"a list", `[]`, `{"routes": [...]}`},
		{"something after the end", replayRoutes + "{}", "follows after its end"},
		{"an unknown field at the top", `{"route": []}`, `unknown field "route"`},
		{"no routes", `{"routes": []}`, "routes: there is none"},
		{"an unknown field", `{"routes": [{"file": "oslo.json", "path": "/a"}, {"file": "oslo.json", "pth": "/b"}]}`, `route 2: unknown field "pth"`},
		{"a number for a text", `{"routes": [{"file": 7}]}`, "route 1: "},
		{"no path", `{"routes": [{"file": "oslo.json"}]}`, "route 1: path"},
		{"no file", `{"routes": [{"path": "/a"}]}`, "route 1: file"},
		{"a missing file", `{"routes": [{"file": "paris.json", "path": "/a"}]}`, `route 1: file: "paris.json" cannot be read`},
		{"a file outside", `{"routes": [{"file": "../oslo.json", "path": "/a"}]}`, "route 1: file: \"../oslo.json\" is not inside"},
		{"an absolute file", `{"routes": [{"file": "/oslo.json", "path": "/a"}]}`, "route 1: file"},
		{"a bad pattern", `{"routes": [{"file": "oslo.json", "path": "/a", "query": {"lat": "("}}]}`, "route 1: query: lat"},
		{"a pattern that would undo the whole match", `{"routes": [{"file": "oslo.json", "path": "/a", "query": {"lat": "a)|(b"}}]}`, "route 1: query: lat"},
		{"a header that is not sent", `{"routes": [{"file": "oslo.json", "path": "/a", "headers": {"Server": "x"}}]}`, "route 1: headers: Server"},
		{"a status that is none", `{"routes": [{"file": "oslo.json", "path": "/a", "status": 99}]}`, "route 1: status"},
		{"not wrapped", `{"routes": [{"file": "oslo.json", "path": "/a", "wrapped": true}]}`, "route 1: wrapped"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := newReplay(replayFiles(c.routes), time.Now)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("error %v, want one that says %q", err, c.want)
			}
		})
	}
	if _, err := newReplay(fstest.MapFS{}, time.Now); err == nil || !strings.Contains(err.Error(), "replay.json") {
		t.Errorf("no replay.json: %v", err)
	}
}
