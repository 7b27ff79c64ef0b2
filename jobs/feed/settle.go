package feed

import (
	"fmt"
	"net/http"
	"time"
)

// settle turns a reply into the Result and the State to remember. The meanings
// are those of RFC 9110; where MET Norway's Status Codes (2023) say more, it is
// said here.
func (c *Client) settle(req Request, state State, r reply) (Result, State) {
	now := c.now()
	state.LastStatus, state.AskedAt = r.status, now
	result := Result{Asked: true, Status: r.status}
	result.Date, _ = http.ParseTime(r.header.Get("Date"))
	if r.err == nil {
		switch {
		case r.status == http.StatusOK, r.status == http.StatusNonAuthoritativeInfo:
			result.Kind, result.Body = Fresh, r.body
			result.Deprecated = r.status == http.StatusNonAuthoritativeInfo
			return result, c.renewed(state, req, r, now)
		case r.status == http.StatusNotModified && state.conditional():
			result.Kind = Unchanged
			return result, c.renewed(state, req, r, now)
		}
	}
	state.Failures++
	kind, wait, why := judge(r, now, state.Failures)
	state.NextAttempt = later(now, wait, c.random())
	state.Note = why.Error()
	result.Kind, result.Err = kind, fmt.Errorf("%s: %w", req.URL, why)
	return result, state
}

// renewed is the State after an answer that is new or still good.
func (c *Client) renewed(state State, req Request, r reply, now time.Time) State {
	if r.status != http.StatusNotModified {
		// Validators name the body they came with. Those of a 304 name ours, or
		// else one that we never had, and asking with them would lose it (RFC
		// 9111, 4.3.4).
		state.ETag, state.LastModified = r.header.Get("ETag"), r.header.Get("Last-Modified")
	}
	state.FetchedAt, state.Failures, state.Note = now, 0, ""
	if r.status == http.StatusNonAuthoritativeInfo {
		// 203 marks a product as beta or deprecated; conditional requests do
		// not work there (MET Norway).
		state.ETag, state.LastModified = "", ""
		state.Note = "the feed marks this product or version as beta or deprecated (203)"
	}
	life, promised := lifetime(r.header, now)
	state.Expires = time.Time{}
	if promised {
		state.Expires = now.Add(life)
	}
	state.NextAttempt = later(now, max(life, req.MinInterval), c.random())
	return state
}

// judge says what an answer without use is, how long to wait and why.
func judge(r reply, now time.Time, failures int) (Kind, time.Duration, error) {
	said := fmt.Sprintf("status %d", r.status)
	switch {
	case r.err != nil:
		return Failed, doubled(failedFirst, failures), r.err
	case r.status == http.StatusTooManyRequests:
		return SlowDown, patience(r.header, string(r.body), now, failures),
			fmt.Errorf("%w: %s: too many requests; we wait as long as it asks", ErrStatus, said)
	case r.status == http.StatusUnauthorized, r.status == http.StatusForbidden:
		return Refused, refusedWait,
			fmt.Errorf("%w: %s: it does not accept how this program names itself, or has banned it; check the contact given, and write to the feed before asking again", ErrStatus, said)
	case r.status == http.StatusNotFound, r.status == http.StatusGone, r.status == http.StatusNoContent:
		return Gone, goneWait,
			fmt.Errorf("%w: %s: nothing is there; a station may be silent, or the address wrong", ErrStatus, said)
	case r.status == http.StatusUnprocessableEntity:
		return Refused, refusedWait, fmt.Errorf("%w: %s: the place lies outside the area that the feed covers", ErrStatus, said)
	case r.status >= 400 && r.status < 500 && r.status != http.StatusRequestTimeout && r.status != statusClientClosed:
		return Refused, refusedWait, fmt.Errorf("%w: %s: it takes the address as wrong", ErrStatus, said)
	}
	wait := doubled(failedFirst, failures)
	if asked, ok := retryAfter(r.header, now); ok {
		wait = max(wait, asked)
	}
	return Failed, wait, fmt.Errorf("%w: %s", ErrStatus, said)
}

// statusClientClosed is what some servers record when the caller hung up (MET
// Norway, Status Codes, 2023); it is not a verdict on the request.
const statusClientClosed = 499

// Reject is the State to store when a Fresh body turned out to be unreadable:
// before is the State that was handed to Get, after the one it returned. The
// validators stay those of the stored answer, so that the feed is never asked
// whether the rubbish has changed. why is for a person.
func (c *Client) Reject(before, after State, why string) State {
	rejected := State{URL: after.URL, LastStatus: after.LastStatus, AskedAt: after.AskedAt, Note: why, Failures: 1}
	if before.URL == after.URL {
		rejected.ETag, rejected.LastModified = before.ETag, before.LastModified
		rejected.FetchedAt = before.FetchedAt
		rejected.Failures += before.Failures
	}
	rejected.NextAttempt = later(c.now(), doubled(failedFirst, rejected.Failures), c.random())
	return rejected
}
