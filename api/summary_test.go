package api_test

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"osier/api/page"
	"osier/model"
)

// page asks for a page, which the document of the JSON operations leaves out.
func (h *house) page(method, path string, headers ...header) *httptest.ResponseRecorder {
	h.t.Helper()
	r := httptest.NewRequest(method, path, nil)
	r.Host = "localhost"
	for _, set := range headers {
		r.Header.Set(set.name, set.value)
	}
	w := httptest.NewRecorder()
	h.api.ServeHTTP(w, r)
	return w
}

func TestTheSummaryOfASession(t *testing.T) {
	h := newPit(t)
	h.wants(h.send("POST", "/v1/sessions", with(fullLog, `"water"`, `"id":"s-log","hook_bait":"<b>maggot</b>","notes":"</style><script>1</script>","water"`)), 201)
	w := h.wants(h.send("GET", "/v1/sessions/s-log/summary", ""), 200)
	s := read[model.SessionSummary](t, w)
	if s.Session != "s-log" || s.WaterName != "Quillmarsh Pit" || len(s.Casts) != 2 || s.Waiting == nil || s.Waiting.Bites != 1 || s.TryNext.Text == "" || s.Deferral != model.Deferral || s.Demo {
		t.Errorf("the summary is %s", w.Body)
	}
	if w.Header().Get("Cache-Control") != "private, no-cache" || w.Header().Get("ETag") == "" {
		t.Errorf("headers %v", w.Header())
	}
	h.wants(h.send("GET", "/v1/sessions/s-log/summary", "", header{"If-None-Match", w.Header().Get("ETag")}), http.StatusNotModified)
	h.problem(h.send("GET", "/v1/sessions/s-none/summary", ""), 404)
}

func TestThePageOfASession(t *testing.T) {
	h := newPit(t)
	h.wants(h.send("POST", "/v1/sessions", with(fullLog, `"water"`, `"id":"s-log","hook_bait":"<b>maggot</b>","notes":"</style><script>1</script>","water"`)), 201)
	w := h.wants(h.page("GET", "/sessions/s-log"), 200)
	for name, want := range map[string]string{
		"Content-Type": "text/html; charset=utf-8", "Content-Security-Policy": page.SummaryPolicy(), "Cache-Control": "private, no-cache",
		"X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer",
	} {
		if got := w.Header().Get(name); got != want {
			t.Errorf("%s is %q, want %q", name, got, want)
		}
	}
	body := w.Body.String()
	if !strings.Contains(body, "&lt;b&gt;maggot&lt;/b&gt;") || strings.Contains(body, "<script") || strings.Contains(body, "Invented") {
		t.Errorf("the page is %s", body)
	}
	h.wants(h.page("GET", "/sessions/s-log", header{"If-None-Match", w.Header().Get("ETag")}), http.StatusNotModified)
	if head := h.wants(h.page("HEAD", "/sessions/s-log"), 200); head.Header().Get("ETag") != w.Header().Get("ETag") {
		t.Errorf("HEAD answers %v", head.Header())
	}
	h.problem(h.page("GET", "/sessions/s-none"), 404)
	h.problem(h.page("POST", "/sessions/s-log"), http.StatusMethodNotAllowed)
}

func TestTheDemosSummarySaysSo(t *testing.T) {
	h := newPit(t, asDemo)
	h.wants(h.send("POST", "/v1/sessions", with(fullLog, `"water"`, `"id":"s-log","water"`)), 201)
	if s := read[model.SessionSummary](t, h.wants(h.send("GET", "/v1/sessions/s-log/summary", ""), 200)); !s.Demo {
		t.Error("the summary does not say that it is invented")
	}
	if body := h.page("GET", "/sessions/s-log").Body.String(); !strings.Contains(body, "Invented: this club") {
		t.Error("the page does not say that it is invented")
	}
}

// With the store down neither answers with anything half made.
func TestSummariesWithTheStoreDown(t *testing.T) {
	h := newPit(t)
	must(t, h.db.Close())
	h.problem(h.send("GET", "/v1/sessions/s-log/summary", ""), http.StatusServiceUnavailable)
	h.problem(h.page("GET", "/sessions/s-log"), http.StatusServiceUnavailable)
}
