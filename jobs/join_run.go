package jobs

import (
	"context"
	"iter"
	"time"

	"osier/model"
)

// How much is held at once; all our choice.
const (
	longestRun     = 180 * 24 * time.Hour // of weather
	mostInRun      = 5000                 // sessions: 28 a day at one water for as long
	sessionsAtOnce = 500                  // at a time
)

// run is some sessions of a water in a row, by start, and when the last of them
// ends.
type run struct {
	sessions []model.Session
	end      time.Time
}

// from and last are when the first and the last of the sessions began.
func (r run) from() time.Time { return r.sessions[0].Start }
func (r run) last() time.Time { return r.sessions[len(r.sessions)-1].Start }

// takes says whether a session belongs to the run: not where so long passed since
// that they share no weather, nor where the run would grow too long. One record
// with a mistyped year then costs its own weather and not that of all the years
// between.
func (r run) takes(s model.Session) bool {
	return s.Start.Sub(r.end) <= runIn && s.End.Sub(r.from()) <= longestRun && len(r.sessions) < mostInRun
}

// runs parts the sessions of a water, given by start, and holds one run at a
// time.
func runs(sessions iter.Seq2[model.Session, error]) iter.Seq2[run, error] {
	return func(yield func(run, error) bool) {
		var now run
		for s, err := range sessions {
			if err != nil {
				yield(run{}, err)
				return
			}
			if len(now.sessions) > 0 && !now.takes(s) {
				if !yield(now, nil) {
					return
				}
				now = run{}
			}
			now.sessions = append(now.sessions, s)
			if s.End.After(now.end) {
				now.end = s.End
			}
		}
		if len(now.sessions) > 0 {
			yield(now, nil)
		}
	}
}

// sessionsAt reads the sessions of a water that have begun, by start, some at a
// time.
func (j *Joiner) sessionsAt(ctx context.Context, water string) iter.Seq2[model.Session, error] {
	return func(yield func(model.Session, error) bool) {
		var last model.Session
		for now := j.Now(); ; {
			page, err := j.Store.SessionsAfter(ctx, water, last.Start, last.ID, now, sessionsAtOnce)
			if err != nil {
				yield(last, err)
				return
			}
			for _, s := range page {
				if !yield(s, nil) {
					return
				}
			}
			if len(page) < sessionsAtOnce {
				return
			}
			last = page[len(page)-1]
		}
	}
}
