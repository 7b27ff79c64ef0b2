package store

import (
	"context"
	"database/sql"

	"osier/model"
)

// PutJoined keeps joined sessions in one transaction, replacing what was
// joined before. A session deleted meanwhile is passed over.
func (db *DB) PutJoined(ctx context.Context, joined []model.JoinedSession) error {
	return db.inTx(ctx, func(tx *sql.Tx) error {
		var changed int64
		for _, j := range joined {
			body, err := encode("joined session "+j.Session, j)
			if err != nil {
				return err
			}
			n, err := exec(ctx, tx, "joined session", `INSERT INTO joined (session, water, starts, body)
				SELECT $1, $2, $3, $4 WHERE EXISTS (SELECT 1 FROM sessions WHERE id = $1)
				ON CONFLICT (session) DO UPDATE SET water = excluded.water, starts = excluded.starts, body = excluded.body
				WHERE joined.body <> excluded.body`, j.Session, j.Water, unix(j.Start), body)
			if err != nil {
				return err
			}
			changed += n
		}
		if changed == 0 {
			return nil
		}
		return revise(ctx, tx)
	})
}

// Joined lists all joined sessions by start.
func (db *DB) Joined(ctx context.Context) ([]model.JoinedSession, error) {
	return list[model.JoinedSession](ctx, db.read, "joined sessions", `SELECT body FROM joined ORDER BY starts, session`)
}
