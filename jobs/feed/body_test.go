package feed_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed"
)

func TestTheBodyIsWholeOrNotThere(t *testing.T) {
	packed := pack(t, strings.Repeat("osier ", 10_000))
	for _, c := range []struct {
		name   string
		body   []byte
		length int64
		gzip   bool
		want   error
	}{
		{"whole", []byte(goodBody), int64(len(goodBody)), false, nil},
		{"length unknown", []byte(goodBody), -1, false, nil},
		{"shorter than announced", []byte(goodBody), int64(len(goodBody)) + 1, false, feed.ErrCutOff},
		{"too large, announced", []byte(goodBody), 1 << 20, false, feed.ErrTooLarge},
		{"too large, not announced", bytes.Repeat([]byte("x"), 1001), -1, false, feed.ErrTooLarge},
		{"exactly as large as is taken", bytes.Repeat([]byte("x"), 1000), -1, false, nil},
		{"small packed, too large unpacked", packed, -1, true, feed.ErrTooLarge},
		{"packed", pack(t, goodBody), -1, true, nil},
		{"packed, cut off", pack(t, goodBody)[:20], -1, true, feed.ErrCutOff},
		{"packed, checksum gone", pack(t, goodBody)[:len(pack(t, goodBody))-3], -1, true, feed.ErrCutOff},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t, func(o *feed.Options) { o.MaxBytes = 1000 })
			b.answer = func(*http.Request) (*http.Response, error) {
				r := response(200, "")
				if c.gzip {
					r.Header.Set("Content-Encoding", "gzip")
				}
				r.Body, r.ContentLength = io.NopCloser(bytes.NewReader(c.body)), c.length
				return r, nil
			}
			result, state := b.get(feed.State{})
			if c.want == nil {
				if result.Kind != feed.Fresh {
					t.Errorf("result %+v", result)
				}
				return
			}
			if result.Kind != feed.Failed || !errors.Is(result.Err, c.want) || result.Body != nil || state.Failures != 1 {
				t.Errorf("kind %s, error %v, %d bytes, %d failures; want failed, %v, none, 1", result.Kind, result.Err, len(result.Body), state.Failures, c.want)
			}
		})
	}
}

func TestATruncatedTransferIsNotAnAnswer(t *testing.T) {
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Length", "1000")
		fmt.Fprint(w, goodBody)
	}))
	defer server.Close()
	client, err := feed.New(feed.Options{Application: "osier/test", Base: server.URL})
	if err != nil {
		t.Fatal(err)
	}
	if result, _ := client.Get(t.Context(), feed.Request{URL: address}, feed.State{}); !errors.Is(result.Err, feed.ErrCutOff) {
		t.Errorf("error %v, want %v", result.Err, feed.ErrCutOff)
	}
}

func TestARejectedBodyLeavesTheValidatorsOfTheStoredAnswer(t *testing.T) {
	b := newBench(t)
	b.answers(200, `{"t":`, goodHeaders...)
	before := feed.State{URL: address, LastModified: "then", FetchedAt: noon.Add(-time.Hour), Failures: 1}
	_, after := b.get(before)
	got := b.client.Reject(before, after, "truncated JSON")
	want := feed.State{
		URL: address, LastModified: "then", FetchedAt: noon.Add(-time.Hour),
		NextAttempt: noon.Add(4 * time.Minute), AskedAt: noon, LastStatus: 200, Failures: 2, Note: "truncated JSON",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("state (-want +got):\n%s", diff)
	}
	if first := b.client.Reject(feed.State{}, after, "x"); first.URL != address || first.LastModified != "" || first.Failures != 1 {
		t.Errorf("first answer rejected: %+v", first)
	}
}
