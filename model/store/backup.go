package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"osier/model"
)

// Backup writes all that the store holds at one instant into one SQLite file,
// whatever the engine, while it is read and written to. It is a copy like any
// other, so one way of copying is tried for all: the engine's own (VACUUM INTO)
// has no instant that a digest of the source could be taken at. The file is
// then opened, checked by the engine and compared with what was copied; only a
// good one gets its name.
func (db *DB) Backup(ctx context.Context, path string) (copied []Copied, err error) {
	if _, err := os.Lstat(path); !errors.Is(err, os.ErrNotExist) {
		return nil, &model.Error{Code: model.Conflict, Field: "backup", Wrong: fmt.Sprintf("%s is there already", path), Right: "give the name of a new file", Err: err}
	}
	dir, err := os.MkdirTemp(filepath.Dir(path), ".osier-backup-")
	if err != nil {
		return nil, fmt.Errorf("make room for the backup: %w", err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	if copied, err = db.copyInto(ctx, dir); err != nil {
		return nil, err
	}
	if err := verify(ctx, dir, copied); err != nil {
		return nil, err
	}
	// It holds everybody's records, and leaves the folder that only we can read.
	if err := os.Chmod(filepath.Join(dir, file), 0o600); err != nil {
		return nil, fmt.Errorf("keep the backup to its owner: %w", err)
	}
	if err := os.Rename(filepath.Join(dir, file), path); err != nil {
		return nil, fmt.Errorf("name the backup: %w", err)
	}
	return copied, nil
}

// copyInto fills a new store in a folder. When it is closed, all of it is in
// its one file.
func (db *DB) copyInto(ctx context.Context, dir string) (copied []Copied, err error) {
	to, err := OpenSQLite(ctx, dir)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, to.Close()) }()
	return Copy(ctx, db, to)
}

// verify opens a copy and compares it with what was copied.
func verify(ctx context.Context, dir string, copied []Copied) (err error) {
	again, err := OpenSQLite(ctx, dir)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, again.Close()) }()
	if err := again.whole(ctx); err != nil {
		return err
	}
	held, err := again.Digests(ctx)
	if err != nil {
		return err
	}
	if !slices.Equal(held, copied) {
		return fmt.Errorf("the backup holds %v, and %v was copied", held, copied)
	}
	return nil
}

// whole asks the engine whether the file is in order.
func (db *DB) whole(ctx context.Context) error {
	var said string
	if err := db.read.QueryRowContext(ctx, `PRAGMA integrity_check`).Scan(&said); err != nil {
		return unavailable("check its files", err)
	}
	if said != "ok" {
		return fmt.Errorf("the store's file is damaged: %s", said)
	}
	return nil
}

// Restore fills an empty store with what a backup holds. The backup is not
// written to: a copy of it is brought up to date, checked and read.
func (db *DB) Restore(ctx context.Context, path string) (copied []Copied, err error) {
	dir, err := os.MkdirTemp("", "osier-restore-")
	if err != nil {
		return nil, fmt.Errorf("make room for the backup: %w", err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	if err := copyFile(path, filepath.Join(dir, file)); err != nil {
		return nil, &model.Error{Code: model.Invalid, Field: "backup", Wrong: "cannot read it", Right: "give a file that osier store backup wrote", Err: err}
	}
	from, err := OpenSQLite(ctx, dir)
	if err != nil {
		return nil, &model.Error{Code: model.Invalid, Field: "backup", Wrong: "it is no store of this program", Right: "give a file that osier store backup wrote", Err: err}
	}
	defer func() { err = errors.Join(err, from.Close()) }()
	if err := from.whole(ctx); err != nil {
		return nil, err
	}
	return Copy(ctx, from, db)
}

func copyFile(from, to string) (err error) {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, in.Close()) }()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = out.ReadFrom(in)
	return errors.Join(err, out.Close())
}
