package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"osier/model"
)

// AddSession keeps a new session. One whose identity is stored already is a
// Conflict, and nothing is written.
func (db *DB) AddSession(ctx context.Context, s model.Session) error {
	return db.inTx(ctx, func(tx *sql.Tx) error {
		if err := addSession(ctx, tx, s); err != nil {
			return err
		}
		return revise(ctx, tx)
	})
}

// AddImport keeps the sessions of one file and its report together: all of it
// or none.
func (db *DB) AddImport(ctx context.Context, sessions []model.Session, report model.Import) error {
	body, err := encode("import "+report.ID, report)
	if err != nil {
		return err
	}
	return db.inTx(ctx, func(tx *sql.Tx) error {
		for _, s := range sessions {
			if err := addSession(ctx, tx, s); err != nil {
				return err
			}
		}
		if _, err := exec(ctx, tx, "import report", `INSERT INTO imports (id, at, body) VALUES ($1, $2, $3)
			ON CONFLICT (id) DO UPDATE SET at = excluded.at, body = excluded.body`, report.ID, unix(report.At), body); err != nil {
			return err
		}
		if len(sessions) == 0 {
			return nil
		}
		return revise(ctx, tx)
	})
}

func addSession(ctx context.Context, tx *sql.Tx, s model.Session) error {
	body, err := encode("session "+s.ID, s)
	if err != nil {
		return err
	}
	n, err := exec(ctx, tx, "session", `INSERT INTO sessions (id, identity, water, angler, grp, starts, ends, version, body)
		VALUES ($1, $2, $3, $4, $5, $6, $7, 1, $8) ON CONFLICT DO NOTHING`,
		s.ID, s.IdentityKey(), s.Water, s.Angler, string(s.Group), unix(s.Start), unix(s.End), body)
	if err != nil {
		return err
	}
	var claimed string // whose events came under that name, if anybody's
	if err := tx.QueryRowContext(ctx, `SELECT COALESCE(MAX(angler), '') FROM session_claims WHERE session = $1`, s.ID).Scan(&claimed); err != nil {
		return unavailable("keep the session", err)
	}
	if n == 0 || claimed != "" && claimed != s.Angler {
		return &model.Error{Code: model.Conflict, Field: "session " + s.ID, Wrong: "this session is stored already", Right: "change the stored record instead of sending it again"}
	}
	return keepShares(ctx, tx, s)
}

// ReplaceSession writes a changed session over the version that was read. A
// version that is not the stored one is a Conflict. What was joined from the
// old record is dropped, so that the next join makes it anew, unless only with
// whom it is shared was changed.
func (db *DB) ReplaceSession(ctx context.Context, s model.Session, version int) error {
	body, err := encode("session "+s.ID, s)
	if err != nil {
		return err
	}
	return db.inTx(ctx, func(tx *sql.Tx) error {
		if err := identityFree(ctx, tx, s); err != nil {
			return err
		}
		shares, err := onlyShares(ctx, tx, s)
		if err != nil {
			return err
		}
		n, err := exec(ctx, tx, "change of the session", `UPDATE sessions SET identity = $1, water = $2, angler = $3, grp = $4,
			starts = $5, ends = $6, version = version + 1, body = $7 WHERE id = $8 AND version = $9`,
			s.IdentityKey(), s.Water, s.Angler, string(s.Group), unix(s.Start), unix(s.End), body, s.ID, version)
		if err != nil {
			return err
		}
		if n == 0 {
			return &model.Error{Code: model.Conflict, Field: "session " + s.ID, Wrong: "it was changed or deleted meanwhile", Right: "read it again and repeat the change"}
		}
		if err := keepShares(ctx, tx, s); err != nil || shares {
			return err
		}
		return dropJoined(ctx, tx, s.ID)
	})
}

