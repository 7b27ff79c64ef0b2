package api

import (
	"context"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/model"
)

// Owners tells whose sessions are, and what of them a club may read.
type Owners interface {
	SessionOwner(ctx context.Context, id string) (angler string, sharedWith []string, err error)
	ClaimSession(ctx context.Context, id, angler string) (owner string, err error)
	SharedSessions(ctx context.Context, club, after string, limit int) (page []model.Session, next string, err error)
}

// notThere is answered to who may not know of a thing, in the words of the store
// for one that is not there.
func (s *Server) notThere(c *gin.Context, what, id string) error {
	return s.surely(c, model.NotFoundf(what, "", "there is no %s %q", what, id))
}

// mayReadSession lets pass the angler of the path's session, officers of the
// clubs it is shared with, and administrators.
func (s *Server) mayReadSession(c *gin.Context) error {
	return s.mayDo(c, auth.MayReadSession)
}

// mayWriteSession lets pass the angler of the path's session and administrators.
func (s *Server) mayWriteSession(c *gin.Context) error {
	return s.mayDo(c, func(p model.Principal, angler string, _ []string) bool { return p.IsAngler(angler) })
}

func (s *Server) mayDo(c *gin.Context, may func(p model.Principal, angler string, sharedWith []string) bool) error {
	p, id := s.who(c), c.Param("session")
	if p.Role == model.Administrator {
		return nil
	}
	angler, sharedWith, err := s.Owners.SessionOwner(c.Request.Context(), id)
	if err == nil && !may(p, angler, sharedWith) || model.CodeOf(err) == model.NotFound && err != nil {
		return s.notThere(c, "session", id)
	}
	return err
}

// mayLog lets pass who may send events of the path's session: its angler, or
// whoever sends the first, whose it is from then on. No event may name another
// angler.
func (s *Server) mayLog(c *gin.Context, batch model.EventBatch) error {
	p, id := s.who(c), c.Param("session")
	if p.Role == model.Administrator {
		return nil
	}
	for _, sent := range batch.Events {
		e, err := model.DecodeEvent(sent)
		if err != nil || e.Start == nil { // what cannot be read is told of each event
			continue
		}
		if !p.IsAngler(e.Start.Angler) {
			return &model.Error{Code: model.Forbidden, Field: "start.angler", Wrong: "another angler than the credential's is named", Right: "name " + p.Angler}
		}
	}
	err := s.mayWriteSession(c)
	if model.CodeOf(err) != model.NotFound || err == nil {
		return err
	}
	if _, _, known := s.Owners.SessionOwner(c.Request.Context(), id); known == nil || model.ValidateID("session", id) != nil || model.IsDerivedForm(id) {
		return err
	}
	owner, claimErr := s.Owners.ClaimSession(c.Request.Context(), id, p.Angler)
	if claimErr == nil && owner != p.Angler {
		return err
	}
	return claimErr
}
