package api

import (
	"time"

	"github.com/gin-gonic/gin"
)

// logRequest writes one line a request, by route and not by path, so that no
// identifier of a person ends in the log.
func (s *Server) logRequest(c *gin.Context) {
	start := time.Now()
	c.Next()
	s.logOf(c).Info("request", "method", c.Request.Method, "route", c.FullPath(), "status", c.Writer.Status(),
		"bytes", c.Writer.Size(), "ms", time.Since(start).Milliseconds())
}
