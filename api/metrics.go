package api

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"
)

// Metrics is told of each request, and serves the figures of the process.
type Metrics interface {
	// Request tells of a request that was answered. Route and method come from
	// short lists, whatever a caller sends, and no identifier is among them.
	Request(route, method string, status int, took time.Duration)
	// The handler serves the figures; when it panics a problem is answered.
	http.Handler
}

// otherRoute and otherMethod stand for everything that is in no list of ours.
const (
	otherRoute  = "none"
	otherMethod = "other"
)

// measure tells of each request. It stands outside recoverPanics, so that a
// request that panics counts with the status it was answered.
func (s *Server) measure(c *gin.Context) {
	began := time.Now()
	c.Next()
	route := c.FullPath()
	if route == "" {
		route = otherRoute
	}
	s.Metrics.Request(route, knownMethod(c.Request.Method), c.Writer.Status(), time.Since(began))
}

func knownMethod(method string) string {
	switch method {
	case http.MethodGet, http.MethodHead, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete, http.MethodOptions:
		return method
	}
	return otherMethod
}

// metrics answers GET /metrics.
func (s *Server) metrics(c *gin.Context) {
	c.Header("Cache-Control", "no-store")
	c.Header("X-Content-Type-Options", "nosniff")
	s.Metrics.ServeHTTP(c.Writer, c.Request)
}
