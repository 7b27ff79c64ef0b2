package jobs

import (
	"context"
	"time"

	"osier/model"
)

// ClubStore is what registering clubs needs.
type ClubStore interface {
	Water(ctx context.Context, id string) (model.Water, error)
	PutClub(ctx context.Context, c model.Club) error
	Club(ctx context.Context, id string) (model.Club, error)
	Clubs(ctx context.Context, after string, limit int) ([]model.Club, error)
}

// ClubRegister keeps which clubs there are and what waters they look after.
type ClubRegister struct {
	Store ClubStore
	Now   func() time.Time
	Demo  bool
}

// PutClub registers a club, or changes one; fresh says which. Its waters must be
// registered.
func (r *ClubRegister) PutClub(ctx context.Context, c model.Club) (stored model.Club, fresh bool, err error) {
	if err := c.Validate(); err != nil {
		return c, false, err
	}
	for _, w := range c.Waters {
		if _, err := r.Store.Water(ctx, w); err != nil {
			return c, false, err
		}
	}
	if c.Waters == nil {
		c.Waters = []string{}
	}
	c.AddedAt, c.Demo = r.Now(), r.Demo
	was, err := r.Store.Club(ctx, c.ID)
	switch {
	case err == nil:
		c.AddedAt = was.AddedAt
	case model.CodeOf(err) != model.NotFound:
		return c, false, err
	}
	return c, err != nil, r.Store.PutClub(ctx, c)
}

// Club finds one club.
func (r *ClubRegister) Club(ctx context.Context, id string) (model.Club, error) {
	return r.Store.Club(ctx, id)
}

// Clubs lists clubs by identifier, a page at a time.
func (r *ClubRegister) Clubs(ctx context.Context, after string, limit int) ([]model.Club, error) {
	return r.Store.Clubs(ctx, after, limit)
}

// allClubs reads every club.
func allClubs(ctx context.Context, s interface {
	Clubs(ctx context.Context, after string, limit int) ([]model.Club, error)
},
) ([]model.Club, error) {
	const page = 200
	var all []model.Club
	for after := ""; ; after = all[len(all)-1].ID {
		clubs, err := s.Clubs(ctx, after, page)
		if err != nil {
			return nil, err
		}
		all = append(all, clubs...)
		if len(clubs) < page {
			return all, nil
		}
	}
}
