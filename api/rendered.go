package api

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"osier/api/cache"
	"osier/model"
)

// How long what was rendered may be used; our choice.
const (
	// The count of changes is asked of the store this often at most, so that a
	// hit costs nothing outside the process; a write through this process is
	// seen at once.
	revisionFresh = 250 * time.Millisecond
	// While the store is down the last known count, and with it what was
	// rendered, still serves, its age said.
	revisionStale = 6 * time.Hour
	renderedStale = 6 * time.Hour
)

// loading is one of the Loader's two ways of giving an entry.
type loading func(ctx context.Context, key string, load func(context.Context) (cache.Entry, error)) (cache.Entry, error)

// rendered gives the answer to a question at this revision of the store: made
// now, or as it was made earlier in the same hour. Its key holds the revision,
// so a fresh one is never wrong. One that has outlived its hour says so in the
// body and in its age.
//
// load is the Loader's Load where an hour-old answer may be given while it is
// made anew, and its LoadCurrent where it may not: plans and conditions carry
// cautions, so their reader waits for the new one, and is given the old one only
// while the store does not answer.
func (s *Server) rendered(ctx context.Context, load loading, question string, compute func(context.Context) (any, error)) (answer, error) {
	e, revision, err := s.keptEntry(ctx, load, question, func(ctx context.Context) (cache.Entry, error) {
		v, err := compute(ctx)
		if err != nil {
			return cache.Entry{}, err
		}
		body, err := encode(v)
		if err != nil {
			return cache.Entry{}, fmt.Errorf("encode the answer: %w", err)
		}
		return cache.NewEntry(body, s.Loader.Now(), s.restOfHour(), renderedStale), nil
	})
	if err != nil {
		return answer{}, err
	}
	a := s.aged(e)
	a.unsure = revision.RefreshFailed()
	return a, nil
}

// keptEntry gives the entry for a question at this revision of the store, and the
// revision. While the store does not answer, what the question was answered last,
// at whatever revision, is given as stale.
func (s *Server) keptEntry(ctx context.Context, load loading, question string, compute func(context.Context) (cache.Entry, error)) (e, revision cache.Entry, err error) {
	revision, err = s.lastRevision(ctx)
	if err != nil {
		return e, revision, err
	}
	key, last := string(revision.Value)+"/"+question, "last/"+question
	e, err = load(ctx, key, func(ctx context.Context) (cache.Entry, error) {
		was, known := s.Loader.Cache.Get(ctx, last)
		before, usable := cache.Entry{}, false
		if known {
			before, usable = s.Loader.Held(ctx, string(was))
		}
		if revision.RefreshFailed() && usable { // nobody is kept waiting for a store that is known to be silent
			return cache.Entry{}, &cache.Instead{Entry: before, Err: errSilent}
		}
		made, err := compute(ctx)
		switch {
		case err != nil && model.CodeOf(err) == model.Unavailable && usable:
			return made, &cache.Instead{Entry: before, Err: err}
		case err == nil:
			s.Loader.Cache.Put(ctx, last, []byte(key), renderedStale)
		}
		return made, err
	})
	return e, revision, err
}

// errSilent is why nothing was rendered anew.
var errSilent = &model.Error{Code: model.Unavailable, Wrong: "the store did not answer", Right: "try again in a moment"}

// restOfHour is how long a plan made now is the plan of its hour.
func (s *Server) restOfHour() time.Duration {
	now := s.Now()
	return now.Truncate(time.Hour).Add(time.Hour).Sub(now)
}

// lastRevision is the store's count of changes, and when it was known. It is this
// process's own knowledge, kept nowhere else: its writes make the count it knows
// old. While the store does not answer it is the last one known, as stale; where
// this process has written since, one of that name has never been, so that
// nothing counts as rendered at it.
func (s *Server) lastRevision(ctx context.Context) (cache.Entry, error) {
	writes := s.writes.Load()
	return s.Pointers.LoadCurrent(ctx, fmt.Sprintf("revision/%d", writes), func(ctx context.Context) (cache.Entry, error) {
		n, err := s.Revisions.Revision(ctx)
		if err == nil {
			e := cache.NewEntry(strconv.AppendInt(nil, n, 10), s.Pointers.Now(), revisionFresh, revisionStale)
			s.known.Store(&e)
			return e, nil
		}
		if known := s.known.Load(); known != nil {
			before := *known
			before.Value = fmt.Appendf(nil, "%s+%d", known.Value, writes)
			return before, &cache.Instead{Entry: before, Err: err}
		}
		return cache.Entry{}, err
	})
}

// aged says how old an answer is, and marks one that is stale.
func (s *Server) aged(e cache.Entry) answer {
	now := s.Loader.Now()
	age := strconv.Itoa(int(e.Age(now).Seconds()))
	a := answer{body: e.Value, header: http.Header{"Age": {age}}}
	if rest, isObject := bytes.CutPrefix(e.Value, []byte("{")); e.Stale(now) && isObject {
		a.body = append([]byte(`{"answer_stale":true,"answer_age_s":`+age+`,`), rest...)
	}
	return a
}
