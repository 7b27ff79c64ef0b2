package contract

import (
	"bytes"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"sync"
	"testing"
)

// Watched passes requests on and fails the test where an exchange breaks the
// contract. It is safe for many goroutines.
type Watched struct {
	contract *Contract
	t        testing.TB
	next     http.Handler

	mu   sync.Mutex
	seen []string
}

// Watch puts a handler under watch.
func (c *Contract) Watch(t testing.TB, next http.Handler) *Watched {
	return &Watched{contract: c, t: t, next: next}
}

// ServeHTTP answers one request as the handler does.
func (w *Watched) ServeHTTP(rw http.ResponseWriter, r *http.Request) {
	var sent bytes.Buffer
	passed := r.Clone(r.Context())
	passed.Body = io.NopCloser(io.TeeReader(r.Body, &sent))
	answer := httptest.NewRecorder()
	w.next.ServeHTTP(answer, passed)
	body := answer.Body.Bytes()
	if r.Method == http.MethodHead { // as net/http drops it
		body = nil
	}
	operation, err := w.contract.Check(r.Context(), Exchange{
		Request: r, Sent: sent.Bytes(), Status: answer.Code, Header: answer.Header(), Body: body,
	})
	if err != nil {
		w.t.Error(err)
	}
	w.note(operation)
	for name, values := range answer.Header() {
		rw.Header()[name] = values
	}
	rw.WriteHeader(answer.Code)
	if len(body) == 0 {
		return
	}
	if _, err := rw.Write(body); err != nil {
		w.t.Errorf("pass the answer on: %v", err)
	}
}

func (w *Watched) note(operation string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if operation != "" && !slices.Contains(w.seen, operation) {
		w.seen = append(w.seen, operation)
	}
}

// Operations lists the operations that were exercised within the contract, in
// alphabetical order.
func (w *Watched) Operations() []string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return slices.Sorted(slices.Values(w.seen))
}
