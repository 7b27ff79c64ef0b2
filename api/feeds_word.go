package api

import (
	"context"
	"slices"
	"time"

	"osier/api/page"
	"osier/model"
)

// How far back and ahead what a club told is told again. Our choice: a reader who
// was away for some weeks still learns what was lifted meanwhile.
const (
	toldOutlooks = 20
	toldBack     = 60 * 24 * time.Hour
	toldAhead    = 2 * 365 * 24 * time.Hour
	pastCautions = 2 * 24 * time.Hour // nobody needs those of days gone by
)

// clubWord gathers what a club told its public: its published outlooks and what
// it decided about its waters.
func (s *Server) clubWord(ctx context.Context, club string, now time.Time) (page.ClubWord, error) {
	c, err := s.Clubs.Club(ctx, club)
	if err != nil {
		return page.ClubWord{}, err
	}
	c.Demo = c.Demo || s.Demo
	word := page.ClubWord{Club: c, CautionsFrom: now.Add(-pastCautions)}
	kept, err := s.Feeds.Outlooks(ctx, club, model.OutlookPublished, time.Time{}, "", toldOutlooks)
	if err != nil {
		return word, err
	}
	for _, k := range kept {
		word.Outlooks = append(word.Outlooks, k.Outlook)
	}
	for _, id := range c.Waters {
		w, err := s.Waters.Water(ctx, id)
		if err != nil {
			return word, err
		}
		word.Waters = append(word.Waters, w)
		made, err := s.Feeds.Restrictions(ctx, id, now.Add(-toldBack), now.Add(toldAhead))
		if err != nil {
			return word, err
		}
		word.Restrictions = append(word.Restrictions, slices.DeleteFunc(made, func(r model.Restriction) bool {
			return r.LiftedAt.Known && r.LiftedAt.Value.Before(now.Add(-toldBack))
		})...)
	}
	return word, nil
}
