package api

import (
	"context"
	"fmt"
	"time"

	"github.com/gin-gonic/gin"

	"osier/model"
)

// Spans of conditions that may be asked for at once.
const (
	usualSpan   = 24 * time.Hour
	longestSpan = 10 * 24 * time.Hour
)

// getConditions answers GET /v1/waters/{water}/conditions: hour by hour from
// the query's from until its to; now and the next 24 hours when not given. Only
// who decides for the water is told where closing it should be considered.
func (s *Server) getConditions(c *gin.Context) (answer, error) {
	if err := onlyQuery(c, "from", "to"); err != nil {
		return answer{}, err
	}
	from, to, err := s.span(c)
	if err != nil {
		return answer{}, err
	}
	ctx, water := c.Request.Context(), c.Param("water")
	decides, err := s.decidesFor(c, water)
	if err != nil {
		return answer{}, err
	}
	if decides {
		a, err := s.officersConditions(ctx, water, from, to)
		a.cacheControl = "private, no-cache"
		return a, err
	}
	a, err := s.conditions(ctx, water, from, to)
	a.cacheControl = "private, max-age=60"
	return a, err
}

// decidesFor says whether somebody is an officer of a club that has a water, or an
// administrator.
func (s *Server) decidesFor(c *gin.Context, water string) (bool, error) {
	p := s.who(c)
	if p.Role == model.Administrator {
		return true, nil
	}
	for _, id := range p.Clubs {
		club, err := s.Clubs.Club(c.Request.Context(), id)
		if err != nil && model.CodeOf(err) != model.NotFound {
			return false, err
		}
		if err == nil && p.IsOfficer(id) && club.Has(water) {
			return true, nil
		}
	}
	return false, nil
}

// officersConditions are conditions with where closing the water should be
// considered. They are kept apart from those that everybody is given.
func (s *Server) officersConditions(ctx context.Context, water string, from, to time.Time) (answer, error) {
	question := fmt.Sprintf("officers-conditions/%s/%d/%d", water, from.Unix(), to.Unix())
	return s.rendered(ctx, s.Loader.LoadCurrent, question, func(ctx context.Context) (any, error) {
		return s.Planner.ConditionsForOfficers(ctx, water, from, to)
	})
}

// conditions gives the conditions of a span; the pages of a water are made of
// them too.
func (s *Server) conditions(ctx context.Context, water string, from, to time.Time) (answer, error) {
	question := fmt.Sprintf("conditions/%s/%d/%d", water, from.Unix(), to.Unix())
	return s.rendered(ctx, s.Loader.LoadCurrent, question, func(ctx context.Context) (any, error) {
		return s.Planner.Conditions(ctx, water, from, to)
	})
}

func (s *Server) span(c *gin.Context) (from, to time.Time, err error) {
	from = s.Now().Truncate(time.Hour)
	if from, err = timeQuery(c, "from", from); err != nil {
		return from, to, err
	}
	if to, err = timeQuery(c, "to", from.Add(usualSpan)); err != nil {
		return from, to, err
	}
	if to.Before(from) || to.Sub(from) > longestSpan {
		return from, to, model.Invalidf("to", "end after from, and at most ten days later", "the span is %s", to.Sub(from))
	}
	return from, to, nil
}

func timeQuery(c *gin.Context, name string, usual time.Time) (time.Time, error) {
	text := c.Query(name)
	if text == "" {
		return usual, nil
	}
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return t, model.Invalidf(name, "give a time with its offset, such as 2026-11-25T08:00:00Z", "%q is no time", text)
	}
	return t, nil
}
