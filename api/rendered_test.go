package api_test

import (
	"bytes"
	"encoding/json"
	"net/http"
	"sync/atomic"
	"testing"
	"time"

	"osier/api"
	"osier/api/cache"
)

// What was answered before the last change is what there is when the store goes
// down after it: it is served as stale, however many writes are refused meanwhile.
func TestReadsOutliveTheStoreAfterAChange(t *testing.T) {
	h := newPit(t)
	const path, other = "/v1/waters/quillmarsh-pit/conditions", "/v1/waters/other-pit"
	const water = `{"name": "Other", "lat": 1, "lon": 1, "elevation_m": 1, "mean_depth_m": 2, "bank": "grass", "zone": "UTC", "groups": ["silver"], "colour": "clear"}`
	h.wants(h.send("GET", path, ""), 200)
	h.wants(h.send("PUT", other, water), 201)
	must(t, h.db.Close())
	for range 3 {
		w := h.wants(h.send("GET", path, ""), 200)
		if !bytes.HasPrefix(w.Body.Bytes(), []byte(`{"answer_stale":true`)) || w.Header().Get("Age") == "" {
			t.Errorf("an answer from before a change does not say so: age %q, %s", w.Header().Get("Age"), w.Body)
		}
		w = h.send("PUT", other, water)
		if w.Code != http.StatusServiceUnavailable || w.Header().Get("Retry-After") == "" {
			t.Errorf("a write with the store down answers %d, Retry-After %q", w.Code, w.Header().Get("Retry-After"))
		}
	}
	if w := h.send("GET", other, ""); w.Code != http.StatusServiceUnavailable {
		t.Errorf("what was never asked is answered with %d", w.Code)
	}
}

// When the store goes down, what was answered before is still served, first as
// it was, and past its time with its age in the header and in the body. Writes
// are refused, and nothing is half-written.
func TestReadsOutliveTheStore(t *testing.T) {
	kept, err := cache.NewInProcess(1 << 20)
	must(t, err)
	t.Cleanup(kept.Close)
	var elapsed atomic.Int64 // the refresh reads it in the background
	h := newPit(t, func(o *api.Options) {
		o.Loader = cache.NewLoader(cache.LoaderOptions{
			Cache: kept, Deadline: 10 * time.Second, Log: o.Log,
			Now: func() time.Time { return time.Now().Add(time.Duration(elapsed.Load())) },
		})
		t.Cleanup(o.Loader.Close)
		o.Pointers = o.Loader
	})
	reads := []struct{ method, path, body string }{
		{"POST", "/v1/plans", question},
		{"GET", "/v1/waters/quillmarsh-pit/conditions", ""},
		{"GET", "/v1/waters/quillmarsh-pit", ""},
		{"GET", "/v1/waters", ""},
	}
	first := make([][]byte, len(reads))
	for i, r := range reads {
		first[i] = h.wants(h.send(r.method, r.path, r.body), 200).Body.Bytes()
	}
	must(t, h.db.Close())
	for i, r := range reads {
		w := h.wants(h.send(r.method, r.path, r.body), 200)
		if !bytes.Equal(w.Body.Bytes(), first[i]) || w.Header().Get("Age") == "" {
			t.Errorf("%s %s: with the store down it answers %s, age %q", r.method, r.path, w.Body, w.Header().Get("Age"))
		}
	}
	elapsed.Store(int64(2 * time.Hour)) // the hour of the plan is over, and the store is still down
	for _, r := range reads {
		w := h.wants(h.send(r.method, r.path, r.body), 200)
		var said struct {
			Stale bool `json:"answer_stale"`
			AgeS  int  `json:"answer_age_s"`
		}
		must(t, json.Unmarshal(w.Body.Bytes(), &said))
		if !said.Stale || said.AgeS < 7000 {
			t.Errorf("%s %s: a stale answer does not say so: %s", r.method, r.path, w.Body)
		}
	}
	elapsed.Store(int64(48 * time.Hour)) // nothing may be served for ever
	for _, r := range reads {
		if w := h.send(r.method, r.path, r.body); w.Code != http.StatusServiceUnavailable {
			t.Errorf("%s %s: two days later it answers %d", r.method, r.path, w.Code)
		}
	}
	w := h.send("PUT", "/v1/waters/other-pit", `{"name": "Other", "lat": 1, "lon": 1, "elevation_m": 1, "mean_depth_m": 2, "bank": "grass", "zone": "UTC", "groups": ["silver"], "colour": "clear"}`)
	if w.Code != http.StatusServiceUnavailable || w.Header().Get("Retry-After") == "" {
		t.Errorf("a write with the store down answers %d, Retry-After %q", w.Code, w.Header().Get("Retry-After"))
	}
}
