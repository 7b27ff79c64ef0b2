package api

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/cespare/xxhash/v2"
	"github.com/gin-gonic/gin"
)

// answer is what a handler gives back. It is encoded whole before anything is
// written.
type answer struct {
	status       int // 200 when not set
	body         any // encoded as JSON, unless it is []byte
	contentType  string
	cacheControl string
	etag         string // made from the bytes when not set
	header       http.Header
	unsure       bool // the store could not be asked whether it still holds
}

// handler is one operation: parse, call, answer.
type handler func(c *gin.Context) (answer, error)

// serve turns a handler into gin's form.
func (s *Server) serve(h handler) gin.HandlerFunc {
	return func(c *gin.Context) {
		a, err := h(c)
		if err == nil {
			err = s.write(c, a)
		}
		if err != nil {
			s.writeProblem(c, err)
		}
	}
}

// write encodes, then sends status, validators and bytes.
func (s *Server) write(c *gin.Context, a answer) error {
	body, err := encode(a.body)
	if err != nil {
		return fmt.Errorf("encode the answer: %w", err)
	}
	if a.status == 0 {
		a.status = http.StatusOK
	}
	head := c.Writer.Header()
	for name, values := range a.header {
		head[name] = values
	}
	head.Set("X-Content-Type-Options", "nosniff")
	if a.cacheControl == "" {
		a.cacheControl = "no-store"
	}
	head.Set("Cache-Control", a.cacheControl)
	if a.status == http.StatusOK && isRead(c.Request.Method) && a.cacheControl != "no-store" {
		if a.etag == "" {
			a.etag = etagOf(body)
		}
		head.Set("ETag", a.etag)
		if matches(c.Request.Header.Get("If-None-Match"), a.etag) {
			c.Status(http.StatusNotModified)
			c.Writer.WriteHeaderNow()
			return nil
		}
	}
	if a.contentType == "" {
		a.contentType = "application/json"
	}
	if a.status == http.StatusNoContent {
		c.Status(a.status)
		c.Writer.WriteHeaderNow()
		return nil
	}
	c.Data(a.status, a.contentType, body)
	return nil
}

func isRead(method string) bool { return method == http.MethodGet || method == http.MethodHead }

// encode gives JSON with a final newline; bytes stay as they are.
func encode(v any) ([]byte, error) {
	if b, ok := v.([]byte); ok {
		return b, nil
	}
	if v == nil {
		return nil, nil
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// etagOf names these bytes, the same on every replica. It guards against no
// forger: whoever can choose the bytes gains nothing by two that share a name.
func etagOf(body []byte) string {
	return `"` + strconv.FormatUint(xxhash.Sum64(body), 36) + `"`
}

// matches compares validators weakly, as RFC 9110 section 13.1.2 asks of
// If-None-Match.
func matches(header, etag string) bool {
	for _, candidate := range strings.Split(header, ",") {
		candidate = strings.TrimPrefix(strings.TrimSpace(candidate), "W/")
		if candidate == "*" || candidate == etag {
			return true
		}
	}
	return false
}
