package jobs

import (
	"context"
	"slices"
	"sync"
	"time"

	"osier/model"
)

// readOnce is a store that reads once what all the options of a choice read
// alike, so that a choice of many does not read every record as many times. It
// serves one choice and is then let go; several options may read it at a time.
type readOnce struct {
	PlanStore
	mu       sync.Mutex
	joined   *[]model.JoinedSession
	rows     *[]model.JoinedSession // of the public fit in force
	sessions map[sessionsRead][]model.Session
	fits     map[fitAsked]fitFound
}

type sessionsRead struct {
	water, angler string
	from, to      time.Time
}

type fitAsked struct {
	angler string
	at     time.Time
}

type fitFound struct {
	record model.FitRecord
	err    error
}

func newReadOnce(s PlanStore) *readOnce {
	return &readOnce{PlanStore: s, sessions: map[sessionsRead][]model.Session{}, fits: map[fitAsked]fitFound{}}
}

// Joined gives all readers the same list, which none may change.
func (r *readOnce) Joined(ctx context.Context) ([]model.JoinedSession, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.joined == nil {
		joined, err := r.PlanStore.Joined(ctx)
		if err != nil {
			return nil, err
		}
		r.joined = &joined
	}
	return *r.joined, nil
}

// PublicRows gives all readers the same list as well.
func (r *readOnce) PublicRows(ctx context.Context) ([]model.JoinedSession, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.rows == nil {
		rows, err := r.PlanStore.PublicRows(ctx)
		if err != nil {
			return nil, err
		}
		r.rows = &rows
	}
	return *r.rows, nil
}

// Sessions gives each reader a list of its own, which it may sift.
func (r *readOnce) Sessions(ctx context.Context, water, angler string, from, to time.Time) ([]model.Session, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	asked := sessionsRead{water, angler, from, to}
	sessions, known := r.sessions[asked]
	if !known {
		var err error
		if sessions, err = r.PlanStore.Sessions(ctx, water, angler, from, to); err != nil {
			return nil, err
		}
		r.sessions[asked] = sessions
	}
	return slices.Clone(sessions), nil
}

// LatestFit remembers that there is none as well, so that all options rest on
// the same.
func (r *readOnce) LatestFit(ctx context.Context, angler string, at time.Time) (model.FitRecord, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	asked := fitAsked{angler, at}
	found, known := r.fits[asked]
	if !known {
		found.record, found.err = r.PlanStore.LatestFit(ctx, angler, at)
		if found.err == nil || model.CodeOf(found.err) == model.NotFound {
			r.fits[asked] = found
		}
	}
	return found.record, found.err
}
