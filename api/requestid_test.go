package api_test

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// A request is named once, and its answer and its log lines bear the name. What
// could break a log line is not taken over.
func TestRequestsAreNamed(t *testing.T) {
	for _, c := range []struct {
		name, sent string
		kept       bool
	}{
		{"none sent", "", false},
		{"a proxy's", "req-7.A_b", true},
		{"with a line break", "a\nlevel=ERROR", false},
		{"with a blank", "a b", false},
		{"too long", strings.Repeat("a", 65), false},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := newHouse(t)
			r := httptest.NewRequest(http.MethodGet, "/healthz", nil)
			if c.sent != "" {
				r.Header.Set("X-Request-Id", c.sent)
			}
			w := httptest.NewRecorder()
			h.api.ServeHTTP(w, r)
			id := w.Header().Get("X-Request-Id")
			if got := id == c.sent; got != c.kept || len(id) < 7 {
				t.Errorf("sent %q, named %q", c.sent, id)
			}
			if want := "request_id=" + id; !strings.Contains(h.log.String(), want) || strings.Count(h.log.String(), "\n") != 1 {
				t.Errorf("log %q; want one line with %s", h.log.String(), want)
			}
		})
	}
}
