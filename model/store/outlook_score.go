package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"osier/model"
)

// PutOutlookScores keeps scores in one transaction, each in place of that of the
// same water, time and group.
func (db *DB) PutOutlookScores(ctx context.Context, scores []model.KeptOutlookScore) error {
	return db.inTx(ctx, func(tx *sql.Tx) error {
		var changed int64
		for _, s := range scores {
			id := outlookScoreID(s.OutlookScore)
			body, err := encode("outlook score "+id, s.OutlookScore)
			if err != nil {
				return err
			}
			sessions, err := encode("outlook score "+id, s.Behind)
			if err != nil {
				return err
			}
			n, err := exec(ctx, tx, "outlook score", `INSERT INTO outlook_scores (id, club, body, sessions) VALUES ($1, $2, $3, $4)
				ON CONFLICT (id) DO UPDATE SET body = excluded.body, sessions = excluded.sessions WHERE outlook_scores.body <> excluded.body`,
				id, s.Club, body, sessions)
			if err != nil {
				return err
			}
			changed += n
		}
		return reviseIf(ctx, tx, changed)
	})
}

// withdrawOutlookScores takes back the figures that a session stands behind, inside
// the transaction that deletes it.
func withdrawOutlookScores(ctx context.Context, tx *sql.Tx, session string) error {
	named, err := encode("session "+session, session)
	if err != nil {
		return err
	}
	found, err := documents[model.OutlookScore](ctx, tx, `SELECT id, sessions, body FROM outlook_scores WHERE sessions LIKE $1`, "%"+named+"%")
	if err != nil {
		return err
	}
	for _, f := range found {
		s := model.KeptOutlookScore{OutlookScore: f.doc}
		if err := json.Unmarshal([]byte(f.second), &s.Behind); err != nil {
			return fmt.Errorf("read the stored outlook score %s: %w", f.key, err)
		}
		if !slices.Contains(s.Behind, session) {
			continue
		}
		s = s.Withdrawn()
		body, err := encode("outlook score "+f.key, s.OutlookScore)
		if err != nil {
			return err
		}
		sessions, err := encode("outlook score "+f.key, s.Behind)
		if err != nil {
			return err
		}
		if _, err := exec(ctx, tx, "outlook score", `UPDATE outlook_scores SET body = $2, sessions = $3 WHERE id = $1`, f.key, body, sessions); err != nil {
			return err
		}
	}
	return nil
}

// outlookScoreID sorts by time, a month after its days, then club, water and group.
func outlookScoreID(s model.OutlookScore) string {
	return fmt.Sprintf("%s/%s/%s/%s", s.Date, s.Club, s.Water, s.Group)
}

// OutlookScores lists at most limit of a club's scores, the newest first, those
// before the one named; from the newest on where none is. next names the last.
func (db *DB) OutlookScores(ctx context.Context, club, before string, limit int) (scores []model.KeptOutlookScore, next string, err error) {
	if err := texts("outlook scores", club, before); err != nil {
		return nil, "", err
	}
	rows, err := db.read.QueryContext(ctx, `SELECT id, body, sessions FROM outlook_scores
		WHERE club = $1 AND ($2 = '' OR id < $2) ORDER BY id DESC LIMIT $3`, club, before, limit)
	if err != nil {
		return nil, "", unavailable("list outlook scores", err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var body, sessions string
		if err := rows.Scan(&next, &body, &sessions); err != nil {
			return nil, "", unavailable("list outlook scores", err)
		}
		var s model.KeptOutlookScore
		if err := errors.Join(json.Unmarshal([]byte(body), &s.OutlookScore), json.Unmarshal([]byte(sessions), &s.Behind)); err != nil {
			return nil, "", fmt.Errorf("read the stored outlook score %s: %w", next, err)
		}
		scores = append(scores, s)
	}
	return scores, next, ended("list outlook scores", rows)
}
