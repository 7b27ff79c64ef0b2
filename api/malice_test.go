package api_test

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"runtime"
	"strings"
	"testing"
	"time"
)

// open serves the house on a loopback port with the limits of the program, which
// change may tighten so that a test need not wait for them.
func (h *house) open(change func(*http.Server)) (address string) {
	h.t.Helper()
	server := h.api.HTTPServer()
	if change != nil {
		change(server)
	}
	l, err := (&net.ListenConfig{}).Listen(h.t.Context(), "tcp", "127.0.0.1:0")
	must(h.t, err)
	done := make(chan error, 1)
	go func() { done <- server.Serve(l) }()
	h.t.Cleanup(func() {
		_ = server.Close()
		if err := <-done; err != http.ErrServerClosed { //nolint:errorlint // Serve returns this very value
			h.t.Error(err)
		}
	})
	return l.Addr().String()
}

// dial opens a connection that lasts as long as the test.
func dial(t *testing.T, address string) net.Conn {
	t.Helper()
	c, err := (&net.Dialer{Timeout: 5 * time.Second}).DialContext(t.Context(), "tcp", address)
	must(t, err)
	t.Cleanup(func() { _ = c.Close() })
	return c
}

// untilClosed reads until the other side hangs up, and says how long that took.
func untilClosed(t *testing.T, c net.Conn) time.Duration {
	t.Helper()
	began := time.Now()
	must(t, c.SetReadDeadline(began.Add(20*time.Second)))
	if _, err := io.Copy(io.Discard, c); err != nil {
		t.Errorf("the connection was not closed within 20 s: %v", err)
	}
	return time.Since(began)
}

// Callers who send their request a byte at a time, or none of it, are cut off,
// and others are served meanwhile.
func TestSlowCallersAreCutOff(t *testing.T) {
	h := newHouse(t)
	if s := h.api.HTTPServer(); s.ReadHeaderTimeout > 10*time.Second || s.ReadTimeout > 2*time.Minute || s.WriteTimeout > 2*time.Minute || s.IdleTimeout > 5*time.Minute {
		t.Errorf("the limits are %s, %s, %s, %s", s.ReadHeaderTimeout, s.ReadTimeout, s.WriteTimeout, s.IdleTimeout)
	}
	address := h.open(func(s *http.Server) { s.ReadHeaderTimeout, s.ReadTimeout = 300*time.Millisecond, 600*time.Millisecond })
	const callers = 200
	var slow [callers]net.Conn
	for i := range slow {
		slow[i] = dial(t, address)
		_, err := io.WriteString(slow[i], "GET /healthz HTTP/1.1\r\nHost: x\r\nX-Drip: a")
		must(t, err)
	}
	body := dial(t, address)
	_, err := io.WriteString(body, "POST /v1/plans HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 1000\r\n\r\n{")
	must(t, err)
	began := time.Now()
	served, err := get(t.Context(), "http://"+address+"/healthz")
	must(t, err)
	t.Logf("with %d slow callers another was served in %s", callers, time.Since(began).Round(time.Millisecond))
	if served != http.StatusOK {
		t.Errorf("another caller was answered %d", served)
	}
	for _, c := range slow {
		untilClosed(t, c)
	}
	t.Logf("all %d were cut off after %s; a slow body after %s", callers, time.Since(began).Round(time.Millisecond), untilClosed(t, body).Round(time.Millisecond))
}

func get(ctx context.Context, url string) (status int, err error) {
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, url, nil)
	if err != nil {
		return 0, err
	}
	w, err := http.DefaultClient.Do(r)
	if err != nil {
		return 0, err
	}
	_, err = io.Copy(io.Discard, w.Body)
	return w.StatusCode, errors.Join(err, w.Body.Close())
}

