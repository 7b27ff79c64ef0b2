package feed_test

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"osier/jobs/feed"
)

func TestOneCallAtATimeToAHost(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		start := time.Now()
		inFlight := map[string]int{}
		var began []string
		done := make(chan feed.Result)
		events := make(chan string)
		client, err := feed.New(feed.Options{
			Application: "osier/test", Contact: "a@b.example", Now: time.Now, Spacing: 2 * time.Second,
			Transport: roundTrip(func(r *http.Request) (*http.Response, error) {
				events <- "begin " + r.URL.Host
				time.Sleep(3 * time.Second)
				events <- "end " + r.URL.Host
				return response(200, goodBody), nil
			}),
		})
		if err != nil {
			t.Fatal(err)
		}
		for _, host := range []string{"one", "one", "two"} {
			go func() {
				result, _ := client.Get(context.Background(), feed.Request{URL: "https://" + host + ".example/"}, feed.State{})
				done <- result
			}()
		}
		for finished := 0; finished < 3; {
			select {
			case e := <-events:
				verb, host, _ := strings.Cut(e, " ")
				if verb == "begin" {
					inFlight[host]++
					began = append(began, fmt.Sprintf("%s at %v", host, time.Since(start)))
				} else {
					inFlight[host]--
				}
				if inFlight[host] > 1 {
					t.Errorf("%d calls at a time to %s", inFlight[host], host)
				}
			case result := <-done:
				finished++
				if result.Kind != feed.Fresh {
					t.Errorf("result %+v", result)
				}
			}
		}
		if len(began) != 3 || began[2] != "one.example at 3s" {
			t.Errorf("calls began %v, want the two hosts at once and the second call to one.example after the first, at 3s", began)
		}
	})
}

func TestCallsToAHostAreSpaced(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		start := time.Now()
		b := newBench(t, func(o *feed.Options) { o.Spacing = 5 * time.Second })
		b.answers(200, goodBody)
		for range 3 {
			b.get(feed.State{})
		}
		if got := time.Since(start); got != 10*time.Second {
			t.Errorf("three calls took %v, want 10s", got)
		}
	})
}
