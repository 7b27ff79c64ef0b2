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

// touchEvery is how often the last use of a credential is written at most. Our
// choice.
const touchEvery = time.Minute

// AddToken keeps a credential by the digest of its secret.
func (db *DB) AddToken(ctx context.Context, t model.Token, digest string) error {
	body, err := encode("token "+t.ID, t)
	if err != nil {
		return err
	}
	return db.put(ctx, "token", `INSERT INTO tokens (id, digest, angler, made_by, body) VALUES ($1, $2, $3, $4, $5)`,
		t.ID, digest, t.Angler, t.MadeBy, body)
}

// tokenColumns are what scanToken reads. What changes after a token is made
// stands in columns of its own.
const tokenColumns = `body, revoked_at, last_used`

// TokenByDigest finds a credential by its secret's digest, also one that is over.
func (db *DB) TokenByDigest(ctx context.Context, digest string) (model.Token, error) {
	return scanToken(db.read.QueryRowContext(ctx, `SELECT `+tokenColumns+` FROM tokens WHERE digest = $1`, digest), "of that secret")
}

// Token finds a credential by its identifier, also one that is over.
func (db *DB) Token(ctx context.Context, id string) (model.Token, error) {
	if !storable(id) {
		return model.Token{}, noToken(id)
	}
	return scanToken(db.read.QueryRowContext(ctx, `SELECT `+tokenColumns+` FROM tokens WHERE id = $1`, id), fmt.Sprintf("%q", id))
}

func noToken(id string) error { return model.NotFoundf("token", "", "there is no token %q", id) }

// Tokens lists credentials by identifier, those that are over among them: at
// most limit, from after an identifier on. An empty angler narrows nothing.
func (db *DB) Tokens(ctx context.Context, angler, after string, limit int) (out []model.Token, err error) {
	if err := texts("tokens", angler, after); err != nil {
		return nil, err
	}
	rows, err := db.read.QueryContext(ctx, `SELECT `+tokenColumns+` FROM tokens
		WHERE ($1 = '' OR angler = $1) AND id > $2 ORDER BY id LIMIT $3`, angler, after, limit)
	if err != nil {
		return nil, unavailable("list tokens", err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		t, err := scanToken(rows, "")
		if err != nil {
			return nil, err
		}
		out = append(out, t)
	}
	if err := rows.Err(); err != nil {
		return nil, unavailable("list tokens", err)
	}
	return out, nil
}

func scanToken(row interface{ Scan(dest ...any) error }, which string) (t model.Token, err error) {
	var body string
	var revoked, used sql.NullInt64
	err = row.Scan(&body, &revoked, &used)
	if errors.Is(err, sql.ErrNoRows) {
		return t, model.NotFoundf("token", "", "there is no token %s", which)
	}
	if err != nil {
		return t, unavailable("find the token", err)
	}
	if err := json.Unmarshal([]byte(body), &t); err != nil {
		return t, fmt.Errorf("read the stored token: %w", err)
	}
	t.RevokedAt, t.LastUsedAt = maybeInstant(revoked), maybeInstant(used)
	return t, nil
}

func maybeInstant(s sql.NullInt64) model.Maybe[time.Time] {
	if !s.Valid {
		return model.Maybe[time.Time]{}
	}
	return model.Known(fromUnix(s.Int64))
}

// TouchToken notes that a credential was used, at most once in a while.
func (db *DB) TouchToken(ctx context.Context, id string, at time.Time) error {
	return db.put(ctx, "use of the token", `UPDATE tokens SET last_used = $2 WHERE id = $1 AND (last_used IS NULL OR last_used <= $3)`,
		id, unix(at), unix(at.Add(-touchEvery)))
}

// RevokeToken ends a credential, and those that were made with it, at once and
// for good. One that was revoked before stays as it was.
func (db *DB) RevokeToken(ctx context.Context, id string, at time.Time) error {
	if !storable(id) {
		return noToken(id)
	}
	return db.inTx(ctx, func(tx *sql.Tx) error {
		var n int
		if err := tx.QueryRowContext(ctx, `SELECT COUNT(*) FROM tokens WHERE id = $1`, id).Scan(&n); err != nil {
			return unavailable("find the token", err)
		}
		if n == 0 {
			return noToken(id)
		}
		return revoke(ctx, tx, id, at)
	})
}

// revoke ends a credential of that name and those made with it.
func revoke(ctx context.Context, tx *sql.Tx, id string, at time.Time) error {
	_, err := exec(ctx, tx, "end of the token", `UPDATE tokens SET revoked_at = $2 WHERE (id = $1 OR made_by = $1) AND revoked_at IS NULL`, id, unix(at))
	return err
}

// AnyCredential says whether a token was ever made or a member added here, those
// that are over among them.
func (db *DB) AnyCredential(ctx context.Context) (bool, error) {
	var n int
	err := db.read.QueryRowContext(ctx, `SELECT CASE WHEN EXISTS (SELECT 1 FROM tokens) OR EXISTS (SELECT 1 FROM members) THEN 1 ELSE 0 END`).Scan(&n)
	if err != nil {
		return false, unavailable("look for credentials", err)
	}
	return n == 1, nil
}
