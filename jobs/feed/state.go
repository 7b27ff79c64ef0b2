package feed

import "time"

// State is what is remembered of one address between two calls. The caller
// stores it and hands it back; the zero State is an address never asked.
type State struct {
	URL          string    `json:"url"`
	ETag         string    `json:"etag,omitempty"`
	LastModified string    `json:"last_modified,omitempty"` // letter for letter as it came
	Expires      time.Time `json:"expires,omitzero"`        // on our clock; until then the answer we hold is good
	NextAttempt  time.Time `json:"next_attempt,omitzero"`   // no request is made before it
	AskedAt      time.Time `json:"asked_at,omitzero"`       // when the last request was made, whatever came of it
	FetchedAt    time.Time `json:"fetched_at,omitzero"`     // when the stored answer last came or was confirmed
	LastStatus   int       `json:"last_status,omitempty"`   // 0 when no answer came
	Failures     int       `json:"failures,omitempty"`      // in a row
	Note         string    `json:"note,omitempty"`          // the last outcome in words, empty when all was well
}

// onClock is the State on a clock that may have been put back since the last
// request. Everything moves back with it: the feed is then left alone for as
// long as was promised, and not for as long as the clock had been wrong.
func (s State) onClock(now time.Time) State {
	ahead := s.AskedAt.Sub(now)
	if ahead <= 0 {
		return s
	}
	for _, moment := range []*time.Time{&s.AskedAt, &s.NextAttempt, &s.Expires, &s.FetchedAt} {
		if !moment.IsZero() {
			*moment = moment.Add(-ahead)
		}
	}
	return s
}

// due says whether a request may be made now. A moment further ahead than this
// package ever sets one was written while a clock was wrong; waiting for it
// could silence a feed for years.
func (s State) due(now time.Time) bool {
	wait := max(s.Expires.Sub(now), s.NextAttempt.Sub(now))
	return wait <= 0 || wait > longestWait
}

// conditional says whether there is anything to ask a conditional question
// with.
func (s State) conditional() bool { return s.ETag != "" || s.LastModified != "" }
