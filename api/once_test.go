package api_test

import (
	"bytes"
	"testing"

	"osier/model"
)

func TestAWriteWithAKeyIsAnsweredOnce(t *testing.T) {
	key := header{"Idempotency-Key", "k-1"}
	for _, tc := range []struct {
		name, method, path, body string
		headers                  []header
		status                   int
	}{
		{"a water", "PUT", "/v1/waters/alder-mere", with(pit, "Quillmarsh", "Alder"), nil, 201},
		{"a plan", "POST", "/v1/plans", question, nil, 200},
		{"a record", "POST", "/v1/sessions", hourly, nil, 201},
		{"an import", "POST", "/v1/imports", csvFile, asType("text/csv"), 201},
		{"a change", "PATCH", "/v1/sessions/rush-1", `{"bites":15}`, nil, 200},
		{"a removal", "DELETE", "/v1/sessions/rush-1", "", nil, 204},
	} {
		t.Run(tc.name, func(t *testing.T) {
			h := newPit(t)
			h.wants(h.send("POST", "/v1/sessions", with(summary, "{", `{"id":"rush-1",`)), 201)
			headers := append(tc.headers, key)
			first := h.wants(h.send(tc.method, tc.path, tc.body, headers...), tc.status)
			before := h.revision()
			second := h.wants(h.send(tc.method, tc.path, tc.body, headers...), tc.status)
			if !bytes.Equal(first.Body.Bytes(), second.Body.Bytes()) || second.Header().Get("Idempotency-Replayed") != "true" || first.Header().Get("Idempotency-Replayed") != "" {
				t.Errorf("the replay is %s with %v, the first answer %s", second.Body, second.Header(), first.Body)
			}
			if h.revision() != before {
				t.Error("the replay changed the store")
			}
		})
	}
}

func TestAKeyIsForOneRequest(t *testing.T) {
	key := header{"Idempotency-Key", "k-1"}
	h := newPit(t)
	h.wants(h.send("POST", "/v1/imports?angler=rush", csvFile, key, header{"Content-Type", "text/csv"}), 201)
	h.wants(h.send("POST", "/v1/sessions", summary, key), 201) // another path is another operation
	before := h.revision()
	for _, tc := range []struct {
		name, path, body string
		headers          []header
	}{
		{"another body", "/v1/sessions", hourly, nil},
		{"another query", "/v1/imports?angler=moss", csvFile, asType("text/csv")},
		{"another media type", "/v1/imports?angler=rush", csvFile, asType("application/json")},
	} {
		p := h.problem(h.send("POST", tc.path, tc.body, append(tc.headers, key)...), 409)
		if p.Code != "conflict" || p.Field != "Idempotency-Key" || p.Wrong == "" || p.Right == "" {
			t.Errorf("%s: the problem is %+v", tc.name, p)
		}
	}
	if h.revision() != before {
		t.Error("the store changed")
	}
}

func TestARefusedWriteMayBeMendedUnderItsKey(t *testing.T) {
	h := newPit(t)
	key := header{"Idempotency-Key", "k-1"}
	h.problem(h.send("POST", "/v1/plans", with(question, `"hours":5`, `"hours":40`), key), 422)
	p := read[model.Plan](t, h.wants(h.send("POST", "/v1/plans", question, key), 200))
	if p.Hours != 5 {
		t.Errorf("the plan is for %v hours", p.Hours)
	}
}
