package api

import (
	"context"
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"

	"osier/model"
)

// Clubs keeps which clubs there are and what waters they look after.
type Clubs interface {
	PutClub(ctx context.Context, c model.Club) (stored model.Club, fresh bool, err error)
	Club(ctx context.Context, id string) (model.Club, error)
	Clubs(ctx context.Context, after string, limit int) ([]model.Club, error)
}

// sharedFor is how long a cache between us and many readers may give what a club
// published without asking: a closure is then seen two minutes late at the most,
// and a club's Friday-night rush asks us once a minute. Our choice.
const sharedFor = "public, max-age=60, stale-while-revalidate=60"

// shared lets caches on the way keep an answer. What was rendered is known to be
// right at the store's revision of now, however old it is, so that only one that
// is stale, or whose revision is not known, tells its age.
func shared(a answer) answer {
	a.cacheControl = sharedFor
	if body, ok := a.body.([]byte); ok && !isMarkedStale(body) && !a.unsure {
		a.header.Del("Age")
	}
	return a
}

// listClubs answers GET /v1/clubs: a page of clubs by identifier.
func (s *Server) listClubs(c *gin.Context) (answer, error) {
	if err := onlyQuery(c, "after", "limit"); err != nil {
		return answer{}, err
	}
	limit, err := pageSize(c)
	if err != nil {
		return answer{}, err
	}
	after := c.Query("after")
	a, err := s.rendered(c.Request.Context(), s.Loader.Load, fmt.Sprintf("clubs/%d/%s", limit, after), func(ctx context.Context) (any, error) {
		clubs, err := s.Clubs.Clubs(ctx, after, limit+1)
		page := clubPage{Clubs: append([]model.Club{}, clubs...), Demo: s.Demo}
		if len(clubs) > limit {
			page.Clubs, page.Next = clubs[:limit], &clubs[limit-1].ID
		}
		return page, err
	})
	a.cacheControl = "no-cache"
	return a, err
}

type clubPage struct {
	Clubs []model.Club `json:"clubs"`
	Next  *string      `json:"next"`
	Demo  bool         `json:"demo"`
}

// getClub answers GET /v1/clubs/{club}.
func (s *Server) getClub(c *gin.Context) (answer, error) {
	id := c.Param("club")
	a, err := s.rendered(c.Request.Context(), s.Loader.Load, "club/"+id, func(ctx context.Context) (any, error) { return s.Clubs.Club(ctx, id) })
	a.cacheControl = "no-cache"
	return a, err
}

// putClub answers PUT /v1/clubs/{club}: registers a club or replaces one.
func (s *Server) putClub(c *gin.Context) (answer, error) {
	var club model.Club
	body, err := readJSON(c, &club)
	if err != nil {
		return answer{}, err
	}
	if err := mustGive(body, "name", "zone", "waters"); err != nil {
		return answer{}, err
	}
	if club.ID == "" {
		club.ID = c.Param("club")
	}
	if club.ID != c.Param("club") {
		return answer{}, model.Invalidf("id", "leave it out, or give the identifier of the path", "the body names %q and the path %q", club.ID, c.Param("club"))
	}
	stored, fresh, err := s.Clubs.PutClub(c.Request.Context(), club)
	status := http.StatusOK
	if fresh {
		status = http.StatusCreated
	}
	return answer{status: status, body: stored}, err
}
