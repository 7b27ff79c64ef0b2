package api_test

import (
	"archive/zip"
	"bytes"
	"net/http"
	"strings"
	"testing"
	"time"

	"osier/model"
)

// token keeps a credential of an angler and gives its secret.
func (h *house) token(secret string, t model.Token) header {
	h.t.Helper()
	t.MadeAt = now
	must(h.t, h.db.AddToken(h.t.Context(), t, model.SecretDigest(secret)))
	h.closes()
	return header{"Authorization", "Bearer " + secret}
}

// closes waits until the server knows of a credential that was made beside it.
func (h *house) closes() {
	h.t.Helper()
	for began := time.Now(); h.visit("/v1/jobs", nil).Code == http.StatusOK; time.Sleep(10 * time.Millisecond) {
		if time.Since(began) > 10*time.Second {
			h.t.Fatal("with a credential the house is still open")
		}
	}
}

func TestAnglersAreHandedTheirOwnRecordsAndForgottenThemselves(t *testing.T) {
	h := newPit(t)
	h.wants(h.send("POST", "/v1/sessions", summary), http.StatusCreated)
	mine := h.token("osier_"+string(bytes.Repeat([]byte("a"), 51))+"a", model.Token{ID: "t-1", Role: model.AnglerRole, Angler: "rush"})
	other := h.token("osier_"+string(bytes.Repeat([]byte("b"), 51))+"a", model.Token{ID: "t-2", Role: model.AnglerRole, Angler: "moss"})
	reader := h.token("osier_"+string(bytes.Repeat([]byte("c"), 51))+"a", model.Token{ID: "t-3", Role: model.AnglerRole, Angler: "rush", ReadOnly: true})
	admin := h.token("osier_"+string(bytes.Repeat([]byte("d"), 51))+"a", model.Token{ID: "t-4", Role: model.Administrator})
	for _, c := range []struct {
		name   string
		method string
		path   string
		who    []header
		status int
	}{
		{"nobody", "GET", "/v1/anglers/rush/export", nil, http.StatusUnauthorized},
		{"nobody", "DELETE", "/v1/anglers/rush", nil, http.StatusUnauthorized},
		{"another angler", "GET", "/v1/anglers/rush/export", []header{other}, http.StatusNotFound},
		{"another angler", "DELETE", "/v1/anglers/rush", []header{other}, http.StatusNotFound},
		{"a credential that may only read", "GET", "/v1/anglers/rush/export", []header{reader}, http.StatusOK},
		{"a credential that may only read", "DELETE", "/v1/anglers/rush", []header{reader}, http.StatusForbidden},
		{"an administrator", "GET", "/v1/anglers/rush/export", []header{admin}, http.StatusOK},
		{"an administrator, of nobody", "DELETE", "/v1/anglers/nobody", []header{admin}, http.StatusNotFound},
		{"an administrator, of no handle", "GET", "/v1/anglers/a%20b/export", []header{admin}, http.StatusUnprocessableEntity},
	} {
		t.Run(c.name+" "+c.method+" "+c.path, func(t *testing.T) {
			h := h.on(t)
			h.wants(h.send(c.method, c.path, "", c.who...), c.status)
		})
	}
	// Writes whose answers are kept for a month.
	keyed := []step{
		{"POST", "/v1/sessions", with(strings.ReplaceAll(summary, "2026-11-20", "2026-11-19"), "{", `{"id":"s-kept",`), nil, 201},
		{"PATCH", "/v1/sessions/s-kept", `{"notes":"wind got up"}`, nil, 200},
		{"POST", "/v1/sessions/s-live/events", strings.ReplaceAll(liveStart, "sedge", "rush"), nil, 200},
		{"POST", "/v1/waters/quillmarsh-pit/readings", `{"water_temp_c":8}`, nil, 201},
		{"POST", "/v1/plans", question, nil, 200},
		{"POST", "/v1/choices", with(choice, `,"alder-mere"`, ""), nil, 200},
		{"DELETE", "/v1/sessions/s-kept", "", nil, 204},
	}
	kept := func(s step) bool {
		_, _, _, found, err := h.db.AnswerTo(t.Context(), "t-1/once", s.method+" "+s.path)
		must(t, err)
		return found
	}
	for _, s := range keyed {
		h.wants(h.send(s.method, s.path, s.body, mine, header{"Idempotency-Key", "once"}), s.status)
		if !kept(s) {
			t.Errorf("the answer to %s %s is not kept", s.method, s.path)
		}
	}
	w := h.wants(h.send("GET", "/v1/anglers/rush/export", "", mine), http.StatusOK)
	if _, err := zip.NewReader(bytes.NewReader(w.Body.Bytes()), int64(w.Body.Len())); err != nil || w.Header().Get("Cache-Control") != "no-store" {
		t.Errorf("headers %v: %v", w.Header(), err)
	}
	receipt := read[model.Erasure](t, h.wants(h.send("DELETE", "/v1/anglers/rush", "", mine, header{"Idempotency-Key", "k"}), http.StatusOK))
	if receipt.Deleted["sessions"] != 1 || len(receipt.Left) != 0 {
		t.Errorf("receipt %+v", receipt)
	}
	h.wants(h.send("GET", "/v1/anglers/rush/export", "", mine), http.StatusUnauthorized)
	h.wants(h.send("GET", "/v1/anglers/rush/export", "", admin), http.StatusNotFound)
	// Neither the answer nor its key is kept: both would name who it was about.
	left, err := h.db.Mentions(t.Context(), "rush")
	must(t, err)
	if len(left) != 0 {
		t.Errorf("left in the store: %v", left)
	}
	for _, s := range keyed {
		if kept(s) {
			t.Errorf("the answer to %s %s is still kept", s.method, s.path)
		}
	}
	if strings.Contains(h.log.String(), "rush") {
		t.Errorf("the log names the angler: %s", h.log)
	}
}
