package api

import (
	"context"
	"fmt"
	"strconv"

	"github.com/gin-gonic/gin"

	"osier/model"
)

// usualSessionH is the session a season is told for when nobody says.
const usualSessionH = 5.0

// getSeason answers GET /v1/waters/{water}/season: the year month by month.
func (s *Server) getSeason(c *gin.Context) (answer, error) {
	if err := onlyQuery(c, "group", "hours"); err != nil {
		return answer{}, err
	}
	var groups []model.Group
	if text := c.Query("group"); text != "" {
		g := model.Group(text)
		if err := g.Validate("group"); err != nil {
			return answer{}, err
		}
		groups = append(groups, g)
	}
	hours := usualSessionH
	if text := c.Query("hours"); text != "" {
		var err error
		if hours, err = strconv.ParseFloat(text, 64); err != nil {
			return answer{}, model.Invalidf("hours", "give a number of hours, such as 5", "%q is none", text)
		}
	}
	water := c.Param("water")
	question := fmt.Sprintf("season/%s/%v/%g", water, groups, hours)
	a, err := s.rendered(c.Request.Context(), s.Loader.LoadCurrent, question, func(ctx context.Context) (any, error) {
		return s.Planner.Season(ctx, water, groups, hours)
	})
	return shared(a), err
}
