package jobs

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"osier/model"
	"osier/model/caution"
)

// RestrictionStore is what the restrictions of clubs need.
type RestrictionStore interface {
	Water(ctx context.Context, id string) (model.Water, error)
	Club(ctx context.Context, id string) (model.Club, error)
	PutRestriction(ctx context.Context, r model.Restriction) error
	LiftRestriction(ctx context.Context, r model.Restriction) error
	Restriction(ctx context.Context, id string) (model.Restriction, error)
	ClubRestrictions(ctx context.Context, club string, from, to, afterStart time.Time, afterID string, limit int) ([]model.Restriction, error)
}

// Restrictor takes in what clubs decide about their waters. Who may
// decide is asked before it is called.
type Restrictor struct {
	Store RestrictionStore
	Now   func() time.Time
	Demo  bool
}

// Restrict keeps a restriction, which is in force in every plan from then on. The
// same decision again is recognised and changes nothing, unless it was lifted;
// fresh says whether it was new.
func (r *Restrictor) Restrict(ctx context.Context, decided model.Restriction) (stored model.Restriction, fresh bool, err error) {
	if err := decided.Validate(); err != nil {
		return decided, false, err
	}
	if _, err := r.Store.Water(ctx, decided.Water); err != nil {
		return decided, false, err
	}
	if err := r.mayDecide(ctx, decided); err != nil {
		return decided, false, err
	}
	made, err := decided.AsMade(r.Now())
	if err != nil {
		return decided, false, err
	}
	made.Demo = r.Demo
	if was, err := r.Store.Restriction(ctx, made.ID); err == nil {
		return was, false, was.InForce()
	} else if model.CodeOf(err) != model.NotFound {
		return made, false, err
	}
	if err := r.Store.PutRestriction(ctx, made); err != nil {
		return made, false, err
	}
	stored, err = r.Store.Restriction(ctx, made.ID)
	return stored, true, err
}

// mayDecide refuses a registered club's decision about a water that it does not
// look after. Of a club that is not registered nothing is known.
func (r *Restrictor) mayDecide(ctx context.Context, decided model.Restriction) error {
	club, err := r.Store.Club(ctx, decided.Club)
	switch {
	case model.CodeOf(err) == model.NotFound:
		return nil
	case err == nil && !club.Has(decided.Water):
		return model.Invalidf("water", "name one of the club's waters, or give the club this one first", "%s is no water of %s", decided.Water, club.ID)
	}
	return err
}

// Lift ends a restriction now. Sent again by the same person for the same reason
// it changes nothing.
func (r *Restrictor) Lift(ctx context.Context, id, by, why string) (model.Restriction, error) {
	was, err := r.Store.Restriction(ctx, id)
	if err != nil {
		return was, err
	}
	if was.LiftedAt.Known && was.LiftedBy == by && was.LiftedWhy == strings.TrimSpace(why) {
		return was, nil
	}
	lifted, err := was.Lifted(r.Now(), by, why)
	if err != nil {
		return was, err
	}
	if err := r.Store.LiftRestriction(ctx, lifted); err != nil {
		return was, err
	}
	stored, err := r.Store.Restriction(ctx, id)
	if err == nil && (stored.LiftedBy != lifted.LiftedBy || stored.LiftedWhy != lifted.LiftedWhy) {
		err = stored.InForce() // somebody else was quicker
	}
	return stored, err
}

// LiftOf is Lift for a restriction of a club: another club's is not found.
func (r *Restrictor) LiftOf(ctx context.Context, club, id, by, why string) (model.Restriction, error) {
	was, err := r.Store.Restriction(ctx, id)
	if err == nil && was.Club != club {
		err = model.NotFoundf("restriction", "", "%s has no restriction %q", club, id)
	}
	if err != nil {
		return was, err
	}
	return r.Lift(ctx, id, by, why)
}

// Restrictions lists a club's restrictions in force in any part of a span of time,
// in the order in which they begin, a page at a time. next is where the page after
// begins, empty on the last.
func (r *Restrictor) Restrictions(ctx context.Context, club string, from, to time.Time, after string, limit int) (page []model.Restriction, next string, err error) {
	if err := model.ValidateID("club", club); err != nil {
		return nil, "", err
	}
	var start time.Time
	id := ""
	if after != "" {
		if start, id, err = restrictionCursor(after); err != nil {
			return nil, "", err
		}
	}
	page, err = r.Store.ClubRestrictions(ctx, club, from, to, start, id, limit+1)
	if err != nil || len(page) <= limit {
		return page, "", err
	}
	last := page[limit-1]
	return page[:limit], fmt.Sprintf("%d.%s", last.From.Unix(), last.ID), nil
}

func restrictionCursor(after string) (start time.Time, id string, err error) {
	seconds, id, ok := strings.Cut(after, ".")
	n, err := strconv.ParseInt(seconds, 10, 64)
	if !ok || err != nil || id == "" {
		return start, "", model.Invalidf("after", "give the `next` of the page before", "%q is no place in the list", after)
	}
	return time.Unix(n, 0), id, nil
}

// restrictionsIn lists what clubs decided about a water that holds in any part of
// the hours.
func restrictionsIn(ctx context.Context, s PlanStore, water string, from, until time.Time) ([]model.Restriction, error) {
	made, err := s.Restrictions(ctx, water, from, until)
	return slices.DeleteFunc(made, func(r model.Restriction) bool {
		_, _, holds := r.Within(from, until)
		return !holds
	}), err
}

// IssuedPlan finds a plan as it was issued, with what clubs decided since about
// its hours.
func (p *Planner) IssuedPlan(ctx context.Context, id string) (model.Plan, error) {
	issued, err := p.Store.Plan(ctx, id)
	if err != nil {
		return issued, err
	}
	w, err := p.Store.Water(ctx, issued.Water)
	if err != nil {
		return issued, err
	}
	made, err := p.Store.Restrictions(ctx, issued.Water, issued.Start, issued.Question.End())
	issued.SinceIssued = caution.SinceIssued(issued, w, made)
	return issued, err
}
