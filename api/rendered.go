package api

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"osier/api/cache"
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
	revision, err := s.revision(ctx)
	if err != nil {
		return answer{}, err
	}
	e, err := load(ctx, revision+"/"+question, func(ctx context.Context) (cache.Entry, error) {
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
	return s.aged(e), nil
}

// restOfHour is how long a plan made now is the plan of its hour.
func (s *Server) restOfHour() time.Duration {
	now := s.Now()
	return now.Truncate(time.Hour).Add(time.Hour).Sub(now)
}

// revision is the store's count of changes as a key. It is this process's own
// knowledge, kept nowhere else: its writes make the count it knows old.
func (s *Server) revision(ctx context.Context) (string, error) {
	pointer := fmt.Sprintf("revision/%d", s.writes.Load())
	e, err := s.Pointers.LoadCurrent(ctx, pointer, func(ctx context.Context) (cache.Entry, error) {
		n, err := s.Revisions.Revision(ctx)
		return cache.NewEntry(strconv.AppendInt(nil, n, 10), s.Pointers.Now(), revisionFresh, revisionStale), err
	})
	return string(e.Value), err
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
