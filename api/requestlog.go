package api

import (
	"log/slog"
	"time"

	"github.com/gin-gonic/gin"
)

// logRequest writes one line a request, by route and not by path, so that no
// identifier of a person ends in the log.
func (s *Server) logRequest(c *gin.Context) {
	start := time.Now()
	c.Next()
	s.Log.LogAttrs(c.Request.Context(), slog.LevelInfo, "request",
		slog.String("method", c.Request.Method), slog.String("route", c.FullPath()), slog.Int("status", c.Writer.Status()),
		slog.Int("bytes", c.Writer.Size()), slog.Int64("ms", time.Since(start).Milliseconds()),
		slog.String("request_id", c.Writer.Header().Get(requestIDHeader)))
}
