package api

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"net/http"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/model"
)

// once gives a write that carries an Idempotency-Key the answer it was given
// the first time. The key alone does not make a write safe to repeat; the
// identities of the records do, and the key spares the caller the difference.
func (s *Server) once(h handler) handler {
	return func(c *gin.Context) (answer, error) {
		key := c.GetHeader("Idempotency-Key")
		if key == "" {
			return h(c)
		}
		if len(key) > 200 {
			return answer{}, model.Invalidf("Idempotency-Key", "use at most 200 characters", "the key has %d", len(key))
		}
		digest, err := digestRequest(c)
		if err != nil {
			return answer{}, err
		}
		ctx, operation := c.Request.Context(), c.Request.Method+" "+c.Request.URL.Path
		key = s.owned(c, key)
		was, status, body, found, err := s.Answers.AnswerTo(ctx, key, operation)
		if err != nil {
			return answer{}, err
		}
		if found {
			if was != digest {
				return answer{}, &model.Error{Code: model.Conflict, Field: "Idempotency-Key", Wrong: "this key was used for another request", Right: "make a new key for a new request"}
			}
			return answer{status: status, body: body, header: http.Header{"Idempotency-Replayed": {"true"}}}, nil
		}
		a, err := h(c)
		if err != nil {
			return a, err
		}
		if a.body, err = encode(a.body); err != nil {
			return a, err
		}
		if a.status == 0 {
			a.status = http.StatusOK
		}
		kept, _ := a.body.([]byte)
		return a, s.Answers.KeepAnswer(ctx, key, operation, digest, a.status, s.Now(), kept)
	}
}

// owned is an idempotency key as its sender's own: what one was answered is not
// for another who hits on the same key.
func (s *Server) owned(c *gin.Context, key string) string {
	switch p := s.who(c); {
	case p.Token != "":
		return p.Token + "/" + key
	case p.Role == model.Public:
		return auth.Neighbourhood(c.ClientIP()) + "/" + key
	}
	return key
}

// digestRequest names what a write asks for: its query, its media type and its
// body, which is put back to be read again.
func digestRequest(c *gin.Context) (string, error) {
	body, err := readAll(c, maxImportBytes)
	if err != nil {
		return "", err
	}
	c.Request.Body = io.NopCloser(bytes.NewReader(body))
	said := c.Request.URL.RawQuery + "\n" + c.ContentType() + "\n"
	sum := sha256.Sum256(append([]byte(said), body...))
	return hex.EncodeToString(sum[:]), nil
}
