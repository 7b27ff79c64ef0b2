package api

import (
	"slices"

	"github.com/gin-gonic/gin"

	"osier/model"
)

type sharedPage struct {
	Sessions []model.Session `json:"sessions"`
	Next     *string         `json:"next"`
	Demo     bool            `json:"demo"`
}

// listShared answers GET /v1/clubs/{club}/sessions: what anglers shared with the
// club, the newest first, for its officers.
func (s *Server) listShared(c *gin.Context) (answer, error) {
	if err := onlyQuery(c, "after", "limit"); err != nil {
		return answer{}, err
	}
	limit, err := pageSize(c)
	if err != nil {
		return answer{}, err
	}
	sessions, next, err := s.Owners.SharedSessions(c.Request.Context(), c.Param("club"), c.Query("after"), limit)
	page := sharedPage{Sessions: make([]model.Session, len(sessions)), Demo: s.Demo}
	for i, session := range sessions {
		page.Sessions[i] = s.asSeen(c, session)
	}
	if next != "" {
		page.Next = &next
	}
	return answer{body: page, cacheControl: "private, no-cache"}, err
}

// asSeen is a session as the asker may see it: with what other clubs an angler
// shares is between them, and what is doubtful is asked of the angler, in words
// that may name other sessions.
func (s *Server) asSeen(c *gin.Context, session model.Session) model.Session {
	p := s.who(c)
	if p.IsAngler(session.Angler) {
		return session
	}
	session.Queries = nil
	session.SharedWith = slices.DeleteFunc(slices.Clone(session.SharedWith), func(club string) bool { return !p.IsOfficer(club) })
	return session
}
