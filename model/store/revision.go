package store

import (
	"context"
	"database/sql"
)

// Revision counts the changes to anything that a plan may depend on: waters,
// kits, reports, weather, sessions and fits. An answer rendered at one revision
// is right for as long as the count stays.
func (db *DB) Revision(ctx context.Context) (n int64, err error) {
	if err := db.often.revision.QueryRowContext(ctx, revisionNow).Scan(&n); err != nil {
		return 0, unavailable("read the revision", err)
	}
	return n, nil
}

// Identity names this store, for ever and among all others: two stores may be
// at the same revision, and what was rendered from one is not the other's.
func (db *DB) Identity(ctx context.Context) (id string, err error) {
	if err := db.read.QueryRowContext(ctx, `SELECT store FROM revision`).Scan(&id); err != nil {
		return "", unavailable("read the store's identity", err)
	}
	return id, nil
}

// revise counts one change, inside the transaction that makes it.
func revise(ctx context.Context, tx *sql.Tx) error {
	if _, err := tx.ExecContext(ctx, `UPDATE revision SET n = n + 1`); err != nil {
		return unavailable("count the change", err)
	}
	return nil
}
