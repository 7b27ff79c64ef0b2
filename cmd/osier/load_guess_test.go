//go:build load

package main

import (
	"bufio"
	"bytes"
	"context"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"osier/model"
)

// newToken makes a token in a store that no program serves.
func newToken(t *testing.T, args ...string) string {
	t.Helper()
	var out, said bytes.Buffer
	if code := run(t.Context(), append([]string{"--json"}, args...), &out, &said); code != exitDone {
		t.Fatalf("make a token: exit %d\n%s", code, &said)
	}
	var told struct {
		Secret string `json:"secret"`
	}
	if err := json.Unmarshal(out.Bytes(), &told); err != nil {
		t.Fatal(err)
	}
	return told.Secret
}

// A token guessed a million times: nobody is let in, and others are served
// meanwhile, from the same address too.
func TestLoadGuessedToken(t *testing.T) {
	t.Parallel()
	const connections = 8
	each := figureOf(100_000, 1_000_000) / connections
	data, args := clubData(t)
	token := newToken(t, append(args, "--data", data, "token", "new", "--role", "administrator")...)
	s := serveProgram(t, data, args...)
	s.token = token
	const guarded = "/v1/waters/quillmarsh-pit/readings"
	others := []request{
		{name: "somebody with a token", method: "GET", path: guarded, token: token, every: 150 * time.Millisecond},
		{name: "somebody without one", method: "GET", path: "/v1/waters", every: 150 * time.Millisecond},
	}
	heap := func() float64 { return s.figure("go_memstats_heap_inuse_bytes") / (1 << 20) }
	quiet := loadFor(t, []string{s.Address}, 3*time.Second, others)
	before := heap()
	ctx, end := context.WithCancel(t.Context())
	defer end()
	served := make(chan map[string]*tally, 1)
	go func() { served <- loadUntil(ctx, t, []string{s.Address}, others) }()
	var mu sync.Mutex
	var wg sync.WaitGroup
	answered, told := map[int]int{}, 0
	began := time.Now()
	for range connections {
		wg.Go(func() {
			byStatus, retry, err := guess(strings.TrimPrefix(s.Address, "http://"), guarded, each)
			mu.Lock()
			defer mu.Unlock()
			if err != nil {
				t.Error(err)
			}
			told += retry
			for status, n := range byStatus {
				answered[status] += n
			}
		})
	}
	wg.Wait()
	took := time.Since(began)
	end()
	meanwhile := <-served
	after := heap()
	for name, got := range meanwhile {
		t.Logf("%s: %s, and before it %s", name, got, quiet[name].p99().Round(time.Millisecond/10))
		if got.done() != got.asked || got.asked == 0 {
			t.Errorf("%s: %s; want all served", name, got)
		}
	}
	t.Logf("%d guesses in %s, %.0f a second; answers by status: %v; heap in use %.1f MiB before and %.1f MiB after",
		each*connections, took.Round(time.Millisecond), float64(each*connections)/took.Seconds(), answered, before, after)
	refused := answered[http.StatusTooManyRequests]
	if answered[http.StatusUnauthorized]+refused != each*connections || told != refused {
		t.Errorf("of %d guesses not all were refused, or not all told when to come again: %v, %d told", each*connections, answered, told)
	}
	if looked := answered[http.StatusUnauthorized]; float64(looked) > 20+connections*(1+took.Seconds()/5) { // all that come at the same instant are
		t.Errorf("%d guesses were looked up in %s, want 20 and then one in five seconds", looked, took)
	}
	if after > before*1.5+8 {
		t.Errorf("the heap grew from %.1f to %.1f MiB", before, after)
	}
}

// guess sends so many made-up tokens over one connection, many in a row without
// waiting for the answers, and counts these by status, and those that say when to
// come again.
func guess(address, path string, n int) (byStatus map[int]int, retry int, err error) {
	const inARow = 50
	c, err := net.Dial("tcp", address)
	if err != nil {
		return nil, 0, err
	}
	defer c.Close()
	out, in := bufio.NewWriter(c), bufio.NewReader(c)
	byStatus = map[int]int{}
	for sent := 0; sent < n; {
		row := min(inARow, n-sent)
		for range row {
			secret, err := model.NewSecret(rand.Reader)
			if err != nil {
				return byStatus, retry, err
			}
			fmt.Fprintf(out, "GET %s HTTP/1.1\r\nHost: %s\r\nAuthorization: Bearer %s\r\n\r\n", path, address, secret)
		}
		if err := out.Flush(); err != nil {
			return byStatus, retry, err
		}
		for range row {
			w, err := http.ReadResponse(in, nil)
			if err != nil {
				return byStatus, retry, fmt.Errorf("after %d guesses: %w", sent, err)
			}
			if _, err := io.Copy(io.Discard, w.Body); err != nil {
				return byStatus, retry, err
			}
			byStatus[w.StatusCode]++
			if w.Header.Get("Retry-After") != "" {
				retry++
			}
		}
		sent += row
	}
	return byStatus, retry, nil
}
