//go:build load

package main

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

// request is one thing that a caller asks or writes, again and again.
type request struct {
	name, method, path string
	body               func(n int) string // of the n-th time; nil for none
	key                string             // of a write, before the count
	every              time.Duration      // a caller waits so long between two
}

// tally is what became of one kind of request.
type tally struct {
	asked    int
	byStatus map[int]int // 0: no answer at all
	took     []time.Duration
	stale    int // answers that said they are old
	retry    int // refusals that said when to come again
}

// p99 is the time within which 99 of 100 were answered.
func (t *tally) p99() time.Duration {
	if len(t.took) == 0 {
		return 0
	}
	slices.Sort(t.took)
	return t.took[len(t.took)*99/100]
}

func (t *tally) String() string {
	var parts []string
	for _, status := range slices.Sorted(mapKeys(t.byStatus)) {
		name := fmt.Sprint(status)
		if status == 0 {
			name = "no answer"
		}
		parts = append(parts, fmt.Sprintf("%d %s", t.byStatus[status], name))
	}
	return fmt.Sprintf("%d asked: %s; %d said stale; p99 %s", t.asked, strings.Join(parts, ", "), t.stale, t.p99().Round(time.Millisecond/10))
}

func mapKeys(m map[int]int) func(func(int) bool) {
	return func(yield func(int) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// askers bounds the load: so many callers a kind of request.
const askers = 2

// loadFor asks all kinds for so long, by so many callers each, and never more
// than a loopback address can be asked by them. The addresses are taken in turn:
// a request that gets no answer from one is sent to the next, as a load balancer
// does, and counts once.
func loadFor(t *testing.T, addresses []string, long time.Duration, requests []request) map[string]*tally {
	t.Helper()
	for _, a := range addresses {
		if !strings.HasPrefix(a, "http://127.0.0.1:") {
			t.Fatalf("%s is no loopback address, and no other is put under load", a)
		}
	}
	ctx, cancel := context.WithTimeout(t.Context(), long)
	defer cancel()
	var mu sync.Mutex
	tallies := map[string]*tally{}
	var wg sync.WaitGroup
	for _, kind := range requests {
		tallies[kind.name] = &tally{byStatus: map[int]int{}}
		for caller := range askers {
			wg.Go(func() {
				client := &http.Client{Timeout: 5 * time.Second, Transport: &http.Transport{}}
				defer client.CloseIdleConnections()
				for n := caller; ctx.Err() == nil; n += askers {
					got := askOnce(client, addresses, n, kind)
					mu.Lock()
					tallies[kind.name].add(got)
					mu.Unlock()
					select {
					case <-ctx.Done():
					case <-time.After(kind.every):
					}
				}
			})
		}
	}
	wg.Wait()
	return tallies
}

// outcome is what became of one request.
type outcome struct {
	status       int
	took         time.Duration
	stale, retry bool
}

func (t *tally) add(o outcome) {
	t.asked++
	t.byStatus[o.status]++
	t.took = append(t.took, o.took)
	if o.stale {
		t.stale++
	}
	if o.retry {
		t.retry++
	}
}

func askOnce(client *http.Client, addresses []string, n int, kind request) outcome {
	began := time.Now()
	var o outcome
	for i := range addresses {
		r, err := http.NewRequest(kind.method, addresses[(n+i)%len(addresses)]+kind.path, nil)
		if err != nil {
			break
		}
		body := ""
		if kind.body != nil {
			body = kind.body(n)
			r.Header.Set("Idempotency-Key", fmt.Sprint(kind.key, "-", n))
		}
		status, header, answer, err := send(client, r, body)
		if err != nil {
			continue
		}
		o.status, o.retry = status, header.Get("Retry-After") != ""
		o.stale = strings.HasPrefix(string(answer), `{"answer_stale":true`)
		break
	}
	o.took = time.Since(began)
	return o
}