// identityFree refuses to turn a session into another that is stored.
func identityFree(ctx context.Context, tx *sql.Tx, s model.Session) error {
	if err := texts("session", s.IdentityKey(), s.ID); err != nil {
		return err
	}
	var other string
	err := tx.QueryRowContext(ctx, `SELECT id FROM sessions WHERE identity = $1 AND id <> $2`, s.IdentityKey(), s.ID).Scan(&other)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return nil
	case err != nil:
		return unavailable("change the session", err)
	}
	return &model.Error{Code: model.Conflict, Field: "session " + s.ID, Wrong: fmt.Sprintf("water, angler, group and start would be those of session %s", other), Right: "delete one of the two if they are the same"}
}

// DeleteSession removes a session, the events it was made of and what was joined
// from it, so that the next fit does not hold it. One that is not a record yet
// goes with its events.
func (db *DB) DeleteSession(ctx context.Context, id string) error {
	if !storable(id) {
		return model.NotFoundf("session", "", "there is no session %q", id)
	}
	return db.inTx(ctx, func(tx *sql.Tx) error {
		gone := int64(0)
		for _, statement := range []string{`DELETE FROM sessions WHERE id = $1`, `DELETE FROM events WHERE session = $1`} {
			n, err := exec(ctx, tx, "deletion of the session", statement, id)
			if err != nil {
				return err
			}
			gone += n
		}
		if gone == 0 {
			return model.NotFoundf("session", "", "there is no session %q", id)
		}
		for _, statement := range []string{`DELETE FROM session_shares WHERE session = $1`, `DELETE FROM session_claims WHERE session = $1`} {
			if _, err := exec(ctx, tx, "deletion of the session", statement, id); err != nil {
				return err
			}
		}
		if err := withdrawOutlookScores(ctx, tx, id); err != nil {
			return err
		}
		return dropJoined(ctx, tx, id)
	})
}

func dropJoined(ctx context.Context, tx *sql.Tx, id string) error {
	if _, err := tx.ExecContext(ctx, `DELETE FROM joined WHERE session = $1`, id); err != nil {
		return unavailable("drop the joined session", err)
	}
	return revise(ctx, tx)
}

// Session finds one session, and the version that counts its changes.
func (db *DB) Session(ctx context.Context, id string) (s model.Session, version int, err error) {
	if !storable(id) {
		return s, 0, model.NotFoundf("session", "", "there is no session %q", id)
	}
	var body string
	err = db.read.QueryRowContext(ctx, `SELECT body, version FROM sessions WHERE id = $1`, id).Scan(&body, &version)
	if errors.Is(err, sql.ErrNoRows) {
		return s, 0, model.NotFoundf("session", "", "there is no session %q", id)
	}
	if err != nil {
		return s, 0, unavailable("find the session", err)
	}
	if err := json.Unmarshal([]byte(body), &s); err != nil {
		return s, 0, fmt.Errorf("read stored session %s: %w", id, err)
	}
	return s, version, nil
}

// SessionByIdentity finds the stored session with the same identity.
func (db *DB) SessionByIdentity(ctx context.Context, identity string) (model.Session, error) {
	return one[model.Session](ctx, db.read, "session", identity, `SELECT body FROM sessions WHERE identity = $1`, identity)
}

// Sessions lists sessions that start in a span, both ends included, by start.
// An empty water or angler narrows nothing.
func (db *DB) Sessions(ctx context.Context, water, angler string, from, to time.Time) ([]model.Session, error) {
	return list[model.Session](ctx, db.read, "sessions", `SELECT body FROM sessions
		WHERE ($1 = '' OR water = $1) AND ($2 = '' OR angler = $2) AND starts >= $3 AND starts <= $4
		ORDER BY starts, id`, water, angler, unix(from), unix(to))
}

// SessionsWithReading lists the sessions of a water that start in a span, both
// ends included, in which an instrument read the water's temperature, by start.
// They are found by their text: few of many records hold such a reading, and
// each answer asks for those of years.
func (db *DB) SessionsWithReading(ctx context.Context, water string, from, to time.Time) ([]model.Session, error) {
	return list[model.Session](ctx, db.read, "sessions", `SELECT body FROM sessions
		WHERE water = $1 AND starts >= $2 AND starts <= $3 AND body LIKE '%"instrument":true%'
		ORDER BY starts, id`, water, unix(from), unix(to))
}
