package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"github.com/pressly/goose/v3"

	"osier/model"
)

// DB is an open store, whatever the engine under it. It is safe for many
// goroutines; writes queue for the one writer.
type DB struct {
	write *sql.DB
	read  *sql.DB
	late  *sql.DB // writes what may reach the disk with the write after it; nil where nothing does
	often often
	turn  string // the statement that waits for the writer's turn; none where to begin is to wait
}

// migrate brings the tables up to date by the files of an engine's folder.
func migrate(ctx context.Context, engine goose.Dialect, pool *sql.DB, all fs.FS, folder string, options ...goose.ProviderOption) error {
	files, err := fs.Sub(all, folder)
	if err != nil {
		return fmt.Errorf("find the migrations: %w", err)
	}
	provider, err := goose.NewProvider(engine, pool, files, options...)
	if err != nil {
		return fmt.Errorf("read the migrations: %w", err)
	}
	if _, err := provider.Up(ctx); err != nil {
		return fmt.Errorf("bring the store up to date: %w", err)
	}
	return nil
}

// Close lets go of the files.
func (db *DB) Close() error {
	err := errors.Join(db.read.Close(), db.write.Close())
	if db.late != nil {
		err = errors.Join(err, db.late.Close())
	}
	return err
}

// How long a caller is kept; our choice.
const (
	turnWithin = 20 * time.Second // until it is our turn to write, among those of this program and of others
	pingWithin = 5 * time.Second
)

// Ping says whether the store answers for reading and for writing, within 5 s: a
// server that hangs keeps a connection for longer than that, and whoever asks is
// not kept with it.
func (db *DB) Ping(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, pingWithin)
	defer cancel()
	answered := make(chan error, 1)
	go func() { answered <- db.answers(ctx) }()
	select {
	case err := <-answered:
		return err
	case <-ctx.Done():
		return unavailable("answer", ctx.Err())
	}
}

// answers reads and writes, since a full disk lets transactions begin that it
// does not let end; what it writes is what is there.
func (db *DB) answers(ctx context.Context) error {
	if _, err := db.Revision(ctx); err != nil {
		return err
	}
	return db.inTx(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, `UPDATE revision SET n = n`); err != nil {
			return unavailable("write to the store", err)
		}
		return nil
	})
}

// Pools are the connections that write and those that read, for the figures that
// are kept of them and for nothing else.
func (db *DB) Pools() (writer, readers *sql.DB) { return db.write, db.read }

// inTx runs f in one transaction of the writer: all of it is kept, or none.
func (db *DB) inTx(ctx context.Context, f func(*sql.Tx) error) error {
	conn, err := db.writer(ctx)
	if err != nil {
		return err
	}
	defer conn.Close() // back to the pool; what a connection's end could tell, the commit has told
	tx, err := conn.BeginTx(ctx, nil)
	if err != nil {
		return unavailable("begin writing", err)
	}
	if err := db.inTurn(ctx, tx, f); err != nil {
		return errors.Join(err, ignoreDone(tx.Rollback()))
	}
	if err := tx.Commit(); err != nil {
		return unavailable("finish writing", err)
	}
	return nil
}

// writer waits for the writer of this program, and no longer than it may: behind
// a store that does not answer, those who wait would pile up.
func (db *DB) writer(ctx context.Context) (*sql.Conn, error) {
	ctx, cancel := context.WithTimeout(ctx, turnWithin)
	defer cancel()
	conn, err := db.write.Conn(ctx)
	if err != nil {
		return nil, unavailable("take its turn to write", err)
	}
	return conn, nil
}

// inTurn runs f when no other transaction that writes goes on.
func (db *DB) inTurn(ctx context.Context, tx *sql.Tx, f func(*sql.Tx) error) error {
	if db.turn != "" {
		if _, err := tx.ExecContext(ctx, db.turn); err != nil {
			return unavailable("take its turn to write", err)
		}
	}
	return f(tx)
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
