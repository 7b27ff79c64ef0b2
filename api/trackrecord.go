package api

import (
	"context"
	"fmt"

	"github.com/gin-gonic/gin"

	"osier/model"
)

// getTrackRecord answers GET /v1/track-record: how issued plans fared, bad ones
// included, at one water or all and for one group or all.
func (s *Server) getTrackRecord(c *gin.Context) (answer, error) {
	if err := onlyQuery(c, "water", "group"); err != nil {
		return answer{}, err
	}
	water, group := c.Query("water"), model.Group(c.Query("group"))
	question := fmt.Sprintf("track-record/%q/%q", water, group)
	a, err := s.rendered(c.Request.Context(), s.Loader.LoadCurrent, question, func(ctx context.Context) (any, error) {
		record, err := s.TrackRecords.TrackRecord(ctx, water, group)
		record.Demo = record.Demo || s.Demo
		return record, err
	})
	return shared(a), err
}
