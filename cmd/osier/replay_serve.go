package main

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"
)

// replay answers as the feeds did when they were recorded.
type replay struct {
	routes []replayRoute
	now    func() time.Time
}

func (p *replay) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodGet {
		w.Header().Set("Allow", http.MethodGet)
		p.refuse(w, http.StatusMethodNotAllowed, r.Method+" is not answered; the feeds are asked with GET")
		return
	}
	for _, route := range p.routes {
		if route.matches(r) {
			p.answer(w, r, route)
			return
		}
	}
	p.refuse(w, http.StatusNotFound, fmt.Sprintf("no route of %s answers %s", replayFile, r.URL.RequestURI()))
}

func (p *replay) answer(w http.ResponseWriter, r *http.Request, route replayRoute) {
	h := w.Header()
	h.Set("Date", p.now().UTC().Format(http.TimeFormat))
	for name, values := range route.header {
		h[name] = values
	}
	if route.status == http.StatusOK && notModified(r.Header, route.header) {
		h.Del("Content-Type")
		w.WriteHeader(http.StatusNotModified)
		return
	}
	body := route.plain
	if route.packed != nil {
		h.Set("Vary", "Accept-Encoding")
		if takesGzip(r.Header.Get("Accept-Encoding")) {
			h.Set("Content-Encoding", "gzip")
			body = route.packed
		}
	}
	if route.status == http.StatusNoContent || route.status == http.StatusNotModified {
		w.WriteHeader(route.status)
		return
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(route.status)
	_, _ = w.Write(body) // who hung up does not want it
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

func (r replayRoute) matches(req *http.Request) bool {
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
