package main

import (
	"cmp"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
)

// faultyReplay serves the recordings of the replay tests on loopback.
func faultyReplay(t *testing.T) (p *replay, base string) {
	t.Helper()
	p, err := newReplay(replayFiles(replayRoutes), func() time.Time { return replayNow })
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(p)
	t.Cleanup(server.Close)
	return p, server.URL
}

// ask sends a request without compression, so that lengths can be told.
func ask(t *testing.T, method, url, body string, headers ...string) (*http.Response, string, error) {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), method, url, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Accept-Encoding", "identity")
	for _, line := range headers {
		name, value, _ := strings.Cut(line, ": ")
		r.Header.Set(name, value)
	}
	resp, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	got, err := io.ReadAll(resp.Body)
	return resp, string(got), err
}

func TestReplayFaults(t *testing.T) {
	const oslo, tag = `{"place":"oslo"}`, "If-None-Match: \"v1\""
	for _, c := range []struct {
		name   string
		fault  faultText
		status int
		body   string // the beginning
		header map[string]string
		broken bool
	}{
		{"none", faultText{}, 304, "", map[string]string{"ETag": `"v1"`}, false},
		{"slow", faultText{Fault: "slow", DelayMs: 1}, 304, "", nil, false},
		{"cut", faultText{Fault: "cut"}, 200, `{"place"`, map[string]string{"Content-Length": "16", "ETag": `"v1"`}, true},
		{"304", faultText{Fault: "304"}, 304, "", map[string]string{"ETag": `"v1"`, "Content-Type": ""}, false},
		{"203", faultText{Fault: "203"}, 203, oslo, map[string]string{"ETag": `"v1"`}, false},
		{"403", faultText{Fault: "403"}, 403, `{"status":403`, map[string]string{"Content-Type": "application/problem+json", "ETag": ""}, false},
		{"404", faultText{Fault: "404"}, 404, `{"status":404`, nil, false},
		{"429", faultText{Fault: "429"}, 429, `{"status":429`, map[string]string{"Retry-After": ""}, false},
		{"429 with Retry-After", faultText{Fault: "429", RetryAfter: "120"}, 429, `{"status":429`, map[string]string{"Retry-After": "120"}, false},
		{"500", faultText{Fault: "500"}, 500, `{"status":500`, nil, false},
		{"html", faultText{Fault: "html"}, 200, "<!doctype html>", map[string]string{"Content-Type": "text/html; charset=utf-8", "ETag": `"v1"`}, false},
		{"wrong units", faultText{Fault: "wrong_units", Replace: map[string]string{"oslo": "K", "os": "x", "place": "oslo"}}, 200, `{"oslo":"K"}`, map[string]string{"ETag": `"v1"`}, false},
		{"empty features", faultText{Fault: "empty_features"}, 200, noFeatures, map[string]string{"Content-Type": "application/geo+json"}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, base := faultyReplay(t)
			if err := p.setFault("/forecast", faultText{Fault: "500"}); err != nil { // the one before leaves no trace
				t.Fatal(err)
			}
			if err := c.fault.check(p.routes[1]); err != nil {
				t.Fatal(err)
			}
			p.routes[1].befall(c.fault)
			// A conditional request: only what is well or slow minds it.
			resp, body, err := ask(t, "GET", base+"/forecast?lat=59.9", "", tag)
			if resp.StatusCode != c.status || !strings.HasPrefix(body, c.body) || (body == "") != (c.body == "") || (err != nil) != c.broken {
				t.Errorf("%d %q, error %v; want %d %q, broken off %v", resp.StatusCode, body, err, c.status, c.body, c.broken)
			}
			for name, want := range c.header {
				if got := resp.Header.Get(name); got != want {
					t.Errorf("%s %q, want %q", name, got, want)
				}
			}
			if got := resp.Header.Get("Date"); got != "Fri, 06 Feb 2026 12:00:00 GMT" {
				t.Errorf("Date %q", got)
			}
		})
	}
}

func TestReplayIsSlowForAsLongAsItSays(t *testing.T) {
	p, base := faultyReplay(t)
	if err := p.setFault("/busy", faultText{Fault: "slow", DelayMs: 60_000}); err != nil {
		t.Fatal(err)
	}
	client := http.Client{Timeout: 20 * time.Millisecond}
	if resp, err := client.Get(base + "/busy"); err == nil {
		resp.Body.Close()
		t.Errorf("status %d within 20 ms, want no answer", resp.StatusCode)
	}
}

// Wrong units are wrong inside a packed file too.
func TestReplayPacksAFaultyFileAnew(t *testing.T) {
	p, base := faultyReplay(t)
	if err := p.setFault("/data/cache.csv.gz", faultText{Fault: "wrong_units", Replace: map[string]string{"EGXX": "EGYY"}}); err != nil {
		t.Fatal(err)
	}
	if _, body, err := ask(t, "GET", base+"/data/cache.csv.gz", ""); err != nil || gunzipText(t, body) != "raw_text\nEGYY\n" {
		t.Errorf("%q, error %v", body, err)
	}
}

