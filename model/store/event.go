package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"

	"osier/model"
)

// AddEvents keeps events of a session, all of them or none, and says of each
// whether it was new, stored already, or contradicts the stored one of its name,
// which stays. Events are no change to what a plan depends on; the record made of
// them is.
func (db *DB) AddEvents(ctx context.Context, session string, events []model.LoggedEvent) ([]model.EventStatus, error) {
	statuses := make([]model.EventStatus, len(events))
	err := db.inTx(ctx, func(tx *sql.Tx) error {
		for i, e := range events {
			var err error
			if statuses[i], err = addEvent(ctx, tx, session, e); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return statuses, nil
}

func addEvent(ctx context.Context, tx *sql.Tx, session string, e model.LoggedEvent) (model.EventStatus, error) {
	body, err := encode("event "+e.ID, e)
	if err != nil {
		return "", err
	}
	n, err := exec(ctx, tx, "event", `INSERT INTO events (session, id, seq, body)
		VALUES ($1, $2, (SELECT COALESCE(MAX(seq), 0) + 1 FROM events WHERE session = $1), $3)
		ON CONFLICT DO NOTHING`, session, e.ID, body)
	if err != nil {
		return "", err
	}
	if n > 0 {
		return model.EventStored, nil
	}
	var was string
	if err := tx.QueryRowContext(ctx, `SELECT body FROM events WHERE session = $1 AND id = $2`, session, e.ID).Scan(&was); err != nil {
		return "", unavailable("find the event", err)
	}
	var first model.LoggedEvent
	if err := json.Unmarshal([]byte(was), &first); err != nil {
		return "", fmt.Errorf("read stored event %s: %w", e.ID, err)
	}
	if !model.SameEvent(first.Event, e.Event) {
		return model.EventRefused, nil
	}
	return model.EventDuplicate, nil
}

// Events lists the events of a session in the order in which they were received.
func (db *DB) Events(ctx context.Context, session string) ([]model.LoggedEvent, error) {
	if !storable(session) { // what cannot be stored has none
		return nil, nil
	}
	return list[model.LoggedEvent](ctx, db.read, "events", `SELECT body FROM events WHERE session = $1 ORDER BY seq, id`, session)
}