// What does not belong into a head is refused before any handler sees it.
func TestHeadsThatAreNoHeads(t *testing.T) {
	address := newHouse(t).open(nil)
	for _, c := range []struct {
		name, head string
		status     int
	}{
		{"a header of a megabyte", "GET /healthz HTTP/1.1\r\nHost: x\r\nX-A: " + strings.Repeat("a", 1<<20), http.StatusRequestHeaderFieldsTooLarge},
		{"ten thousand headers", "GET /healthz HTTP/1.1\r\nHost: x\r\n" + strings.Repeat("X-A: b\r\n", 10_000), http.StatusRequestHeaderFieldsTooLarge},
		{"a path of a megabyte", "GET /" + strings.Repeat("a", 1<<20) + " HTTP/1.1\r\nHost: x", http.StatusRequestHeaderFieldsTooLarge},
		{"no host", "GET /healthz HTTP/1.1", http.StatusBadRequest},
		{"two lengths", "POST /v1/plans HTTP/1.1\r\nHost: x\r\nContent-Length: 2\r\nContent-Length: 3", http.StatusBadRequest},
		{"a length and chunks", "POST /v1/plans HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nTransfer-Encoding: cow\r\nContent-Length: 3", http.StatusNotImplemented},
		{"a line break in a header's name", "GET /healthz HTTP/1.1\r\nHost: x\r\nX-\nA: b", http.StatusBadRequest},
		{"a NUL in a header", "GET /healthz HTTP/1.1\r\nHost: x\r\nX-A: \x00", http.StatusBadRequest},
	} {
		t.Run(c.name, func(t *testing.T) {
			conn := dial(t, address)
			must(t, conn.SetDeadline(time.Now().Add(10*time.Second)))
			_, _ = io.WriteString(conn, c.head+"\r\n\r\n") // it may hang up before all is written
			w, err := http.ReadResponse(bufio.NewReader(conn), nil)
			if err != nil {
				t.Fatalf("no answer: %v", err)
			}
			defer w.Body.Close()
			if w.StatusCode != c.status {
				t.Errorf("answered %d, want %d", w.StatusCode, c.status)
			}
		})
	}
}

// Bodies made to cost more than they weigh cost no more than their weight.
func TestBodiesThatWouldGrow(t *testing.T) {
	h := newPit(t)
	deep := func(open, end string, n int) string { return strings.Repeat(open, n) + strings.Repeat(end, n) }
	var bomb bytes.Buffer
	packer := gzip.NewWriter(&bomb)
	_, err := packer.Write(bytes.Repeat([]byte(" "), 64<<20))
	must(t, err)
	must(t, packer.Close())
	for _, c := range []struct {
		name, path, body string
		headers          []header
		field            string
		status           int
	}{
		{"lists in lists", "/v1/plans", deep("[", "]", 500_000), nil, "body", invalid},
		{"objects in objects", "/v1/sessions", deep(`{"a":`, "}", 150_000), nil, "body", invalid},
		{"lists in lists, in a field", "/v1/plans", `{"group":` + deep("[", "]", 400_000) + "}", nil, "body", invalid},
		{"a number of a million digits", "/v1/plans", `{"hours":` + strings.Repeat("9", 1_000_000) + "}", nil, "hours", invalid},
		{"64 MiB packed into little", "/v1/plans", bomb.String(), []header{{"Content-Encoding", "gzip"}}, "Content-Encoding", invalid},
		{"the same for a file", "/v1/imports", bomb.String(), []header{{"Content-Encoding", "gzip"}, {"Content-Type", "text/csv"}}, "Content-Encoding", invalid},
		{"2 MiB of blanks", "/v1/plans", strings.Repeat(" ", 2<<20), nil, "body", tooLarge},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := h.on(t)
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			w := h.send("POST", c.path, c.body, c.headers...)
			runtime.ReadMemStats(&after)
			allocated := after.TotalAlloc - before.TotalAlloc
			if p := h.problem(w, c.status); p.Field != c.field || len(p.Detail) > 1000 {
				t.Errorf("refused for %q in %d characters", p.Field, len(p.Detail))
			}
			t.Logf("%d bytes sent, %d bytes allocated", len(c.body), allocated)
			if most := uint64(64 << 20); allocated > most {
				t.Errorf("%d bytes sent made the server allocate %d", len(c.body), allocated)
			}
		})
	}
}

// Nothing that stands in a path reaches a file, another object or a header.
func TestNothingIsInjectedByAPath(t *testing.T) {
	h := newPit(t)
	for _, c := range []struct {
		path   string
		status int
	}{
		{"/v1/waters/..%2f..%2f..%2fetc%2fpasswd", notFound},
		{"/v1/waters/%2e%2e/jobs", notFound},
		{"/v1/plans/..%5c..%5cosier.db", notFound},
		{"/v1/plans/p-0%00.json", notFound},
		{"/v1/plans/p-0%0d%0aSet-Cookie:%20a=b", notFound},
		{"/v1/sessions/s-0'%20OR%20'1'='1", notFound},
		{"/v1/sessions/%27%3B%20DROP%20TABLE%20sessions%3B--", notFound},
		{"/v1/imports/%f0%28%8c%bc", notFound},
		{"/bank/..%2f..%2fserver.go", notFound},
		{"/bank/%2e%2e%2fserver.go", notFound},
		{"//v1//waters", notFound},
	} {
		t.Run(c.path, func(t *testing.T) {
			h := h.on(t)
			w := h.send("GET", c.path, "")
			h.problem(w, c.status)
			for name, values := range w.Header() {
				if name == "Set-Cookie" || strings.ContainsAny(fmt.Sprint(values), "\r\n") {
					t.Errorf("header %s: %q", name, values)
				}
			}
		})
	}
	h.wants(h.send("GET", "/v1/waters/quillmarsh-pit", ""), http.StatusOK)
}
