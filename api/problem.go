package api

import (
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"osier/model"
)

// errMethod is answered where a path is known but not for the method.
var errMethod = errors.New("this path does not take that method")

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
	model.Invalid:     http.StatusUnprocessableEntity,
	model.NotFound:    http.StatusNotFound,
	model.Conflict:    http.StatusConflict,
	model.TooLarge:    http.StatusRequestEntityTooLarge,
	model.Unavailable: http.StatusServiceUnavailable,
	model.Internal:    http.StatusInternalServerError,
}

// writeProblem is the one place that turns an error into a body and logs a
// fault of our own.
func (s *Server) writeProblem(c *gin.Context, err error) {
	p := s.problem(c, err)
	if p.Status == http.StatusServiceUnavailable {
		c.Header("Retry-After", "5")
	}
	body, encodeErr := encode(p)
	if encodeErr != nil {
		s.Log.Error("encode a problem", "error", encodeErr)
	}
	c.Header("Cache-Control", "no-store")
	c.Header("X-Content-Type-Options", "nosniff")
	c.Data(p.Status, "application/problem+json", body)
}

func (s *Server) problem(c *gin.Context, err error) Problem {
	p := Problem{Type: "about:blank", Detail: err.Error(), Demo: s.Demo}
	var e *model.Error
	switch {
	case errors.Is(err, errMethod):
		p.Status, p.Code = http.StatusMethodNotAllowed, "method_not_allowed"
	case errors.Is(err, errPrecondition):
		p.Status, p.Code = http.StatusPreconditionFailed, "precondition_failed"
	case errors.As(err, &e):
		p.Status, p.Code = statusOf[e.Code], string(e.Code)
		p.Field, p.Wrong, p.Right = e.Field, e.Wrong, e.Right
	default:
		p.Status, p.Code = http.StatusInternalServerError, string(model.Internal)
	}
	if p.Status == http.StatusInternalServerError {
		s.Log.Error("request failed", "path", c.FullPath(), "error", err)
		p.Detail, p.Wrong = "The program or the machine failed; nothing was changed. The reason is in the server's log.", ""
	}
	p.Title = http.StatusText(p.Status)
	return p
}

// recoverPanics keeps one broken request from ending the process.
func (s *Server) recoverPanics(c *gin.Context) {
	defer func() {
		if fault := recover(); fault != nil {
			if fault == http.ErrAbortHandler { //nolint:errorlint // net/http panics with this very value
				panic(fault)
			}
			s.Log.Error("request panicked", "path", c.FullPath(), "fault", fault)
			if !c.Writer.Written() {
				s.writeProblem(c, errors.New("panic"))
			}
			c.Abort()
		}
	}()
	c.Next()
}
