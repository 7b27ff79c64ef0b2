package store

import (
	"context"
	"database/sql"
	"errors"
	"time"

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

// JoinedAt lists the joined sessions of a water that start in a span, both ends
// included, by start.
func (db *DB) JoinedAt(ctx context.Context, water string, from, to time.Time) ([]model.JoinedSession, error) {
	return list[model.JoinedSession](ctx, db.read, "joined sessions", `SELECT joined.body FROM sessions JOIN joined ON joined.session = sessions.id
		WHERE sessions.water = $1 AND sessions.starts >= $2 AND sessions.starts <= $3 ORDER BY sessions.starts, sessions.id`, water, unix(from), unix(to))
}

// SessionWaters lists the waters of which there are sessions, by identifier.
func (db *DB) SessionWaters(ctx context.Context) (waters []string, err error) {
	rows, err := db.read.QueryContext(ctx, `SELECT DISTINCT water FROM sessions ORDER BY water`)
	if err != nil {
		return nil, unavailable("list the waters fished", err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var water string
		if err := rows.Scan(&water); err != nil {
			return nil, unavailable("list the waters fished", err)
		}
		waters = append(waters, water)
	}
	return waters, ended("list the waters fished", rows)
}

// SessionsAfter lists at most so many sessions of a water, by start: those after
// a session, named by its start and identifier, that start by an instant. From
// the zero time it begins with the first.
func (db *DB) SessionsAfter(ctx context.Context, water string, start time.Time, id string, to time.Time, limit int) ([]model.Session, error) {
	return list[model.Session](ctx, db.read, "sessions", `SELECT body FROM sessions
		WHERE water = $1 AND starts >= $2 AND (starts > $2 OR id > $3) AND starts <= $4
		ORDER BY starts, id LIMIT $5`, water, unix(start), id, unix(to), limit)
}
