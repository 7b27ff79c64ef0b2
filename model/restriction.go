package model

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// Restriction is what a club decided about a water: it is closed, no keepnets, or
// no more feed than so much. It is a fact with an author and a time, no forecast.
// It is never changed once made, only lifted.
type Restriction struct {
	ID            string           `json:"id"`
	Club          string           `json:"club"`
	Water         string           `json:"water"`
	Kind          RestrictionKind  `json:"kind"`
	From          time.Time        `json:"from"`
	Until         Maybe[time.Time] `json:"until"` // not known: until it is lifted
	Reason        string           `json:"reason"`
	DecidedBy     string           `json:"decided_by"`       // a role or a handle, never a real name
	FeedLimitDryG Maybe[Grams]     `json:"feed_limit_dry_g"` // a day; of a feed limit alone
	MadeAt        time.Time        `json:"made_at"`
	LiftedAt      Maybe[time.Time] `json:"lifted_at"`
	LiftedBy      string           `json:"lifted_by,omitempty"`
	LiftedWhy     string           `json:"lifted_why,omitempty"`
	Demo          bool             `json:"demo"`
}

// RestrictionKind is what a restriction asks of those who fish.
type RestrictionKind string

// What a club may decide.
const (
	WaterClosed RestrictionKind = "closed"
	NoKeepnets  RestrictionKind = "no_keepnets"
	FeedLimit   RestrictionKind = "feed_limit"
)

// longestReason is in characters: it stands in one line of a caution. Our choice.
const longestReason = 200

// Validate refuses a restriction that nobody could follow or answer for.
func (r Restriction) Validate() error {
	if err := ValidateID("club", r.Club); err != nil {
		return err
	}
	if err := ValidateID("water", r.Water); err != nil {
		return err
	}
	if err := r.validateKind(); err != nil {
		return err
	}
	// They are kept in UTC to the second, and judged so.
	if err := validateInstant("from", wholeSecond(r.From)); err != nil {
		return err
	}
	if r.Until.Known {
		if err := validateInstant("until", wholeSecond(r.Until.Value)); err != nil {
			return err
		}
		if !wholeSecond(r.Until.Value).After(wholeSecond(r.From)) {
			return Invalidf("until", "give a time after from, or leave it out: it then holds until it is lifted", "%s is not after %s", r.Until.Value.Format(time.RFC3339), r.From.Format(time.RFC3339))
		}
	}
	if err := validateReason("reason", r.Reason); err != nil {
		return err
	}
	return ValidateHandle("decided_by", r.DecidedBy)
}

func (r Restriction) validateKind() error {
	switch r.Kind {
	case FeedLimit:
		if !r.FeedLimitDryG.Known {
			return Invalidf("feed_limit_dry_g", "give the most dry feed a day, in grams", "a feed limit without a figure limits nothing")
		}
		return Between("feed_limit_dry_g", float64(r.FeedLimitDryG.Value), 1, 100000, "g")
	case WaterClosed, NoKeepnets:
		if r.FeedLimitDryG.Known {
			return Invalidf("feed_limit_dry_g", "leave it out, or make a restriction of kind feed_limit", "%s limits no feed", r.Kind)
		}
		return nil
	}
	return Invalidf("kind", "give closed, no_keepnets or feed_limit", "%q is no kind of restriction", shorten(string(r.Kind)))
}

func validateReason(field, reason string) error {
	right := fmt.Sprintf("say why in 1 to %d characters, on one line", longestReason)
	if n := utf8.RuneCountInString(reason); strings.TrimSpace(reason) == "" || n > longestReason {
		return Invalidf(field, right, "it has %d characters", n)
	}
	for _, c := range reason {
		if unicode.IsControl(c) || c == utf8.RuneError {
			return Invalidf(field, right, "%q cannot stand in it", c)
		}
	}
	return nil
}

// AsMade is the restriction as it is to be kept when it is made: in whole
// seconds, in force, and named by all that was decided, so that the same decision
// sent twice is one.
func (r Restriction) AsMade(at time.Time) (Restriction, error) {
	r.ID, r.MadeAt, r.Demo = "", time.Time{}, false
	r.LiftedAt, r.LiftedBy, r.LiftedWhy = Maybe[time.Time]{}, "", ""
	r.From, r.Reason = wholeSecond(r.From), strings.TrimSpace(r.Reason)
	if r.Until.Known {
		r.Until = Known(wholeSecond(r.Until.Value))
	}
	decided, err := json.Marshal(r)
	if err != nil {
		return r, fmt.Errorf("name the restriction: %w", err)
	}
	sum := sha256.Sum256(decided)
	r.ID, r.MadeAt = "r-"+hex.EncodeToString(sum[:8]), wholeSecond(at)
	return r, nil
}

func wholeSecond(t time.Time) time.Time { return t.UTC().Truncate(time.Second) }

// Lifted is the restriction lifted: it holds no longer from that instant on. One
// that was lifted before, or is over, cannot be.
func (r Restriction) Lifted(at time.Time, by, why string) (Restriction, error) {
	if err := ValidateHandle("by", by); err != nil {
		return r, err
	}
	why = strings.TrimSpace(why)
	if err := validateReason("why", why); err != nil {
		return r, err
	}
	if r.LiftedAt.Known {
		return r, r.alreadyLifted()
	}
	if r.Until.Known && !at.Before(r.Until.Value) {
		return r, &Error{Code: Conflict, Field: "restriction", Wrong: fmt.Sprintf("%s ended by itself at %s", r.ID, r.Until.Value.Format(time.RFC3339)), Right: "there is nothing to lift"}
	}
	r.LiftedAt, r.LiftedBy, r.LiftedWhy = Known(wholeSecond(at)), by, why
	return r, nil
}

func (r Restriction) alreadyLifted() error {
	return &Error{
		Code: Conflict, Field: "restriction", Wrong: fmt.Sprintf("%s was lifted at %s by %s", r.ID, r.LiftedAt.Value.Format(time.RFC3339), r.LiftedBy),
		Right: "make a new one with a time of its own if it is to hold again",
	}
}

// InForce says whether a decision that is made once more still stands as it was
// made: one that was lifted has to be made anew, from a time of its own.
func (r Restriction) InForce() error {
	if r.LiftedAt.Known {
		return r.alreadyLifted()
	}
	return nil
}

// Within is the part of a stretch of time in which the restriction holds: from
// its beginning, which counts, until it ends or is lifted, which does not.
func (r Restriction) Within(from, until time.Time) (start, end time.Time, holds bool) {
	start, end = from, until
	if r.From.After(start) {
		start = r.From
	}
	for _, ends := range []Maybe[time.Time]{r.Until, r.LiftedAt} {
		if ends.Known && ends.Value.Before(end) {
			end = ends.Value
		}
	}
	return start, end, start.Before(end)
}
