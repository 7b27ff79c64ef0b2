package main

import (
	"bytes"
	"net/http/httptest"
	"testing"
	"time"

	"osier/jobs/feed"
	"osier/jobs/feed/awc"
)

// The client asks a replay as it would the feeds: once fresh, not again before
// it is due, then conditionally.
func TestTheClientThroughTheReplay(t *testing.T) {
	files := replayFiles(`{"routes": [
		{"file": "cache.csv", "path": "/data/cache/metars.cache.csv.gz",
		 "headers": {"Last-Modified": "Fri, 06 Feb 2026 11:55:00 GMT", "Cache-Control": "max-age=60"}}
	]}`)
	files["cache.csv"].Data = []byte("raw_text,station_id,observation_time,latitude,longitude,elevation_m,corrected\n" +
		"EGXX 061150Z 24008KT 9999 11/08 Q1009,EGXX,2026-02-06T11:50:00Z,53.17,-0.52,70.0,\n")
	now := replayNow
	handler, err := newReplay(files, func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(handler)
	defer server.Close()
	client, err := feed.New(feed.Options{
		Application: "osier/test", Base: server.URL, Now: func() time.Time { return now }, Spacing: time.Nanosecond,
	})
	if err != nil {
		t.Fatal(err)
	}
	request := feed.Request{URL: awc.CacheURL, MinInterval: 5 * time.Minute}

	first, state := client.Get(t.Context(), request, feed.State{})
	if first.Kind != feed.Fresh {
		t.Fatalf("first: %+v", first)
	}
	rows, warnings, err := awc.ParseCache(bytes.NewReader(first.Body))
	if err != nil || len(rows) != 1 || len(warnings) != 0 || rows[0].Station.ID != "EGXX" {
		t.Errorf("rows %+v, warnings %q, error %v", rows, warnings, err)
	}
	if again, _ := client.Get(t.Context(), request, state); again.Kind != feed.Unchanged || again.Asked {
		t.Errorf("at once: %+v, want no request", again)
	}
	now = now.Add(10 * time.Minute)
	later, state := client.Get(t.Context(), request, state)
	if later.Kind != feed.Unchanged || later.Status != 304 || !state.FetchedAt.Equal(now) {
		t.Errorf("ten minutes on: %+v, %+v, want it confirmed by a 304", later, state)
	}
}
