package api

import (
	"cmp"
	"errors"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"osier/model"
)

// errMethod is answered where a path is known but not for the method.
var errMethod = errors.New("this path does not take that method")

// errOrigin is answered to a write that a page of another origin sent through
// somebody's browser.
var errOrigin = errors.New("a page of another origin may not write here")

// errPrecondition is answered where If-Match names another version.
var errPrecondition = errors.New("the record is not the version that If-Match names; read it again and repeat the change")

// Problem is an error as a document (RFC 9457), with the field, what was wrong
// and what would be right as members of our own.
type Problem struct {
	Type   string `json:"type"`
	Title  string `json:"title"`
	Status int    `json:"status"`
	Detail string `json:"detail"`
	Code   string `json:"code"`
	Field  string `json:"field,omitempty"`
	Wrong  string `json:"wrong,omitempty"`
	Right  string `json:"right,omitempty"`
	Demo   bool   `json:"demo"`
}

// statusOf is the one table from code to status.
var statusOf = map[model.Code]int{
	model.Invalid:      http.StatusUnprocessableEntity,
	model.NotFound:     http.StatusNotFound,
	model.Conflict:     http.StatusConflict,
	model.TooLarge:     http.StatusRequestEntityTooLarge,
	model.Unavailable:  http.StatusServiceUnavailable,
	model.NoCredential: http.StatusUnauthorized,
	model.Forbidden:    http.StatusForbidden,
	model.TooMany:      http.StatusTooManyRequests,
	model.Internal:     http.StatusInternalServerError,
}

// writeProblem is the one place that turns an error into a body and logs a
// fault of our own.
func (s *Server) writeProblem(c *gin.Context, err error) {
	p := s.problem(c, err)
	if p.Status == http.StatusServiceUnavailable {
		c.Header("Retry-After", "5")
	}
	if p.Status == http.StatusUnauthorized {
		c.Header("WWW-Authenticate", challenge(c))
	}
	body, encodeErr := encode(p)
	if encodeErr != nil {
		s.logOf(c).Error("encode a problem", "error", encodeErr)
	}
	c.Header("Cache-Control", "no-store")
	c.Header("X-Content-Type-Options", "nosniff")
	c.Data(p.Status, "application/problem+json", body)
}

func (s *Server) problem(c *gin.Context, err error) Problem {
	if model.CodeOf(err) == model.NoCredential {
		err = s.surely(c, err)
	}
	p := Problem{Type: "about:blank", Detail: err.Error(), Demo: s.Demo}
	var e *model.Error
	switch {
	case errors.Is(err, errMethod):
		p.Status, p.Code = http.StatusMethodNotAllowed, "method_not_allowed"
	case errors.Is(err, errOrigin):
		p.Status, p.Code = http.StatusForbidden, "cross_origin"
	case errors.Is(err, errPrecondition):
		p.Status, p.Code = http.StatusPreconditionFailed, "precondition_failed"
	case errors.As(err, &e):
		p.Status, p.Code = statusOf[e.Code], string(e.Code)
		p.Field, p.Wrong, p.Right = e.Field, e.Wrong, cmp.Or(e.Right, whereToFind(e))
		if e.Code == model.Unavailable { // the cause names files and engines
			s.logOf(c).Warn("store unavailable", "path", c.FullPath(), "error", err)
			p.Detail = (&model.Error{Field: e.Field, Wrong: e.Wrong, Right: e.Right}).Error()
		}
	default:
		p.Status, p.Code = http.StatusInternalServerError, string(model.Internal)
	}
	if p.Status == http.StatusInternalServerError {
		s.logOf(c).Error("request failed", "path", c.FullPath(), "error", err)
		p.Detail, p.Wrong = "The program or the machine failed; nothing was changed. The reason is in the server's log, under the request's X-Request-Id.", ""
	}
	p.Title = http.StatusText(p.Status)
	p.Detail, p.Wrong = clipped(p.Detail), clipped(p.Wrong)
	return p
}

// longestTold is in bytes: what was sent may be repeated in an answer, and must
// not make it as long. Our choice.
const longestTold = 600

// clipped is a text of at most that length, its end marked where it was cut.
func clipped(text string) string {
	if len(text) <= longestTold {
		return text
	}
	return strings.ToValidUTF8(text[:longestTold], "") + " (cut short)"
}

// whereToFind says what to do about a thing that is not there. The store does
// not know over which door it was asked.
func whereToFind(e *model.Error) string {
	if e.Code != model.NotFound {
		return ""
	}
	return map[string]string{
		"water":       "GET /v1/waters lists the waters, and PUT /v1/waters/{water} registers one",
		"plan":        "POST /v1/plans issues a plan and names it",
		"club":        "GET /v1/clubs lists the clubs, and PUT /v1/clubs/{club} registers one",
		"outlook":     "GET /v1/clubs/{club}/outlooks lists those published",
		"restriction": "GET /v1/clubs/{club}/restrictions lists those in force",
		"session":     "POST /v1/sessions keeps a record and names it",
		"import":      "POST /v1/imports takes a file in and names its report",
	}[e.Field]
}

// refuseCrossOrigin lets reads pass, and writes of pages of our own or of no
// page at all.
func (s *Server) refuseCrossOrigin(c *gin.Context) {
	if s.origin.Check(c.Request) != nil {
		s.writeProblem(c, errOrigin)
		c.Abort()
	}
}

// recoverPanics keeps one broken request from ending the process.
func (s *Server) recoverPanics(c *gin.Context) {
	defer func() {
		if fault := recover(); fault != nil {
			if fault == http.ErrAbortHandler { //nolint:errorlint // net/http panics with this very value
				panic(fault)
			}
			s.logOf(c).Error("request panicked", "path", c.FullPath(), "fault", fault)
			if !c.Writer.Written() {
				s.writeProblem(c, errors.New("panic"))
			}
			c.Abort()
		}
	}()
	c.Next()
}

// challenge says how to be let in (RFC 6750, section 3).
func challenge(c *gin.Context) string {
	if c.GetHeader("Authorization") == "" {
		return `Bearer realm="osier"`
	}
	return `Bearer realm="osier", error="invalid_token"`
}
