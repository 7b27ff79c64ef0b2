package api

import (
	"context"
	"fmt"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"osier/model"
)

// Page sizes of lists.
const (
	usualPage   = 50
	longestPage = 200
)

// listWaters answers GET /v1/waters: a page of waters by identifier, and where
// the next page begins.
func (s *Server) listWaters(c *gin.Context) (answer, error) {
	if err := onlyQuery(c, "after", "limit"); err != nil {
		return answer{}, err
	}
	limit, err := pageSize(c)
	if err != nil {
		return answer{}, err
	}
	after := c.Query("after")
	a, err := s.rendered(c.Request.Context(), s.Loader.Load, fmt.Sprintf("waters/%d/%s", limit, after), func(ctx context.Context) (any, error) {
		return s.waterPage(ctx, after, limit)
	})
	a.cacheControl = "no-cache"
	return a, err
}

type waterPage struct {
	Waters []model.Water `json:"waters"`
	Next   *string       `json:"next"`
	Demo   bool          `json:"demo"`
}

func (s *Server) waterPage(ctx context.Context, after string, limit int) (waterPage, error) {
	waters, err := s.Waters.Waters(ctx, after, limit+1)
	page := waterPage{Waters: append([]model.Water{}, waters...), Demo: s.Demo}
	if len(waters) > limit {
		page.Waters = waters[:limit]
		page.Next = &page.Waters[limit-1].ID
	}
	return page, err
}

func pageSize(c *gin.Context) (int, error) {
	text := c.Query("limit")
	if text == "" {
		return usualPage, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 || n > longestPage {
		return 0, model.Invalidf("limit", "give a whole number from 1 to 200", "%q is no page size", text)
	}
	return n, nil
}

// getWater answers GET /v1/waters/{water}.
func (s *Server) getWater(c *gin.Context) (answer, error) {
	id := c.Param("water")
	a, err := s.rendered(c.Request.Context(), s.Loader.Load, "water/"+id, func(ctx context.Context) (any, error) { return s.Waters.Water(ctx, id) })
	a.cacheControl = "no-cache"
	return a, err
}

// putWater answers PUT /v1/waters/{water}: registers a water or replaces one.
func (s *Server) putWater(c *gin.Context) (answer, error) {
	var w model.Water
	body, err := readJSON(c, &w)
	if err != nil {
		return answer{}, err
	}
	if err := mustGive(body, "name", "lat", "lon", "mean_depth_m", "bank", "zone", "groups", "colour"); err != nil {
		return answer{}, err
	}
	if w.ID == "" {
		w.ID = c.Param("water")
	}
	if w.ID != c.Param("water") {
		return answer{}, model.Invalidf("id", "leave it out, or give the identifier of the path", "the body names %q and the path %q", w.ID, c.Param("water"))
	}
	if err := w.Validate(); err != nil {
		return answer{}, err
	}
	status := http.StatusCreated
	w.AddedAt, w.Demo = s.Now(), s.Demo
	old, err := s.Waters.Water(c.Request.Context(), w.ID)
	switch {
	case err == nil:
		status, w.AddedAt = http.StatusOK, old.AddedAt
	case model.CodeOf(err) != model.NotFound:
		return answer{}, err
	}
	return answer{status: status, body: w}, s.Waters.PutWater(c.Request.Context(), w)
}
