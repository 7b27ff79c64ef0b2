package main

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"
)

// replay answers as the feeds did when they were recorded, or as they do when
// something is wrong with them.
type replay struct {
	routes []*replayRoute
	now    func() time.Time
	mu     sync.Mutex // guards the fault and the count of every route
}

func (p *replay) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if r.URL.Path == faultPath {
		p.serveFaults(w, r)
		return
	}
	if r.Method != http.MethodGet {
		w.Header().Set("Allow", http.MethodGet)
		p.refuse(w, http.StatusMethodNotAllowed, r.Method+" is not answered; the feeds are asked with GET")
		return
	}
	for _, route := range p.routes {
		if route.matches(r) {
			p.answer(w, r, p.counted(route))
			return
		}
	}
	p.refuse(w, http.StatusNotFound, fmt.Sprintf("no route of %s answers %s", replayFile, r.URL.RequestURI()))
}

// counted notes that a route was asked and gives its answer of the moment.
func (p *replay) counted(route *replayRoute) replayAnswer {
	p.mu.Lock()
	defer p.mu.Unlock()
	route.asked++
	return route.now
}

func (p *replay) answer(w http.ResponseWriter, r *http.Request, a replayAnswer) {
	if !waited(r.Context(), a.delay) {
		return
	}
	h := w.Header()
	h.Set("Date", p.now().UTC().Format(http.TimeFormat))
	for name, values := range a.header {
		h[name] = values
	}
	if !a.asIs && notModified(r.Header, a.header) {
		a.status = http.StatusNotModified
	}
	if a.status == http.StatusNoContent || a.status == http.StatusNotModified {
		h.Del("Content-Type")
		w.WriteHeader(a.status)
		return
	}
	body := a.plain
	if a.packed != nil {
		h.Set("Vary", "Accept-Encoding")
		if takesGzip(r.Header.Get("Accept-Encoding")) {
			h.Set("Content-Encoding", "gzip")
			body = a.packed
		}
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(a.status)
	if a.cutHalf {
		body = body[:len(body)/2] // the server hangs up on a handler that wrote less than it announced
	}
	_, _ = w.Write(body) // who hung up does not want it
}

// waited lets the time pass; false when whoever asked has hung up.
func waited(ctx context.Context, d time.Duration) bool {
	if d == 0 {
		return true
	}
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
		return true
	case <-ctx.Done():
		return false
	}
}

// refuse says in a problem document (RFC 9457) why there is no recording.
func (p *replay) refuse(w http.ResponseWriter, status int, detail string) {
	body, err := json.Marshal(map[string]any{"title": http.StatusText(status), "status": status, "detail": detail})
	if err != nil {
		body = nil
	}
	w.Header().Set("Content-Type", "application/problem+json")
	w.Header().Set("Date", p.now().UTC().Format(http.TimeFormat))
	w.WriteHeader(status)
	_, _ = w.Write(body) // who hung up does not want it
}

func (r *replayRoute) matches(req *http.Request) bool {
	if req.URL.Path != r.path {
		return false
	}
	asked := req.URL.Query()
	for key, pattern := range r.query {
		if !asked.Has(key) || !pattern.MatchString(asked.Get(key)) {
			return false
		}
	}
	return true
}

// notModified answers a conditional request (RFC 9110 13.2.2): If-None-Match
// where it is sent, else If-Modified-Since. A date in any other form than the
// HTTP one is no condition, as real servers have it.
func notModified(asked, have http.Header) bool {
	if tags := asked.Get("If-None-Match"); tags != "" {
		return tagListed(tags, have.Get("ETag"))
	}
	since, modified := asked.Get("If-Modified-Since"), have.Get("Last-Modified")
	if since == "" || modified == "" {
		return false
	}
	if since == modified {
		return true
	}
	s, sinceErr := http.ParseTime(since)
	m, modifiedErr := http.ParseTime(modified)
	return sinceErr == nil && modifiedErr == nil && !s.Before(m)
}

// tagListed compares weakly, as If-None-Match is (RFC 9110 8.8.3.2).
func tagListed(tags, have string) bool {
	if have == "" {
		return false
	}
	for tag := range strings.SplitSeq(tags, ",") {
		tag = strings.TrimSpace(tag)
		if tag == "*" || strings.TrimPrefix(tag, "W/") == strings.TrimPrefix(have, "W/") {
			return true
		}
	}
	return false
}

// takesGzip reads an Accept-Encoding header as far as gzip goes.
func takesGzip(accept string) bool {
	for part := range strings.SplitSeq(accept, ",") {
		name, weight, _ := strings.Cut(part, ";")
		if strings.TrimSpace(name) != "gzip" {
			continue
		}
		q, given := strings.CutPrefix(strings.TrimSpace(weight), "q=")
		value, err := strconv.ParseFloat(q, 64)
		return !given || err == nil && value > 0
	}
	return false
}
