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

// PutMember adds a member, or changes what one may do. One that was removed is
// one again.
func (db *DB) PutMember(ctx context.Context, m model.Member) error {
	body, err := encode("member "+m.ID, m)
	if err != nil {
		return err
	}
	return db.put(ctx, "member", `INSERT INTO members (id, body) VALUES ($1, $2)
		ON CONFLICT (id) DO UPDATE SET body = excluded.body, removed_at = NULL`, m.ID, body)
}

// Member finds a member by identifier, not one that was removed.
func (db *DB) Member(ctx context.Context, id string) (model.Member, error) {
	return one[model.Member](ctx, db.read, "member", id, `SELECT body FROM members WHERE id = $1 AND removed_at IS NULL`, id)
}

// Members lists those who are members, by identifier.
func (db *DB) Members(ctx context.Context) ([]model.Member, error) {
	return list[model.Member](ctx, db.read, "members", `SELECT body FROM members WHERE removed_at IS NULL ORDER BY id`)
}

// RemoveMember ends what a member may do, and the tokens they made, at once.
func (db *DB) RemoveMember(ctx context.Context, id string, at time.Time) error {
	return db.inTx(ctx, func(tx *sql.Tx) error {
		n, err := exec(ctx, tx, "removal of the member", `UPDATE members SET removed_at = $2 WHERE id = $1 AND removed_at IS NULL`, id, unix(at))
		if err != nil {
			return err
		}
		if n == 0 {
			return model.NotFoundf("member", "", "there is no member %q", id)
		}
		// Else a browser of before would be let in when the member is added again.
		if _, err := exec(ctx, tx, "sign-out", `DELETE FROM sign_ins WHERE body LIKE $1`, `%"member":"`+id+`"%`); err != nil {
			return err
		}
		return revoke(ctx, tx, id, at)
	})
}

// AddSignIn keeps that a browser was let in, by the digest of its cookie, and
// drops those that are over by then.
func (db *DB) AddSignIn(ctx context.Context, digest string, in model.SignIn) error {
	body, err := encode("sign-in", in)
	if err != nil {
		return err
	}
	return db.inTx(ctx, func(tx *sql.Tx) error {
		if _, err := exec(ctx, tx, "sign-in", `DELETE FROM sign_ins WHERE expires <= $1`, unix(in.MadeAt)); err != nil {
			return err
		}
		_, err := exec(ctx, tx, "sign-in", `INSERT INTO sign_ins (digest, expires, body) VALUES ($1, $2, $3)`, digest, unix(in.ExpiresAt), body)
		return err
	})
}

// SignIn finds the sign-in of a browser's cookie by its digest.
func (db *DB) SignIn(ctx context.Context, digest string) (model.SignIn, error) {
	return one[model.SignIn](ctx, db.read, "sign-in", "of this cookie", `SELECT body FROM sign_ins WHERE digest = $1`, digest)
}

// EndSignIn forgets a browser. One that is not known is forgotten already.
func (db *DB) EndSignIn(ctx context.Context, digest string) error {
	return db.put(ctx, "sign-out", `DELETE FROM sign_ins WHERE digest = $1`, digest)
}

// mostPending bounds the sign-ins under way: anybody may begin one. Our choice.
const mostPending = 10000

// AddPendingSignIn keeps a sign-in that goes to the sign-in service, and drops
// those that never came back.
func (db *DB) AddPendingSignIn(ctx context.Context, digest string, p model.PendingSignIn, at time.Time) error {
	body, err := encode("sign-in", p)
	if err != nil {
		return err
	}
	return db.inTx(ctx, func(tx *sql.Tx) error {
		if _, err := exec(ctx, tx, "sign-in", `DELETE FROM pending_sign_ins WHERE expires <= $1`, unix(at)); err != nil {
			return err
		}
		n, err := exec(ctx, tx, "sign-in", `INSERT INTO pending_sign_ins (digest, expires, body)
			SELECT CAST($1 AS TEXT), CAST($2 AS BIGINT), CAST($3 AS TEXT) WHERE (SELECT COUNT(*) FROM pending_sign_ins) < $4`, digest, unix(p.ExpiresAt), body, mostPending)
		if err == nil && n == 0 {
			err = &model.Error{Code: model.Unavailable, Wrong: "too many sign-ins are under way", Right: "try again in a few minutes"}
		}
		return err
	})
}

// TakePendingSignIn finds a sign-in that comes back by the digest of its state,
// and forgets it: the same answer of the service opens nothing twice.
func (db *DB) TakePendingSignIn(ctx context.Context, digest string) (p model.PendingSignIn, err error) {
	err = db.inTx(ctx, func(tx *sql.Tx) error {
		var body string
		err := tx.QueryRowContext(ctx, `DELETE FROM pending_sign_ins WHERE digest = $1 RETURNING body`, digest).Scan(&body)
		if errors.Is(err, sql.ErrNoRows) {
			return model.NotFoundf("state", "begin again at /sign-in", "no sign-in of that state is under way")
		}
		if err != nil {
			return unavailable("find the sign-in", err)
		}
		if err := json.Unmarshal([]byte(body), &p); err != nil {
			return fmt.Errorf("read the stored sign-in: %w", err)
		}
		return nil
	})
	return p, err
}
