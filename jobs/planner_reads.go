package jobs

import (
	"context"
	"slices"
	"sort"
	"sync"
	"time"

	"osier/model"
)

// RevisedStore is a store of plans that counts its changes.
type RevisedStore interface {
	PlanStore
	Revision(ctx context.Context) (int64, error)
}

// mostKept is how many joined sessions, and how many other records, are held
// between answers, some 100 MB of either; what is beyond is read anew for each
// answer. Our choice.
const mostKept = 100_000

// keptReads is a store that holds, as of one revision, what plans read again and
// again, and what they all make of it: it is the same until something changes. A
// plan that is issued is no change, so those of a server find all of it from the
// second on.
type keptReads struct {
	RevisedStore
	mu   sync.Mutex
	held *heldReads
}

// KeepReads puts a store behind one for the planner of a server. What its answers
// read alike is decoded once for each revision of the store, and each answer reads
// as of one revision, asked for once.
func KeepReads(s RevisedStore) PlanStore { return &keptReads{RevisedStore: s} }

// reading is the planner for one answer: as of one revision where the store holds
// what was read, and else with a store that reads the same only once.
func (p *Planner) reading(ctx context.Context) (*Planner, error) {
	as := *p
	switch s := p.Store.(type) {
	case *heldReads, *readOnce:
		return p, nil
	case *keptReads:
		held, err := s.current(ctx)
		if err != nil {
			return nil, err
		}
		as.Store = held
	default:
		as.Store = newReadOnce(s)
	}
	return &as, nil
}

