package api

import (
	"log/slog"
	"math/rand/v2"
	"regexp"
	"strconv"

	"github.com/gin-gonic/gin"
)

// requestIDHeader carries the name of one request through everything that
// handles it. It is no open standard, but what proxies commonly send.
const requestIDHeader = "X-Request-Id"

// requestIDPattern is what is taken over from a caller: a log line stays one
// line, whatever is sent.
var requestIDPattern = regexp.MustCompile(`^[A-Za-z0-9._-]{1,64}$`)

// nameRequest gives each request a name that stands in its answer and in every
// log line about it: the caller's own, where that can stand there.
func (s *Server) nameRequest(c *gin.Context) {
	id := c.GetHeader(requestIDHeader)
	if !requestIDPattern.MatchString(id) {
		id = strconv.FormatUint(rand.Uint64(), 36) // a name, and no secret
	}
	c.Header(requestIDHeader, id)
}

// logOf is the log with the name of a request.
func (s *Server) logOf(c *gin.Context) *slog.Logger {
	return s.Log.With("request_id", c.Writer.Header().Get(requestIDHeader))
}
