package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"

	"github.com/pressly/goose/v3"
	_ "modernc.org/sqlite" // the engine, without cgo
)

//go:embed sqlite/*.sql
var sqliteMigrations embed.FS

// file is the store's name in its folder.
const file = "osier.db"

// OpenSQLite opens the store in the folder, making and migrating it as needed.
func OpenSQLite(ctx context.Context, dir string) (*DB, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("make the data folder: %w", err)
	}
	path := filepath.Join(dir, file)
	write, err := openPool(path, "immediate", "FULL", 1)
	if err != nil {
		return nil, err
	}
	db := &DB{write: write}
	up := func(ctx context.Context) error {
		if err := migrate(ctx, goose.DialectSQLite3, write, sqliteMigrations, "sqlite"); err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		return nil
	}
	if err := alone(ctx, filepath.Join(dir, "opening.db"), up); err != nil {
		return nil, errors.Join(err, write.Close())
	}
	db.read, err = openPool(path, "deferred", "FULL", 8)
	if err != nil {
		return nil, errors.Join(err, write.Close())
	}
	db.late, err = openPool(path, "immediate", "NORMAL", 1)
	if err != nil {
		return nil, errors.Join(err, db.read.Close(), write.Close())
	}
	if db.often, err = prepareOften(ctx, db.read, db.late); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return db, nil
}

// alone runs f while no other process or goroutine is in it for the same file:
// of two that migrate a new store at once, one would find its tables made. The
// lock is SQLite's own, so it works wherever the store does and ends with the
// process.
func alone(ctx context.Context, path string, f func(context.Context) error) error {
	lock, err := openPool(path, "immediate", "FULL", 1)
	if err != nil {
		return err
	}
	tx, err := lock.BeginTx(ctx, nil)
	if err != nil {
		return errors.Join(unavailable("take its turn to open", err), lock.Close())
	}
	return errors.Join(f(ctx), ignoreDone(tx.Rollback()), lock.Close())
}

// openPool opens connections to one file. With synchronous FULL every commit reaches
// the disk before it is acknowledged, so a power cut loses nothing that was
// accepted. With NORMAL it reaches the disk with the next that does, since the log
// is written in order; the end of the program loses neither. Immediate transactions take the write lock at once: deferred ones
// that read and then write fail under load with "database is locked".
func openPool(path, txlock, synchronous string, conns int) (*sql.DB, error) {
	q := url.Values{"_txlock": {txlock}, "_pragma": {
		"busy_timeout(5000)", "journal_mode(WAL)", "synchronous(" + synchronous + ")", "foreign_keys(ON)",
	}}
	pool, err := sql.Open("sqlite", (&url.URL{Scheme: "file", OmitHost: true, Path: path, RawQuery: q.Encode()}).String())
	if err != nil {
		return nil, fmt.Errorf("open %s: %w", filepath.Base(path), err)
	}
	pool.SetMaxOpenConns(conns)
	pool.SetMaxIdleConns(conns)
	return pool, nil
}
