package contract

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/getkin/kin-openapi/routers/legacy"
)

// Contract is the OpenAPI document, loaded and found to be valid.
type Contract struct {
	document *openapi3.T
	router   routers.Router
}

// Load reads the document and refuses one that is not valid OpenAPI.
func Load(document []byte) (*Contract, error) {
	doc, err := openapi3.NewLoader().LoadFromData(document)
	if err != nil {
		return nil, fmt.Errorf("load the OpenAPI document: %w", err)
	}
	router, err := legacy.NewRouter(doc)
	if err != nil {
		return nil, fmt.Errorf("check the OpenAPI document: %w", err)
	}
	return &Contract{document: doc, router: router}, nil
}

// Operations lists every operation as method and path, such as
// "GET /v1/waters/{water}", in alphabetical order.
func (c *Contract) Operations() []string {
	var out []string
	for path, item := range c.document.Paths.Map() {
		for method := range item.Operations() {
			out = append(out, method+" "+path)
		}
	}
	slices.Sort(out)
	return out
}

// Exchange is one request and the answer to it.
type Exchange struct {
	Request *http.Request // its body is not read
	Sent    []byte
	Status  int
	Header  http.Header
	Body    []byte
}

// Check finds the operation of an exchange and says where the answer, or a
// request that was granted, breaks the document. The operation is empty for a
// path or method that the document does not know; the answer must then be a
// problem document.
func (c *Contract) Check(ctx context.Context, e Exchange) (operation string, err error) {
	request := e.Request.Clone(ctx)
	if request.Method == http.MethodHead {
		request.Method = http.MethodGet
	}
	route, params, err := c.router.FindRoute(request)
	if err != nil {
		return "", c.checkProblem(e)
	}
	in := &openapi3filter.RequestValidationInput{
		Request: request, PathParams: params, Route: route,
		Options: &openapi3filter.Options{
			IncludeResponseStatus: true, SkipSettingDefaults: true, MultiError: true,
			// What was read may be sent back; the server sets such fields itself.
			ExcludeReadOnlyValidations: true,
			// Who may do what is for tests of its own.
			AuthenticationFunc:  openapi3filter.NoopAuthenticationFunc,
			ExcludeResponseBody: e.Request.Method == http.MethodHead,
		},
	}
	var faults []error
	if e.Status < http.StatusBadRequest {
		request.Body = io.NopCloser(bytes.NewReader(e.Sent))
		faults = append(faults, openapi3filter.ValidateRequest(ctx, in))
	}
	out := &openapi3filter.ResponseValidationInput{
		RequestValidationInput: in, Status: e.Status, Header: e.Header, Options: in.Options,
	}
	faults = append(faults,
		openapi3filter.ValidateResponse(ctx, out.SetBodyBytes(e.Body)),
		checkDeclared(route.Operation.Responses.Status(e.Status), e))
	if err := errors.Join(faults...); err != nil {
		return "", fmt.Errorf("%s %s answered %d against the document: %w", e.Request.Method, e.Request.URL.Path, e.Status, err)
	}
	return route.Method + " " + route.Path, nil
}

// mustBeDeclared are the headers of an answer that a caller may build on.
var mustBeDeclared = []string{"Cache-Control", "ETag", "Location", "Content-Location", "Retry-After", "Idempotency-Replayed"}

// checkDeclared finds what the validator lets pass: an undeclared header, a
// required one that 304 lacks, a body where none is declared.
func checkDeclared(declared *openapi3.ResponseRef, e Exchange) error {
	if declared == nil {
		return fmt.Errorf("status %d is not declared", e.Status)
	}
	for _, name := range mustBeDeclared {
		header := declared.Value.Headers[name]
		sent := e.Header.Get(name) != ""
		switch {
		case sent && header == nil:
			return fmt.Errorf("header %s is not declared", name)
		case !sent && header != nil && header.Value.Required:
			return fmt.Errorf("header %s is missing", name)
		}
	}
	if len(declared.Value.Content) == 0 && len(e.Body) > 0 {
		return errors.New("a body was sent where none is declared")
	}
	return nil
}

// checkProblem holds the answer to an unknown path or method against the schema
// of problems.
func (c *Contract) checkProblem(e Exchange) error {
	if kind := e.Header.Get("Content-Type"); e.Status < http.StatusBadRequest || !strings.HasPrefix(kind, "application/problem+json") {
		return fmt.Errorf("%s %s is not in the document and answered %d with %q", e.Request.Method, e.Request.URL.Path, e.Status, kind)
	}
	if e.Request.Method == http.MethodHead {
		return nil
	}
	return c.CheckJSON("Problem", e.Body)
}
