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
	token              string             // of the caller, if any
	every              time.Duration      // a caller waits so long between two
}

// tally is what became of one kind of request.
type tally struct {
	asked    int
	byStatus map[int]int // 0: no answer at all
	took     []time.Duration
	stale    int // answers that said they are old
	aged     int // answers that said how old they are
	retry    int // refusals that said when to come again
	passed   int // requests that the first address did not serve
}

// done is how many were answered with what was asked for.
func (t *tally) done() int { return t.byStatus[http.StatusOK] + t.byStatus[http.StatusCreated] }

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
	return fmt.Sprintf("%d asked: %s; %d told an age, %d said stale; %d passed on; p99 %s", t.asked, strings.Join(parts, ", "), t.aged, t.stale, t.passed, t.p99().Round(time.Millisecond/10))
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

// How long a caller waits. Where there is nobody else to ask it waits for as long
// as the server may take, so that a refusal that comes late is seen; where there
// is, it goes on after a moment, and again and again for a while.
const (
	waitAlone  = time.Minute
	waitOne    = 2 * time.Second
	waitForAny = time.Minute
)

// loadFor asks all kinds for so long, by so many callers each, and never more
// than a loopback address can be asked by them. The addresses are taken in turn:
// a request that one does not answer, or cannot serve now, is sent to the next,
// as a load balancer does, and counts once.
func loadFor(t *testing.T, addresses []string, long time.Duration, requests []request) map[string]*tally {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), long)
	defer cancel()
	return loadUntil(ctx, t, addresses, requests)
}

// loadUntil is loadFor until the context ends.
func loadUntil(ctx context.Context, t *testing.T, addresses []string, requests []request) map[string]*tally {
	t.Helper()
	for _, a := range addresses {
		if !strings.HasPrefix(a, "http://127.0.0.1:") {
			t.Errorf("%s is no loopback address, and no other is put under load", a)
			return nil
		}
	}
	wait := waitAlone
	if len(addresses) > 1 {
		wait = waitOne
	}
	var mu sync.Mutex
	tallies := map[string]*tally{}
	var wg sync.WaitGroup
	for _, kind := range requests {
		told := &tally{byStatus: map[int]int{}}
		tallies[kind.name] = told
		for caller := range askers {
			wg.Go(func() {
				client := &http.Client{Timeout: wait, Transport: &http.Transport{}}
				defer client.CloseIdleConnections()
				for n := caller; ctx.Err() == nil; n += askers {
					got := askOnce(client, addresses, n, kind)
					mu.Lock()
					told.add(got)
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
	status             int
	took               time.Duration
	stale, aged, retry bool
	passed             bool
}

func (t *tally) add(o outcome) {
	t.asked++
	t.byStatus[o.status]++
	t.took = append(t.took, o.took)
	for _, one := range []struct {
		is    bool
		count *int
	}{{o.stale, &t.stale}, {o.aged, &t.aged}, {o.retry, &t.retry}, {o.passed, &t.passed}} {
		if one.is {
			*one.count++
		}
	}
}

func askOnce(client *http.Client, addresses []string, n int, kind request) outcome {
	began := time.Now()
	var o outcome
	for i := 0; i == 0 || len(addresses) > 1 && time.Since(began) < waitForAny; i++ {
		if i > 0 && i%len(addresses) == 0 {
			time.Sleep(50 * time.Millisecond) // nobody serves it: a moment's rest
		}
		r, err := http.NewRequest(kind.method, addresses[(n+i)%len(addresses)]+kind.path, nil)
		if err != nil {
			break
		}
		body := ""
		if kind.body != nil {
			body = kind.body(n)
			r.Header.Set("Idempotency-Key", fmt.Sprint(kind.key, "-", n))
		}
		if kind.token != "" {
			r.Header.Set("Authorization", "Bearer "+kind.token)
		}
		status, header, answer, err := send(client, r, body)
		o.passed = i > 0
		if err != nil {
			continue
		}
		o.status, o.retry, o.aged = status, header.Get("Retry-After") != "", header.Get("Age") != ""
		o.stale = strings.HasPrefix(string(answer), `{"answer_stale":true`)
		if status != http.StatusServiceUnavailable {
			break
		}
	}
	o.took = time.Since(began)
	return o
}
