package jobs

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"osier/model"
)

// EventStore keeps what devices log of sessions.
type EventStore interface {
	AddEvents(ctx context.Context, session string, events []model.LoggedEvent) ([]model.EventStatus, error)
	Events(ctx context.Context, session string) ([]model.LoggedEvent, error)
}

// Live takes in the events of sessions while they are fished, and makes the
// record of those that ended.
type Live struct {
	Store    EventStore
	Recorder *Recorder
	Now      func() time.Time
}

// TakeEvents keeps the events of a batch that can be kept, each judged by itself,
// and says what became of each and what all events of the session tell so far.
// The same batch again, whole, in part or in another order, changes nothing. With
// the end the record is made, and later events change it; where it is refused
// the answer says why, and the events stay. An error is about the batch as a
// whole, of which nothing is kept then, unless it is Unavailable: then it is to
// be sent again.
func (l *Live) TakeEvents(ctx context.Context, session string, batch model.EventBatch) (model.EventsTaken, error) {
	received := l.Now()
	if err := validateBatch(session, batch); err != nil {
		return model.EventsTaken{}, err
	}
	skew, err := model.Skew(batch.SentAt, received)
	if err != nil {
		return model.EventsTaken{}, err
	}
	stored, err := l.stored(ctx, session)
	if err != nil {
		return model.EventsTaken{}, err
	}
	intake := newIntake(batch.Events, stored)
	sending := model.Event{ClockSetS: batch.ClockSetS}
	clock := model.ClockOf(append(stored[:len(stored):len(stored)], model.LoggedEvent{Event: sending, Skew: skew}))
	if err := intake.judge(func(e model.Event) error { return l.refusal(ctx, e, received, clock.Behind(e)) }); err != nil {
		return model.EventsTaken{}, err
	}
	fresh := intake.fresh(received, func(e model.Event) time.Duration { return batch.SkewOf(e, skew) })
	if len(stored)+len(fresh) > model.MostLogged {
		return model.EventsTaken{}, tooMany("events", len(stored)+len(fresh), model.MostLogged, "of a session")
	}
	if len(fresh) > 0 {
		statuses, err := l.Store.AddEvents(ctx, session, fresh)
		if err != nil {
			return model.EventsTaken{}, err
		}
		intake.kept(statuses)
	}
	taken, err := l.soFar(ctx, session)
	taken.Outcomes = intake.outcomes
	return taken, err
}

func validateBatch(session string, batch model.EventBatch) error {
	if err := model.ValidateID("session", session); err != nil {
		return err
	}
	switch n := len(batch.Events); {
	case n == 0:
		return model.Invalidf("events", "send one event at least", "there are none")
	case n > model.MostEvents:
		return tooMany("events", n, model.MostEvents, "at once")
	}
	return model.ValidateClockSet(batch.ClockSetS)
}

func tooMany(field string, n, most int, of string) error {
	return &model.Error{Code: model.TooLarge, Field: field, Wrong: fmt.Sprintf("there are %d", n), Right: fmt.Sprintf("at most %d are taken %s", most, of)}
}

// stored lists the events a session has. A record that came another way is not
// added to: its events would write over it.
func (l *Live) stored(ctx context.Context, session string) ([]model.LoggedEvent, error) {
	stored, err := l.Store.Events(ctx, session)
	if err != nil || len(stored) > 0 {
		return stored, err
	}
	_, _, err = l.Recorder.Store.Session(ctx, session)
	switch {
	case err == nil:
		return nil, &model.Error{Code: model.Conflict, Field: "session", Wrong: fmt.Sprintf("%s is a record that was not made of events", session), Right: "give a live session an identifier of its own, or change the record"}
	case model.CodeOf(err) != model.NotFound:
		return nil, err
	}
	return nil, nil
}

// refusal says why an event cannot be kept.
func (l *Live) refusal(ctx context.Context, e model.Event, received time.Time, clock time.Duration) error {
	if err := e.Validate(); err != nil {
		return err
	}
	if err := e.ValidateAt(received, clock); err != nil {
		return err
	}
	if e.Start == nil {
		return nil
	}
	_, err := l.Recorder.Store.Water(ctx, e.Start.Water)
	if model.CodeOf(err) == model.NotFound {
		return model.Invalidf("start.water", "register it, or name one that is", "there is no water %q", e.Start.Water)
	}
	return err
}

// LiveSession tells what the events of a session tell so far. One without start
// or first cast is not found yet.
func (l *Live) LiveSession(ctx context.Context, id string) (model.Live, error) {
	logged, err := l.Store.Events(ctx, id)
	if err != nil {
		return model.Live{}, err
	}
	if len(logged) == 0 {
		return model.Live{}, model.NotFoundf("session", "POST /v1/sessions/{session}/events begins one", "no events of session %q are stored", id)
	}
	live, err := l.build(id, logged)
	var known *model.Error
	if errors.As(err, &known) && known.Code == model.Invalid {
		return live, model.NotFoundf("session", known.Right, "%s", known.Wrong)
	}
	return live, err
}

func (l *Live) build(id string, logged []model.LoggedEvent) (model.Live, error) {
	live, err := model.BuildLive(id, logged)
	if err != nil {
		return live, err
	}
	live.Demo, live.Session.Demo, live.Session.EnteredAt = l.Recorder.Demo, l.Recorder.Demo, logged[0].Received
	return live, nil
}

// readID finds the name of an event that cannot be read otherwise, so that its
// device knows which it was.
func readID(body []byte) string {
	var named struct {
		ID string `json:"id"`
	}
	if json.Unmarshal(body, &named) != nil || model.ValidateID("id", named.ID) != nil {
		return ""
	}
	return named.ID
}