// current is what is held, nothing where the store has changed since. The
// revision is read first: what came in between is read again the next time.
func (k *keptReads) current(ctx context.Context) (*heldReads, error) {
	revision, err := k.Revision(ctx)
	if err != nil {
		return nil, err
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.held == nil || k.held.revision != revision {
		k.held = &heldReads{RevisedStore: k.RevisedStore, revision: revision, forJoined: roomFor(mostKept), room: roomFor(mostKept)}
	}
	return k.held, nil
}

// heldReads is a store as of one revision: what it read once it holds. Lists are
// shared by their readers, who leave them as they are.
type heldReads struct {
	RevisedStore
	revision        int64
	forJoined, room *room

	joined       once[struct{}, []model.JoinedSession]
	publicRows   once[struct{}, []model.JoinedSession]
	waters       once[string, model.Water]
	zones        once[string, *time.Location] // by name
	kits         once[string, kitFound]
	sessions     once[string, ownSessions]                // by angler
	withReading  once[string, withReadings]               // by water: those with a thermometer's reading
	readings     once[string, []model.MeterReading]       // by water
	reports      once[string, []model.Report]             // by water
	restrictions once[string, []model.Restriction]        // by water
	official     once[[2]float64, []model.WarningsAnswer] // by cell
	latest       once[string, fitFound]                   // by angler: of their fits the one added last
	fits         once[string, fitRead]                    // by name
	public       once[groundsOf, publicGrounds]           // by fit and group, of nobody in particular
	own          once[groundsOf, *grounds]                // of an angler with sessions that the public fit has not read
	laid         once[layoutOf, *layout]                  // by water, see planner_weather.go
}

// ownSessions are those of an angler, in all and by water.
type ownSessions struct {
	all []model.Session
	at  map[string][]model.Session
}

// withReadings are sessions with a reading, and the anglers whose they are.
type withReadings struct {
	sessions []model.Session
	of       map[string]bool
}

// kitFound remembers that there is none as well.
type kitFound struct {
	kit model.Kit
	err error
}

func (h *heldReads) Joined(ctx context.Context) ([]model.JoinedSession, error) {
	return h.joined.get(h.forJoined, struct{}{}, func() ([]model.JoinedSession, int, error) {
		joined, err := h.RevisedStore.Joined(ctx)
		return joined, roomOf(joined), err
	})
}

// roomOf counts a session told hour by hour as the several that it takes the room
// of.
func roomOf(rows []model.JoinedSession) int {
	n := 1 + len(rows)
	for i := range rows {
		n += len(rows[i].Intervals) / 2
	}
	return n
}

func (h *heldReads) PublicRows(ctx context.Context) ([]model.JoinedSession, error) {
	return h.publicRows.get(h.forJoined, struct{}{}, func() ([]model.JoinedSession, int, error) {
		rows, err := h.RevisedStore.PublicRows(ctx)
		return rows, roomOf(rows), err
	})
}

func (h *heldReads) Water(ctx context.Context, id string) (model.Water, error) {
	return h.waters.get(h.room, id, func() (model.Water, int, error) {
		w, err := h.RevisedStore.Water(ctx, id)
		return w, 1, err
	})
}

// zone is the time zone of a water, which takes reading a file to find.
func (p *Planner) zone(w model.Water) (*time.Location, error) {
	held, holds := p.Store.(*heldReads)
	if !holds {
		return w.Location()
	}
	return held.zones.get(held.room, w.Zone, func() (*time.Location, int, error) {
		zone, err := w.Location()
		return zone, 1, err
	})
}

func (h *heldReads) Kit(ctx context.Context, angler string) (model.Kit, error) {
	found, err := h.kits.get(h.room, angler, func() (kitFound, int, error) {
		kit, err := h.RevisedStore.Kit(ctx, angler)
		if model.CodeOf(err) == model.NotFound {
			return kitFound{err: err}, 1, nil
		}
		return kitFound{kit: kit}, 1, err
	})
	if err != nil {
		return found.kit, err
	}
	return found.kit, found.err
}

func (h *heldReads) Sessions(ctx context.Context, water, angler string, from, to time.Time) ([]model.Session, error) {
	if angler == "" {
		return h.RevisedStore.Sessions(ctx, water, angler, from, to)
	}
	own, err := h.sessions.get(h.room, angler, func() (ownSessions, int, error) {
		all, err := h.RevisedStore.Sessions(ctx, "", angler, time.Time{}, endOfTime)
		own := ownSessions{all: all, at: map[string][]model.Session{}}
		for i := range all {
			own.at[all[i].Water] = append(own.at[all[i].Water], all[i])
		}
		return own, 1 + 2*len(all), err
	})
	if water == "" {
		return within(own.all, started, from, to), err
	}
	return within(own.at[water], started, from, to), err
}

// SessionsWithReading are found by the text of a water's records, which takes
// longer than to sift the few that there are.
func (h *heldReads) SessionsWithReading(ctx context.Context, water string, from, to time.Time) ([]model.Session, error) {
	all, err := h.allWithReading(ctx, water)
	return within(all.sessions, started, from, to), err
}

func (h *heldReads) allWithReading(ctx context.Context, water string) (withReadings, error) {
	return h.withReading.get(h.room, water, func() (withReadings, int, error) {
		sessions, err := h.RevisedStore.SessionsWithReading(ctx, water, time.Time{}, endOfTime)
		all := withReadings{sessions: sessions, of: map[string]bool{}}
		for i := range sessions {
			all.of[sessions[i].Angler] = true
		}
		return all, 1 + len(sessions), err
	})
}

func (h *heldReads) MeterReadings(ctx context.Context, water string, from, to time.Time) ([]model.MeterReading, error) {
	all, err := h.readings.get(h.room, water, func() ([]model.MeterReading, int, error) {
		all, err := h.RevisedStore.MeterReadings(ctx, water, time.Time{}, endOfTime)
		return all, 1 + len(all), err
	})
	return within(all, func(r *model.MeterReading) time.Time { return r.At }, from, to), err
}

func (h *heldReads) Reports(ctx context.Context, water string, from, to time.Time) ([]model.Report, error) {
	all, err := h.reports.get(h.room, water, func() ([]model.Report, int, error) {
		all, err := h.RevisedStore.Reports(ctx, water, time.Time{}, endOfTime)
		return all, 1 + len(all), err
	})
	return within(all, func(r *model.Report) time.Time { return r.At }, from, to), err
}

// Restrictions gives each reader a list of their own: of those that begin early
// some hold long, so those of a span do not lie side by side.
func (h *heldReads) Restrictions(ctx context.Context, water string, from, to time.Time) ([]model.Restriction, error) {
	all, err := h.restrictions.get(h.room, water, func() ([]model.Restriction, int, error) {
		all, err := h.RevisedStore.Restrictions(ctx, water, time.Time{}, endOfTime)
		return all, 1 + len(all), err
	})
	var out []model.Restriction
	for _, r := range all {
		if r.From.Unix() < to.Unix() && r.Until.Or(endOfTime).Unix() > from.Unix() {
			out = append(out, r)
		}
	}
	return out, err
}

// warnings are those at a time. That a feed stands by what it answered is no change
// of the store, so what is held holds while all of it stands.
func (p *Planner) warnings(now time.Time) OfficialWarnings {
	if held, ok := p.Store.(*heldReads); ok {
		return heldWarnings{held, now}
	}
	return p.Store
}

type heldWarnings struct {
	held *heldReads
	now  time.Time
}

func (w heldWarnings) Warnings(ctx context.Context, latDeg, lonDeg float64) ([]model.WarningsAnswer, error) {
	h := w.held
	allStand := func(answers []model.WarningsAnswer) bool {
		return !slices.ContainsFunc(answers, func(a model.WarningsAnswer) bool { return !a.Stands(w.now) })
	}
	return h.official.getWhere(h.room, [2]float64{latDeg, lonDeg}, allStand, func() ([]model.WarningsAnswer, int, error) {
		answers, err := h.Warnings(ctx, latDeg, lonDeg)
		records := 1
		for _, a := range answers {
			records += len(a.Warnings)
		}
		return answers, records, err
	})
}

// LatestFit holds of each angler the fit that was added last of all. It is the
// answer unless it was made after the instant asked about, which is asked anew.
func (h *heldReads) LatestFit(ctx context.Context, angler string, at time.Time) (model.FitRecord, error) {
	last, err := h.latest.get(h.room, angler, func() (fitFound, int, error) {
		record, err := h.RevisedStore.LatestFit(ctx, angler, endOfTime)
		if model.CodeOf(err) == model.NotFound {
			return fitFound{err: err}, 1, nil
		}
		return fitFound{record: record}, 1 + len(record.Body)/bytesInRecord, err
	})
	switch {
	case err != nil:
		return last.record, err
	case last.err == nil && last.record.MadeAt.Unix() > at.Unix():
		return h.RevisedStore.LatestFit(ctx, angler, at)
	}
	return last.record, last.err
}

// bytesInRecord is what a record counts for.
const bytesInRecord = 1 << 10

// readFit reads what plans want of a fit, which never changes under its name.
func (h *heldReads) readFit(record model.FitRecord) fitRead {
	read, _ := h.fits.get(h.room, record.ID, func() (fitRead, int, error) {
		return readFit(record), 1 + len(record.Body)/bytesInRecord, nil
	})
	return read
}

func started(s *model.Session) time.Time { return s.Start }

// within is the part of a list in order of time that lies in a span, both ends
// included, by the second as the store has it.
func within[T any](all []T, at func(*T) time.Time, from, to time.Time) []T {
	first := sort.Search(len(all), func(i int) bool { return at(&all[i]).Unix() >= from.Unix() })
	last := sort.Search(len(all), func(i int) bool { return at(&all[i]).Unix() > to.Unix() })
	if last <= first {
		return nil
	}
	return slices.Clip(all[first:last])
}

// endOfTime is after every session and fit.
var endOfTime = time.Date(9999, 12, 31, 0, 0, 0, 0, time.UTC)
