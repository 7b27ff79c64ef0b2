package jobs

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"osier/model"
)

// OwnerStore keeps whose sessions are, and with whom they are shared.
type OwnerStore interface {
	Session(ctx context.Context, id string) (s model.Session, version int, err error)
	Events(ctx context.Context, session string) ([]model.LoggedEvent, error)
	SessionClaim(ctx context.Context, session string) (angler string, err error)
	ClaimSession(ctx context.Context, session, angler string) (owner string, err error)
	SharedSessions(ctx context.Context, club string, beforeStart time.Time, beforeID string, limit int) ([]model.Session, error)
}

// Owners tells whose sessions are, and which of them a club may read.
type Owners struct {
	Store OwnerStore
}

// SessionOwner is the angler of a session and the clubs it is shared with. Of one
// that is no record yet it is the angler who first sent an event of it, or whom
// its events name.
func (o *Owners) SessionOwner(ctx context.Context, id string) (angler string, sharedWith []string, err error) {
	s, _, err := o.Store.Session(ctx, id)
	if err == nil || model.CodeOf(err) != model.NotFound {
		return s.Angler, s.SharedWith, err
	}
	if angler, claimErr := o.Store.SessionClaim(ctx, id); claimErr != nil || angler != "" {
		return angler, nil, claimErr
	}
	logged, eventsErr := o.Store.Events(ctx, id)
	if eventsErr != nil {
		return "", nil, eventsErr
	}
	for _, e := range logged {
		if e.Start != nil {
			return e.Start.Angler, nil, nil
		}
	}
	if len(logged) > 0 { // begun by an administrator, and nobody's yet
		return "", nil, nil
	}
	return "", nil, err
}

// ClaimSession makes a session an angler's own of which nobody sent anything yet,
// and says whose it is.
func (o *Owners) ClaimSession(ctx context.Context, id, angler string) (owner string, err error) {
	return o.Store.ClaimSession(ctx, id, angler)
}

// SharedSessions lists what anglers shared with a club, the newest first, a page
// at a time. next is where the page after begins, empty on the last.
func (o *Owners) SharedSessions(ctx context.Context, club, after string, limit int) (page []model.Session, next string, err error) {
	var before time.Time
	var id string
	if after != "" {
		seconds, rest, ok := strings.Cut(after, ".")
		n, err := strconv.ParseInt(seconds, 10, 64)
		if !ok || err != nil || rest == "" {
			return nil, "", model.Invalidf("after", "give the `next` of the page before", "%q is no place in the list", after)
		}
		before, id = time.Unix(n, 0), rest
	}
	page, err = o.Store.SharedSessions(ctx, club, before, id, limit+1)
	if err != nil || len(page) <= limit {
		return page, "", err
	}
	last := page[limit-1]
	return page[:limit], fmt.Sprintf("%d.%s", last.Start.Unix(), last.ID), nil
}
