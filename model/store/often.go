package store

import (
	"context"
	"database/sql"
	"fmt"
)

// What is asked of the store for each plan that is issued.
const (
	revisionNow = `SELECT n FROM revision`
	planByID    = `SELECT body FROM plans WHERE id = $1`
	issuePlan   = `INSERT INTO plans (id, water, starts, issued_at, angler, body)
		VALUES ($1, $2, $3, $4, $5, $6) ON CONFLICT (id) DO NOTHING`
)

// often are these statements, made ready where that takes as long as to run them: in
// SQLite. The driver of PostgreSQL does so itself, or must not, behind a pooler.
type often struct {
	revision, plan asker
	issue          *sql.Stmt // nil where it is not made ready
}

// asker asks for a row, and doer writes: a pool, a transaction, or a statement made
// ready.
type (
	asker interface {
		QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
	}
	doer interface {
		ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
	}
)

// ready is a statement that needs no text.
type ready struct{ *sql.Stmt }

func (r ready) QueryRowContext(ctx context.Context, _ string, args ...any) *sql.Row {
	return r.Stmt.QueryRowContext(ctx, args...)
}

func (r ready) ExecContext(ctx context.Context, _ string, args ...any) (sql.Result, error) {
	return r.Stmt.ExecContext(ctx, args...)
}

// prepareOften makes them ready. They end with their pools.
func prepareOften(ctx context.Context, read, late *sql.DB) (often, error) {
	revision, err := read.PrepareContext(ctx, revisionNow)
	if err != nil {
		return often{}, fmt.Errorf("make a statement ready: %w", err)
	}
	plan, err := read.PrepareContext(ctx, planByID)
	if err != nil {
		return often{}, fmt.Errorf("make a statement ready: %w", err)
	}
	issue, err := late.PrepareContext(ctx, issuePlan)
	if err != nil {
		return often{}, fmt.Errorf("make a statement ready: %w", err)
	}
	return often{revision: ready{revision}, plan: ready{plan}, issue: issue}, nil
}

// issue runs what issues a plan. Made ready, the statement is a transaction by
// itself, and the next write may take it to the disk along with itself.
func (db *DB) issue(ctx context.Context, f func(doer) error) error {
	if db.often.issue == nil {
		return db.inTx(ctx, func(tx *sql.Tx) error { return f(tx) })
	}
	turn, err := db.writer(ctx)
	if err != nil {
		return err
	}
	defer turn.Close() // as in inTx
	return f(ready{db.often.issue})
}
