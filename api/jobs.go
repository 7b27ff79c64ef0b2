package api

import (
	"github.com/gin-gonic/gin"

	"osier/model"
)

// listJobs answers GET /v1/jobs: what the schedule did lately, the newest first.
func (s *Server) listJobs(c *gin.Context) (answer, error) {
	if err := onlyQuery(c, "limit"); err != nil {
		return answer{}, err
	}
	limit, err := pageSize(c)
	if err != nil {
		return answer{}, err
	}
	runs, err := s.Jobs.JobRuns(c.Request.Context(), limit)
	if err != nil {
		return answer{}, err
	}
	if runs == nil {
		runs = []model.JobRun{}
	}
	return answer{body: struct {
		Runs []model.JobRun `json:"runs"`
		Demo bool           `json:"demo"`
	}{runs, s.Demo}, cacheControl: "no-cache"}, nil
}
