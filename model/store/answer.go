package store

import (
	"context"
	"database/sql"
	"errors"
	"time"
)

// KeepAnswer keeps what was answered to a write that carried an idempotency
// key, so that the same write sent again gets the same answer and does
// nothing; the first answer for a key stays.
func (db *DB) KeepAnswer(ctx context.Context, key, operation, digest string, status int, at time.Time, body []byte) error {
	return db.put(ctx, "answer", `INSERT INTO answers (idempotency_key, operation, request_digest, status, at, body)
		VALUES ($1, $2, $3, $4, $5, $6) ON CONFLICT DO NOTHING`, key, operation, digest, status, unix(at), string(body))
}

// AnswerTo finds what was answered to a key; not found when it is new.
func (db *DB) AnswerTo(ctx context.Context, key, operation string) (digest string, status int, body []byte, found bool, err error) {
	if err := texts("answer", key, operation); err != nil {
		return "", 0, nil, false, err
	}
	var text string
	err = db.read.QueryRowContext(ctx, `SELECT request_digest, status, body FROM answers
		WHERE idempotency_key = $1 AND operation = $2`, key, operation).Scan(&digest, &status, &text)
	if errors.Is(err, sql.ErrNoRows) {
		return "", 0, nil, false, nil
	}
	if err != nil {
		return "", 0, nil, false, unavailable("find an answer", err)
	}
	return digest, status, []byte(text), true, nil
}
