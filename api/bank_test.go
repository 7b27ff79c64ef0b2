package api_test

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"osier/api/page"
)

func TestTheBanksidePageIsServedWithItsFiles(t *testing.T) {
	files, err := page.Bank(false)
	must(t, err)
	h := newHouse(t)
	ask := func(method, path, known string) *httptest.ResponseRecorder { // pages are not in the document
		r, w := httptest.NewRequest(method, path, nil), httptest.NewRecorder()
		r.Header.Set("If-None-Match", known)
		h.api.ServeHTTP(w, r)
		return w
	}
	for path, file := range files {
		w := ask("GET", path, "")
		if w.Code != http.StatusOK || !bytes.Equal(w.Body.Bytes(), file.Body) {
			t.Errorf("GET %s: status %d, %d bytes, want 200 and %d", path, w.Code, w.Body.Len(), len(file.Body))
		}
		for name, want := range map[string]string{
			"Content-Type": file.Type, "Cache-Control": "no-cache", "X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer",
		} {
			if got := w.Header().Get(name); got != want || want == "" {
				t.Errorf("GET %s: %s is %q, want %q", path, name, got, want)
			}
		}
		policy := w.Header().Get("Content-Security-Policy")
		if !strings.HasPrefix(policy, "default-src 'none'; script-src 'self'; style-src 'self'") || strings.Contains(policy, "unsafe") {
			t.Errorf("GET %s: policy %q", path, policy)
		}
		head := ask("HEAD", path, "")
		if head.Code != http.StatusOK || head.Header().Get("ETag") != w.Header().Get("ETag") {
			t.Errorf("HEAD %s: status %d, validator %q, want that of GET, %q", path, head.Code, head.Header().Get("ETag"), w.Header().Get("ETag"))
		}
		again := ask("GET", path, w.Header().Get("ETag"))
		if again.Code != http.StatusNotModified || again.Body.Len() > 0 {
			t.Errorf("GET %s again: status %d, %d bytes, want 304 and none", path, again.Code, again.Body.Len())
		}
	}
	if got := ask("GET", page.BankWorker, "").Header().Get("Service-Worker-Allowed"); got != page.BankPath {
		t.Errorf("the worker may keep what lies below %q, want %q", got, page.BankPath)
	}
	h.problem(h.send("GET", "/bank/else.js", ""), 404)
	h.problem(h.send("POST", "/bank", ""), 405)
}
