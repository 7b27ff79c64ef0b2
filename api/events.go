package api

import (
	"github.com/gin-gonic/gin"

	"osier/model"
)

// postEvents answers POST /v1/sessions/{session}/events: keeps what a device
// logged, each event once by its name, and says what all of them tell so far.
func (s *Server) postEvents(c *gin.Context) (answer, error) {
	var batch model.EventBatch
	if _, err := readJSON(c, &batch); err != nil {
		return answer{}, err
	}
	if err := s.mayLog(c, batch); err != nil {
		return answer{}, err
	}
	taken, err := s.Live.TakeEvents(c.Request.Context(), c.Param("session"), batch)
	return answer{body: taken}, err
}

// getAdvice answers GET /v1/sessions/{session}/advice: what to do now, cautions
// first.
func (s *Server) getAdvice(c *gin.Context) (answer, error) {
	if err := s.mayWriteSession(c); err != nil { // it rests on the angler's own fit
		return answer{}, err
	}
	advice, err := s.Advisor.Advice(c.Request.Context(), c.Param("session"))
	return answer{body: advice, cacheControl: "private, no-cache"}, err
}

// getLive answers GET /v1/sessions/{session}/live: what the events tell so far.
func (s *Server) getLive(c *gin.Context) (answer, error) {
	if err := s.mayWriteSession(c); err != nil { // the record may be shared, its log is not
		return answer{}, err
	}
	live, err := s.Live.LiveSession(c.Request.Context(), c.Param("session"))
	return answer{body: live, cacheControl: "private, no-cache"}, err
}
