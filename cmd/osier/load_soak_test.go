//go:build load

package main

import (
	"bufio"
	"io"
	"net"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// figure reads one figure of the program from its /metrics.
func (s *program) figure(name string) float64 {
	s.t.Helper()
	in := bufio.NewScanner(strings.NewReader(string(s.mustAnswer(http.StatusOK, "GET", "/metrics", ""))))
	for in.Scan() {
		if value, found := strings.CutPrefix(in.Text(), name+" "); found {
			v, err := strconv.ParseFloat(value, 64)
			if err != nil {
				s.t.Fatal(err)
			}
			return v
		}
	}
	s.t.Fatalf("/metrics has no %s", name)
	return 0
}

// fillCache asks for different pages until the cache is full: what it grows by
// until then is no leak.
func (s *program) fillCache() {
	s.t.Helper()
	asked := 0
	for filled := 0; filled < cacheBytes*5/4; asked++ {
		filled += len(s.mustAnswer(http.StatusOK, "GET", "/v1/waters?after=a"+strconv.Itoa(asked), ""))
	}
	s.t.Logf("the cache was filled by %d answers", asked)
}

// A day of a club's asking and writing, compressed: neither memory nor
// goroutines grow once everything is warm.
func TestLoadSoak(t *testing.T) {
	t.Parallel()
	const parts = 10
	long := figureOf(time.Minute, 20*time.Minute)
	data, args := clubData(t)
	s := serveProgram(t, data, args...)
	s.fillCache()
	requests := clubRequests(s, "")
	writing := len(requests) - 1
	var memory, goroutines []float64
	asked := 0
	for i := range requests {
		requests[i].every /= 2
	}
	often := requests[writing].every
	for part := range parts {
		requests[writing] = writeRecords("quillmarsh-pit", "soak-"+strconv.Itoa(part), demoNow)
		requests[writing].every = often
		for name, got := range loadFor(t, []string{s.Address}, long/parts, requests) {
			asked += got.asked
			if got.done() != got.asked {
				t.Errorf("%s: %s", name, got)
			}
		}
		memory = append(memory, s.figure("go_memstats_heap_inuse_bytes")/(1<<20))
		goroutines = append(goroutines, s.figure("go_goroutines"))
	}
	// The lowest of each half: a collection may be due at any one instant.
	early, late := slices.Min(memory[parts/5:parts*3/5]), slices.Min(memory[parts*3/5:])
	t.Logf("%d requests in %s; heap in use, MiB: %.0f; goroutines %.0f; resident %.0f MiB", asked, long, memory, goroutines, s.figure("process_resident_memory_bytes")/(1<<20))
	if late > early*1.25+4 {
		t.Errorf("the heap grew from %.0f to %.0f MiB", early, late)
	}
	if last := goroutines[parts-1]; last > slices.Max(goroutines[:parts/2])+10 {
		t.Errorf("goroutines grew: %.0f", goroutines)
	}
}

// Many who connect and say nothing cost little, and are let go.
func TestLoadManyConnections(t *testing.T) {
	t.Parallel()
	connections := figureOf(2_000, 10_000)
	data, args := clubData(t)
	s := serveProgram(t, data, args...)
	before := s.figure("process_resident_memory_bytes")
	silent := make([]net.Conn, 0, connections)
	t.Cleanup(func() {
		for _, c := range silent {
			_ = c.Close()
		}
	})
	began := time.Now()
	for range connections {
		c, err := net.DialTimeout("tcp", strings.TrimPrefix(s.Address, "http://"), 5*time.Second)
		if err != nil {
			t.Fatalf("after %d connections: %v", len(silent), err)
		}
		silent = append(silent, c)
	}
	opened := time.Since(began)
	began = time.Now()
	s.mustAnswer(http.StatusOK, "GET", "/v1/waters", "")
	another := time.Since(began)
	each := (s.figure("process_resident_memory_bytes") - before) / float64(connections)
	began = time.Now()
	for _, c := range silent {
		if err := c.SetReadDeadline(began.Add(20 * time.Second)); err != nil {
			t.Fatal(err)
		}
		if _, err := io.Copy(io.Discard, c); err != nil {
			t.Fatalf("a silent caller was kept for 20 s: %v", err)
		}
	}
	t.Logf("%d silent connections opened in %s, %.0f bytes each; another caller was served in %s; all let go %s later",
		connections, opened.Round(time.Millisecond), each, another.Round(time.Millisecond), time.Since(began).Round(time.Millisecond))
	if each > 64<<10 {
		t.Errorf("a silent connection costs %.0f bytes", each)
	}
}
