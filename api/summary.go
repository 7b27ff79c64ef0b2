package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"osier/api/page"
	"osier/model"
)

// getSummary answers GET /v1/sessions/{session}/summary: what a session that
// has ended came to.
func (s *Server) getSummary(c *gin.Context) (answer, error) {
	summary, err := s.summary(c)
	return answer{body: summary, cacheControl: "private, no-cache"}, err
}

// sessionPage answers GET /sessions/{session}: the same as a page.
func (s *Server) sessionPage(c *gin.Context) (answer, error) {
	summary, err := s.summary(c)
	if err != nil {
		return answer{}, err
	}
	body, err := page.Summary(summary)
	header := http.Header{"Content-Security-Policy": {page.SummaryPolicy()}, "Referrer-Policy": {"no-referrer"}}
	return answer{body: body, contentType: "text/html; charset=utf-8", cacheControl: "private, no-cache", header: header}, err
}

func (s *Server) summary(c *gin.Context) (model.SessionSummary, error) {
	if err := s.mayReadSession(c); err != nil {
		return model.SessionSummary{}, err
	}
	tell := s.Summaries.Summary
	if err := s.mayWriteSession(c); model.CodeOf(err) == model.NotFound {
		tell = s.Summaries.SharedSummary // an officer's: the record was shared, and nothing else
	} else if err != nil {
		return model.SessionSummary{}, err
	}
	summary, err := tell(c.Request.Context(), c.Param("session"))
	summary.Demo = summary.Demo || s.Demo
	return summary, err
}
