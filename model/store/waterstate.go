package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"time"
)

// PutWaterState keeps where the model of a water stood at an instant, in place
// of what was kept for it, and says whether anything was written. It must have
// been made from what the store held at the revision asOf: when anything has
// changed since, nothing is kept, since the change may be to the weather that
// made it.
func (db *DB) PutWaterState(ctx context.Context, water string, at time.Time, state json.RawMessage, asOf int64) (kept bool, err error) {
	body, err := encode("state of "+water, state)
	if err != nil {
		return false, err
	}
	err = db.inTx(ctx, func(tx *sql.Tx) error {
		n, err := exec(ctx, tx, "state of "+water, `INSERT INTO water_states (water, at, body)
			SELECT $1, $2, $3 WHERE EXISTS (SELECT 1 FROM revision WHERE n = $4)
			ON CONFLICT (water, at) DO UPDATE SET body = excluded.body WHERE water_states.body <> excluded.body`,
			water, unix(at), body, asOf)
		if kept = n > 0; !kept || err != nil {
			return err
		}
		return revise(ctx, tx)
	})
	return kept, err
}

// WaterStates lists the states of a water in a span of time, both ends included,
// in order of time.
func (db *DB) WaterStates(ctx context.Context, water string, from, to time.Time) ([]json.RawMessage, error) {
	return list[json.RawMessage](ctx, db.read, "states of the water", `SELECT body FROM water_states
		WHERE water = $1 AND at >= $2 AND at <= $3 ORDER BY at`, water, unix(from), unix(to))
}

// judgedWithin is how far after a state a report may lie that it rests on: the
// stations of its hour are judged at the end of the day that begins with it.
const judgedWithin = 24 * time.Hour

// forgetStatesFrom deletes, inside the transaction that changes the weather of
// an instant, every state that may rest on it. Those of all waters go: which of
// them a station serves is not known here, and a state is soon made again.
func forgetStatesFrom(ctx context.Context, tx *sql.Tx, changed time.Time) error {
	_, err := exec(ctx, tx, "states of the waters", `DELETE FROM water_states WHERE at >= $1`, unix(changed.Add(-judgedWithin)))
	return err
}

// forgetStates deletes the states that a changed station may have served.
func forgetStates(ctx context.Context, tx *sql.Tx) error {
	_, err := exec(ctx, tx, "states of the waters", `DELETE FROM water_states`)
	return err
}

// forgetStatesOf deletes the states of a water that is not what it was.
func forgetStatesOf(ctx context.Context, tx *sql.Tx, water string) error {
	_, err := exec(ctx, tx, "states of "+water, `DELETE FROM water_states WHERE water = $1`, water)
	return err
}