// A fault is set, and requests are counted, while the replay runs.
func TestReplayFaultsAreSetWhileItRuns(t *testing.T) {
	_, base := faultyReplay(t)
	status := func(target string) int {
		resp, _, err := ask(t, "GET", base+target, "")
		if err != nil {
			t.Fatal(err)
		}
		return resp.StatusCode
	}
	set := func(body string) int {
		resp, _, err := ask(t, "POST", base+faultPath, body)
		if err != nil {
			t.Fatal(err)
		}
		return resp.StatusCode
	}
	steps := []int{
		status("/forecast?lat=59.9"), set(`{"path": "/forecast", "fault": "404"}`), status("/forecast?lat=59.9"),
		status("/forecast?lat=51.5&lon=-0.1"), set(`{"path": "/forecast"}`), status("/forecast?lat=59.9"), status("/nowhere"),
	}
	for i, want := range []int{200, 200, 404, 404, 200, 200, 404} {
		if steps[i] != want {
			t.Errorf("step %d: status %d, want %d", i+1, steps[i], want)
		}
	}
	set(`{"path": "/busy", "fault": "429", "retry_after": "7"}`)
	_, body, err := ask(t, "GET", base+faultPath, "")
	if err != nil {
		t.Fatal(err)
	}
	var counts struct{ Routes []routeCount }
	if err := json.Unmarshal([]byte(body), &counts); err != nil {
		t.Fatal(err)
	}
	if r := counts.Routes; len(r) != 6 || r[0].Asked != 1 || r[1].Asked != 3 || r[3].Asked != 0 || r[3].Fault != "429" || r[3].RetryAfter != "7" || r[1].Fault != "" {
		t.Errorf("counts %+v", counts.Routes)
	}
}

func TestReplayRefusesAWrongFault(t *testing.T) {
	_, base := faultyReplay(t)
	for _, c := range []struct{ name, setting, want string }{
		{"no such fault", `{"path": "/busy", "fault": "slw"}`, `route 4: fault: "slw" is no fault; give one of slow, cut`},
		{"no such path", `{"path": "/nowhere", "fault": "cut"}`, `path: no route has the path "/nowhere"`},
		{"no such field", `{"path": "/busy", "falt": "cut"}`, `unknown field "falt"`},
		{"slow without a delay", `{"path": "/busy", "fault": "slow"}`, "route 4: delay_ms"},
		{"a delay beyond patience", `{"path": "/busy", "fault": "slow", "delay_ms": 600001}`, "route 4: delay_ms"},
		{"a delay of something else", `{"path": "/busy", "fault": "500", "delay_ms": 5}`, `it goes with the fault "slow"`},
		{"a Retry-After of something else", `{"path": "/busy", "fault": "500", "retry_after": "5"}`, `it goes with the fault "429"`},
		{"a replacement of something else", `{"path": "/busy", "replace": {"a": "b"}}`, `it goes with the fault "wrong_units"`},
		{"wrong units without a replacement", `{"path": "/busy", "fault": "wrong_units"}`, "route 4: replace: it is missing"},
		{"a replacement that does nothing", `{"path": "/busy", "fault": "wrong_units", "replace": {"celsius": "K"}}`, `route 4: replace: "celsius" is not in busy.json`},
		{"nothing to cut", `{"path": "/forbidden", "fault": "cut"}`, "route 6: fault: there is nothing to cut off"},
	} {
		t.Run(c.name, func(t *testing.T) {
			resp, body, err := ask(t, "POST", base+faultPath, c.setting)
			var problem struct{ Detail string }
			if err := cmp.Or(err, json.Unmarshal([]byte(body), &problem)); err != nil {
				t.Fatal(err)
			}
			if resp.StatusCode != 400 || !strings.Contains(problem.Detail, c.want) {
				t.Errorf("%d %q, want 400 and %q", resp.StatusCode, problem.Detail, c.want)
			}
		})
	}
	if resp, _, _ := ask(t, "GET", base+"/busy", ""); resp.StatusCode != 429 || resp.Header.Get("Retry-After") != "60" {
		t.Errorf("after all that %d, Retry-After %q; want the recording", resp.StatusCode, resp.Header.Get("Retry-After"))
	}
	for _, c := range []struct{ name, routes, want string }{
		{"no such fault", `{"routes": [{"file": "oslo.json", "path": "/a"}, {"file": "oslo.json", "path": "/b", "fault": "gone"}]}`, `route 2: fault: "gone" is no fault`},
		{"a route where faults are set", `{"routes": [{"file": "oslo.json", "path": "/-/fault"}]}`, "route 1: path"},
	} {
		if _, err := newReplay(replayFiles(c.routes), time.Now); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one that says %q", c.name, err, c.want)
		}
	}
	if p, err := newReplay(replayFiles(`{"routes": [{"file": "oslo.json", "path": "/a", "fault": "slow", "delay_ms": 5}]}`), time.Now); err != nil || p.routes[0].now.delay != 5*time.Millisecond {
		t.Errorf("a fault from the start: %v", err)
	}
}

// Faults are nobody's business but the machine's own.
func TestReplayFaultsAreForTheMachineItself(t *testing.T) {
	if r := askReplay(t, "GET", faultPath); r.StatusCode != 403 { // from 192.0.2.1
		t.Errorf("from elsewhere: %d, want 403", r.StatusCode)
	}
	_, base := faultyReplay(t)
	if resp, _, _ := ask(t, "DELETE", base+faultPath, ""); resp.StatusCode != 405 || resp.Header.Get("Allow") != "GET, POST" {
		t.Errorf("DELETE: %d, Allow %q", resp.StatusCode, resp.Header.Get("Allow"))
	}
}
