package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"github.com/pressly/goose/v3"
	_ "modernc.org/sqlite" // the engine, without cgo

	"osier/model"
)

//go:embed sqlite/*.sql
var sqliteMigrations embed.FS

// DB is an open store. It is safe for many goroutines; writes queue for the one
// writer.
type DB struct {
	write *sql.DB
	read  *sql.DB
	path  string
}

// OpenSQLite opens the store in the folder, making and migrating it as needed.
func OpenSQLite(ctx context.Context, dir string) (*DB, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("make the data folder: %w", err)
	}
	path := filepath.Join(dir, "osier.db")
	write, err := openPool(path, "immediate", 1)
	if err != nil {
		return nil, err
	}
	db := &DB{write: write, path: path}
	if err := alone(ctx, filepath.Join(dir, "opening.db"), db.migrate); err != nil {
		return nil, errors.Join(err, write.Close())
	}
	db.read, err = openPool(path, "deferred", 8)
	if err != nil {
		return nil, errors.Join(err, write.Close())
	}
	return db, nil
}

// alone runs f while no other process or goroutine is in it for the same file:
// of two that migrate a new store at once, one would find its tables made. The
// lock is SQLite's own, so it works wherever the store does and ends with the
// process.
func alone(ctx context.Context, path string, f func(context.Context) error) error {
	lock, err := openPool(path, "immediate", 1)
	if err != nil {
		return err
	}
	tx, err := lock.BeginTx(ctx, nil)
	if err != nil {
		return errors.Join(unavailable("take its turn to open", err), lock.Close())
	}
	return errors.Join(f(ctx), ignoreDone(tx.Rollback()), lock.Close())
}

// openPool opens connections to one file. Every commit reaches the disk before
// it is acknowledged (synchronous FULL), so a power cut loses nothing that was
// accepted. Immediate transactions take the write lock at once: deferred ones
// that read and then write fail under load with "database is locked".
func openPool(path, txlock string, conns int) (*sql.DB, error) {
	q := url.Values{"_txlock": {txlock}, "_pragma": {
		"busy_timeout(5000)", "journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(ON)",
	}}
	pool, err := sql.Open("sqlite", (&url.URL{Scheme: "file", OmitHost: true, Path: path, RawQuery: q.Encode()}).String())
	if err != nil {
		return nil, fmt.Errorf("open %s: %w", filepath.Base(path), err)
	}
	pool.SetMaxOpenConns(conns)
	pool.SetMaxIdleConns(conns)
	return pool, nil
}

func (db *DB) migrate(ctx context.Context) error {
	files, err := fs.Sub(sqliteMigrations, "sqlite")
	if err != nil {
		return fmt.Errorf("find the migrations: %w", err)
	}
	provider, err := goose.NewProvider(goose.DialectSQLite3, db.write, files)
	if err != nil {
		return fmt.Errorf("read the migrations: %w", err)
	}
	if _, err := provider.Up(ctx); err != nil {
		return fmt.Errorf("bring the store %s up to date: %w", db.path, err)
	}
	return nil
}

// Close lets go of the files.
func (db *DB) Close() error {
	return errors.Join(db.read.Close(), db.write.Close())
}

// Ping says whether the store answers for reading and for writing.
func (db *DB) Ping(ctx context.Context) error {
	if err := db.read.PingContext(ctx); err != nil {
		return unavailable("read the store", err)
	}
	return db.inTx(ctx, func(tx *sql.Tx) error { return nil })
}

// inTx runs f in one transaction of the writer: all of it is kept, or none.
func (db *DB) inTx(ctx context.Context, f func(*sql.Tx) error) error {
	tx, err := db.write.BeginTx(ctx, nil)
	if err != nil {
		return unavailable("begin writing", err)
	}
	if err := f(tx); err != nil {
		return errors.Join(err, ignoreDone(tx.Rollback()))
	}
	if err := tx.Commit(); err != nil {
		return unavailable("finish writing", err)
	}
	return nil
}

func ignoreDone(err error) error {
	if errors.Is(err, sql.ErrTxDone) {
		return nil
	}
	return err
}

func unavailable(doing string, err error) error {
	return &model.Error{Code: model.Unavailable, Wrong: "the store did not " + doing, Right: "try again in a moment", Err: err}
}

func unix(t time.Time) int64 { return t.Unix() }

func fromUnix(s int64) time.Time { return time.Unix(s, 0).UTC() }
