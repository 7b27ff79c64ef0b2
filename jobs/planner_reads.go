package jobs

import (
	"context"
	"slices"
	"sync"
	"time"

	"osier/model"
)

// RevisedStore is a store of plans that counts its changes.
type RevisedStore interface {
	PlanStore
	Revision(ctx context.Context) (int64, error)
}

// mostKept is how many joined sessions, and how many records, are held between
// plans, some 100 MB of either; a store with more is read anew for each plan. Our
// choice.
const mostKept = 100_000

// keptReads is a store that holds, as of one revision, what plans read again and
// again: it is the same until something changes. Any number of readers may use
// it at a time.
type keptReads struct {
	RevisedStore
	mu       sync.Mutex
	revision int64
	held     *heldReads
}

// heldReads is what is held of one revision.
type heldReads struct {
	joined   *[]model.JoinedSession
	readings map[string][]model.Session // with a thermometer's reading, by water
	own      map[string][]model.Session // by angler
	records  int                        // how many those of both are
	latest   map[string]fitFound        // by angler: of their fits the one added last
	fits     map[string]fitRead         // by name
}

// KeepReads puts a store behind one that plans of a server read: what they all
// read alike is decoded once for each revision of the store.
func KeepReads(s RevisedStore) PlanStore { return &keptReads{RevisedStore: s} }

// current is what is held, nothing where the store has changed since. The
// revision is read first: what came in between is read again the next time.
func (k *keptReads) current(ctx context.Context) (*heldReads, error) {
	revision, err := k.Revision(ctx)
	if err != nil {
		return nil, err
	}
	if k.held == nil || k.revision != revision {
		k.revision, k.held = revision, &heldReads{
			readings: map[string][]model.Session{}, own: map[string][]model.Session{}, latest: map[string]fitFound{}, fits: map[string]fitRead{},
		}
	}
	return k.held, nil
}

// Joined gives all readers the same list, which none may change.
func (k *keptReads) Joined(ctx context.Context) ([]model.JoinedSession, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	held, err := k.current(ctx)
	if err != nil {
		return nil, err
	}
	if held.joined == nil {
		joined, err := k.RevisedStore.Joined(ctx)
		if err != nil || len(joined) > mostKept {
			return joined, err
		}
		held.joined = &joined
	}
	return *held.joined, nil
}

// SessionsWithReading are found by the text of a water's records, which takes
// longer than to sift the few that there are.
func (k *keptReads) SessionsWithReading(ctx context.Context, water string, from, to time.Time) ([]model.Session, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	held, err := k.current(ctx)
	if err != nil {
		return nil, err
	}
	all, known := held.readings[water]
	if !known {
		if all, err = k.RevisedStore.SessionsWithReading(ctx, water, time.Time{}, endOfTime); err != nil {
			return nil, err
		}
		if held.records+len(all) <= mostKept {
			held.readings[water] = all
			held.records += len(all)
		}
	}
	return within(all, "", from, to), nil
}

// Sessions of an angler are asked for several times by each of their plans.
func (k *keptReads) Sessions(ctx context.Context, water, angler string, from, to time.Time) ([]model.Session, error) {
	if angler == "" {
		return k.RevisedStore.Sessions(ctx, water, angler, from, to)
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	held, err := k.current(ctx)
	if err != nil {
		return nil, err
	}
	all, known := held.own[angler]
	if !known {
		if all, err = k.RevisedStore.Sessions(ctx, "", angler, time.Time{}, endOfTime); err != nil {
			return nil, err
		}
		if held.records+len(all) <= mostKept {
			held.own[angler] = all
			held.records += len(all)
		}
	}
	return within(all, water, from, to), nil
}

// within gives a reader a list of its own of the sessions that start in a span,
// both ends included, at a water, or with none named at any.
func within(sessions []model.Session, water string, from, to time.Time) []model.Session {
	var out []model.Session
	for i := range sessions {
		if s := &sessions[i]; s.Start.Unix() >= from.Unix() && s.Start.Unix() <= to.Unix() && (water == "" || s.Water == water) {
			out = append(out, *s)
		}
	}
	return slices.Clip(out)
}

// LatestFit holds of each angler the fit that was added last of all. It is the
// answer unless it was made after the instant asked about, which is asked anew.
func (k *keptReads) LatestFit(ctx context.Context, angler string, at time.Time) (model.FitRecord, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	held, err := k.current(ctx)
	if err != nil {
		return model.FitRecord{}, err
	}
	last, known := held.latest[angler]
	if !known {
		last.record, last.err = k.RevisedStore.LatestFit(ctx, angler, endOfTime)
		if last.err != nil && model.CodeOf(last.err) != model.NotFound {
			return last.record, last.err
		}
		held.latest[angler] = last
	}
	if last.err == nil && last.record.MadeAt.Unix() > at.Unix() {
		return k.RevisedStore.LatestFit(ctx, angler, at)
	}
	return last.record, last.err
}

// readFit reads what plans want of a fit, which never changes under its name.
func (k *keptReads) readFit(record model.FitRecord) fitRead {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.held == nil {
		return readFit(record)
	}
	read, known := k.held.fits[record.ID]
	if !known {
		read = readFit(record)
		k.held.fits[record.ID] = read
	}
	return read
}

// endOfTime is after every session and fit.
var endOfTime = time.Date(9999, 12, 31, 0, 0, 0, 0, time.UTC)
