package api_test

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/api"
	"osier/model"
)

// figures keeps what the API tells of its requests.
type figures struct {
	guard sync.Mutex // requests end side by side
	told  []string
	fault error
}

func (f *figures) Request(route, method string, status int, took time.Duration) {
	if took <= 0 || took > time.Minute {
		route = fmt.Sprintf("%s in %v", route, took)
	}
	f.guard.Lock()
	defer f.guard.Unlock()
	f.told = append(f.told, fmt.Sprintf("%s %s %d", method, route, status))
}

func (f *figures) ServeHTTP(w http.ResponseWriter, _ *http.Request) {
	if f.fault != nil {
		panic(f.fault)
	}
	w.Header().Set("Content-Type", "text/plain; version=0.0.4; charset=utf-8")
	fmt.Fprintln(w, "invented_figure 3")
}

func TestEachRequestIsToldByRouteMethodAndStatus(t *testing.T) {
	f := &figures{}
	h := newHouse(t, func(o *api.Options) {
		o.Metrics = f
		o.Ready = func(context.Context) error { panic("a fault in the program") }
	})
	h.send("GET", "/healthz", "")
	h.send("HEAD", "/healthz", "")
	h.send("PUT", "/v1/waters/quillmarsh-pit", pit)
	h.send("GET", "/v1/waters/quillmarsh-pit", "")
	h.send("GET", "/v1/waters/nowhere", "")
	h.send("GET", "/readyz", "")
	h.send("GET", "/no/such/path", "")
	h.send("POST", "/v1/jobs", "{}")
	h.send("BREW", "/healthz", "")
	want := []string{
		"GET /healthz 200", "HEAD /healthz 200",
		"PUT /v1/waters/:water 201", "GET /v1/waters/:water 200", "GET /v1/waters/:water 404",
		"GET /readyz 500",
		"GET none 404", "POST none 405", "other none 405",
	}
	if diff := cmp.Diff(want, f.told); diff != "" {
		t.Errorf("told (+) is not as asked (-):\n%s", diff)
	}
}

func TestTheFiguresAreServedAsText(t *testing.T) {
	h := newHouse(t)
	w := h.wants(h.send("GET", "/metrics", ""), http.StatusOK)
	if kind := w.Header().Get("Content-Type"); !strings.HasPrefix(kind, "text/plain") || w.Body.String() != "invented_figure 3\n" {
		t.Errorf("answered %q as %q", w.Body, kind)
	}
	if keep := w.Header().Get("Cache-Control"); keep != "no-store" {
		t.Errorf("figures may be kept: %q", keep)
	}
}

func TestFiguresThatCannotBeGatheredAreAProblem(t *testing.T) {
	h := newHouse(t, func(o *api.Options) { o.Metrics = &figures{fault: errors.New("two figures of one name")} })
	if p := h.problem(h.send("GET", "/metrics", ""), http.StatusInternalServerError); p.Code != string(model.Internal) {
		t.Errorf("the code is %q", p.Code)
	}
}
