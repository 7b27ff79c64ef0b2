package api

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/model"
)

// postRestriction answers POST /v1/clubs/{club}/restrictions: keeps what a club
// decided, in force at once. The same decision again is recognised and changes
// nothing.
func (s *Server) postRestriction(c *gin.Context) (answer, error) {
	r := model.Restriction{From: s.Now()}
	_, err := readJSON(c, &r)
	if err != nil {
		return answer{}, err
	}
	r.Club = c.Param("club")
	if r.DecidedBy, err = auth.Author(s.who(c), "decided_by", r.DecidedBy); err != nil {
		return answer{}, err
	}
	stored, fresh, err := s.Restrictions.Restrict(c.Request.Context(), r)
	if err != nil {
		return answer{}, err
	}
	status := http.StatusOK
	if fresh {
		status = http.StatusCreated
	}
	return answer{status: status, body: stored}, nil
}

// lift is who lifts a restriction, and why.
type lift struct {
	By  string `json:"by"`
	Why string `json:"why"`
}

// postLift answers POST /v1/clubs/{club}/restrictions/{restriction}/lift: the
// restriction no longer holds, and stays on record with who lifted it and when.
func (s *Server) postLift(c *gin.Context) (answer, error) {
	var l lift
	_, err := readJSON(c, &l)
	if err != nil {
		return answer{}, err
	}
	if l.By, err = auth.Author(s.who(c), "by", l.By); err != nil {
		return answer{}, err
	}
	r, err := s.Restrictions.LiftOf(c.Request.Context(), c.Param("club"), c.Param("restriction"), l.By, l.Why)
	return answer{body: r}, err
}

// listRestrictions answers GET /v1/clubs/{club}/restrictions: those in force now,
// at an instant, or in any part of a span of time.
func (s *Server) listRestrictions(c *gin.Context) (answer, error) {
	if err := onlyQuery(c, "at", "until", "after", "limit"); err != nil {
		return answer{}, err
	}
	limit, err := pageSize(c)
	if err != nil {
		return answer{}, err
	}
	at, err := timeQuery(c, "at", s.Now())
	if err != nil {
		return answer{}, err
	}
	until, err := timeQuery(c, "until", at.Add(time.Second)) // restrictions are kept to the second
	if err != nil {
		return answer{}, err
	}
	if !until.After(at) {
		return answer{}, model.Invalidf("until", "give a time after at, or leave it out", "%s is not after %s", until.Format(time.RFC3339), at.Format(time.RFC3339))
	}
	found, next, err := s.Restrictions.Restrictions(c.Request.Context(), c.Param("club"), at, until, c.Query("after"), limit)
	page := restrictionPage{Restrictions: append([]model.Restriction{}, found...), Demo: s.Demo}
	if next != "" {
		page.Next = &next
	}
	return answer{body: page, cacheControl: "no-cache"}, err
}

type restrictionPage struct {
	Restrictions []model.Restriction `json:"restrictions"`
	Next         *string             `json:"next"`
	Demo         bool                `json:"demo"`
}
