package store

import (
	"context"
	"database/sql"

	"osier/model"
)

// PutScores keeps scores in one transaction, each in place of what its session
// was scored before. One of a session deleted meanwhile is passed over.
func (db *DB) PutScores(ctx context.Context, scores []model.Score) error {
	return db.inTx(ctx, func(tx *sql.Tx) error {
		var changed int64
		for _, s := range scores {
			body, err := encode("score of "+s.Session, s)
			if err != nil {
				return err
			}
			n, err := exec(ctx, tx, "score", `INSERT INTO scores (session, plan, water, grp, starts, body)
				SELECT $1, $2, $3, $4, $5, $6 WHERE EXISTS (SELECT 1 FROM sessions WHERE id = $1)
				ON CONFLICT (session) DO UPDATE SET plan = excluded.plan, water = excluded.water, grp = excluded.grp,
					starts = excluded.starts, body = excluded.body
				WHERE scores.body <> excluded.body`, s.Session, s.Plan, s.Water, string(s.Group), unix(s.Start), body)
			if err != nil {
				return err
			}
			changed += n
		}
		return reviseIf(ctx, tx, changed)
	})
}

// DeleteScores removes the scores of sessions; one that has none is passed over.
func (db *DB) DeleteScores(ctx context.Context, sessions []string) error {
	return db.inTx(ctx, func(tx *sql.Tx) error {
		var changed int64
		for _, id := range sessions {
			n, err := exec(ctx, tx, "score", `DELETE FROM scores WHERE session = $1`, id)
			if err != nil {
				return err
			}
			changed += n
		}
		return reviseIf(ctx, tx, changed)
	})
}

// reviseIf counts a change where anything was written: what was rendered of the
// scores is then old.
func reviseIf(ctx context.Context, tx *sql.Tx, changed int64) error {
	if changed == 0 {
		return nil
	}
	return revise(ctx, tx)
}

// Scores lists scores by start. An empty water or group narrows nothing.
func (db *DB) Scores(ctx context.Context, water string, group model.Group) ([]model.Score, error) {
	return list[model.Score](ctx, db.read, "scores", `SELECT body FROM scores
		WHERE ($1 = '' OR water = $1) AND ($2 = '' OR grp = $2) ORDER BY starts, session`, water, string(group))
}
