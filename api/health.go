package api

import (
	"github.com/gin-gonic/gin"
)

// health says that the process answers.
func (s *Server) health(*gin.Context) (answer, error) {
	return answer{body: map[string]any{"status": "ok", "demo": s.Demo}}, nil
}

// ready says whether the store answers, for reading and for writing.
func (s *Server) ready(c *gin.Context) (answer, error) {
	if err := s.Ready(c.Request.Context()); err != nil {
		return answer{}, err
	}
	return answer{body: map[string]any{"status": "ready", "demo": s.Demo}}, nil
}

// document serves the contract.
func (s *Server) document(*gin.Context) (answer, error) {
	return answer{body: s.Document, contentType: "application/yaml", cacheControl: "public, max-age=300"}, nil
}
