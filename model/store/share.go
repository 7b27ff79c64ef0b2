package store

import (
	"context"
	"database/sql"
	"time"

	"osier/model"
)

// keepShares writes down which clubs a session is shared with, inside the
// transaction that writes the session.
func keepShares(ctx context.Context, tx *sql.Tx, s model.Session) error {
	if _, err := exec(ctx, tx, "sharing of the session", `DELETE FROM session_shares WHERE session = $1`, s.ID); err != nil {
		return err
	}
	for _, club := range s.SharedWith {
		if _, err := exec(ctx, tx, "sharing of the session", `INSERT INTO session_shares (session, club, starts) VALUES ($1, $2, $3)
			ON CONFLICT DO NOTHING`, s.ID, club, unix(s.Start)); err != nil {
			return err
		}
	}
	return nil
}

// onlyShares says whether a session differs from the stored one in nothing but
// with whom it is shared.
func onlyShares(ctx context.Context, tx *sql.Tx, s model.Session) (bool, error) {
	stored, err := documents[model.Session](ctx, tx, `SELECT id, '', body FROM sessions WHERE id = $1`, s.ID)
	if err != nil || len(stored) == 0 {
		return false, err
	}
	was := stored[0].doc
	was.SharedWith, s.SharedWith = nil, nil
	before, err := encode("session "+s.ID, was)
	if err != nil {
		return false, err
	}
	now, err := encode("session "+s.ID, s)
	return now == before, err
}

// SharedSessions lists at most limit of the sessions that are shared with a club,
// the newest first, from before the one named by its start and identifier on;
// from the newest where no identifier is given.
func (db *DB) SharedSessions(ctx context.Context, club string, beforeStart time.Time, beforeID string, limit int) ([]model.Session, error) {
	return list[model.Session](ctx, db.read, "shared sessions", `SELECT s.body FROM session_shares h JOIN sessions s ON s.id = h.session
		WHERE h.club = $1 AND ($3 = '' OR h.starts < $2 OR h.starts = $2 AND h.session < $3)
		ORDER BY h.starts DESC, h.session DESC LIMIT $4`, club, unix(beforeStart), beforeID, limit)
}

// ClaimSession says whose a session is of which only events tell: the angler who
// first claimed it, who is this one if nobody did.
func (db *DB) ClaimSession(ctx context.Context, session, angler string) (owner string, err error) {
	err = db.inTx(ctx, func(tx *sql.Tx) error {
		if _, err := exec(ctx, tx, "session's angler", `INSERT INTO session_claims (session, angler) VALUES ($1, $2) ON CONFLICT DO NOTHING`, session, angler); err != nil {
			return err
		}
		if err := tx.QueryRowContext(ctx, `SELECT angler FROM session_claims WHERE session = $1`, session).Scan(&owner); err != nil {
			return unavailable("find the session's angler", err)
		}
		return nil
	})
	return owner, err
}

// SessionClaim finds who claimed a session, empty when nobody did.
func (db *DB) SessionClaim(ctx context.Context, session string) (angler string, err error) {
	if !storable(session) { // what cannot be stored nobody claimed
		return "", nil
	}
	err = db.read.QueryRowContext(ctx, `SELECT COALESCE(MAX(angler), '') FROM session_claims WHERE session = $1`, session).Scan(&angler)
	if err != nil {
		return "", unavailable("find the session's angler", err)
	}
	return angler, nil
}
