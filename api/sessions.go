package api

import (
	"encoding/json"
	"net/http"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/model"
)

// postSession answers POST /v1/sessions: keeps a record. The same record again
// is recognised and changes nothing.
func (s *Server) postSession(c *gin.Context) (answer, error) {
	var whole json.RawMessage // what is no JSON is refused in the words of every other body
	if _, err := readJSON(c, &whole); err != nil {
		return answer{}, err
	}
	session, err := model.DecodeSession(whole)
	if err != nil {
		return answer{}, err
	}
	if session.Angler, err = auth.Handle(s.who(c), "angler", session.Angler); err != nil {
		return answer{}, err
	}
	if s.who(c).Role != model.Administrator {
		session = session.UnderOwnName()
	}
	stored, status, err := s.Recorder.Record(c.Request.Context(), session)
	if err != nil {
		return answer{}, err
	}
	code := http.StatusCreated
	if status == model.RowDuplicate {
		code = http.StatusOK
	}
	return answer{status: code, body: stored, header: http.Header{"Location": {"/v1/sessions/" + stored.ID}}}, nil
}

// getSession answers GET /v1/sessions/{session}.
func (s *Server) getSession(c *gin.Context) (answer, error) {
	session, err := s.Recorder.Session(c.Request.Context(), c.Param("session"))
	if err == nil && !auth.MayReadSession(s.who(c), session.Angler, session.SharedWith) {
		err = s.notThere(c, "session", session.ID)
	}
	return answer{body: s.asSeen(c, session), cacheControl: "private, no-cache"}, err
}

// patchSession answers PATCH /v1/sessions/{session}: a merge patch (RFC 7396)
// on the stored record, checked like a new one. If-Match guards against a
// change made meanwhile.
func (s *Server) patchSession(c *gin.Context) (answer, error) {
	patch, err := readBody(c, maxJSONBytes, "application/merge-patch+json", "application/json")
	if err != nil {
		return answer{}, err
	}
	changed, err := s.Recorder.Change(c.Request.Context(), c.Param("session"), func(old model.Session) (model.Session, error) {
		if !s.who(c).IsAngler(old.Angler) {
			return old, s.notThere(c, "session", old.ID)
		}
		was, err := encode(old)
		if err != nil {
			return old, err
		}
		if match := c.GetHeader("If-Match"); match != "" && !matches(match, etagOf(was)) {
			return old, errPrecondition
		}
		merged, err := mergePatch(was, patch)
		if err != nil {
			return old, err
		}
		changed, err := model.DecodeSession(merged)
		if err != nil {
			return old, err
		}
		changed.Angler, err = auth.Handle(s.who(c), "angler", changed.Angler)
		return changed, err
	})
	return answer{body: changed}, err
}

// deleteSession answers DELETE /v1/sessions/{session}: removes the record, and
// with it its share in the next fit.
func (s *Server) deleteSession(c *gin.Context) (answer, error) {
	if err := s.mayWriteSession(c); err != nil {
		return answer{}, err
	}
	return answer{status: http.StatusNoContent}, s.Recorder.Delete(c.Request.Context(), c.Param("session"))
}
