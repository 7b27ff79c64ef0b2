package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"osier/model"
	"osier/model/store"
)

type storeCmd struct {
	Copy    storeCopyCmd    `cmd:"" help:"Copy the whole store between the data folder and a PostgreSQL database."`
	Backup  storeBackupCmd  `cmd:"" help:"Write the whole store into one file, while it is in use."`
	Restore storeRestoreCmd `cmd:"" help:"Fill an empty store from a backup."`
}

type storeCopyCmd struct {
	ToPostgres   string `help:"Fill this empty database from the store in the data folder." placeholder:"URL" xor:"direction" required:""`
	FromPostgres string `help:"Fill an empty data folder from the store in this database." placeholder:"URL" xor:"direction" required:""`
}

func (c *storeCopyCmd) Run(a *app) (err error) {
	folder, err := store.OpenSQLite(a.ctx, a.data)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	database, err := store.OpenPostgresToCopy(a.ctx, c.ToPostgres+c.FromPostgres) // one of the two is given
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, database.Close()) }()
	from, to := folder, database
	if c.FromPostgres != "" {
		from, to = database, folder
	}
	copied, err := store.Copy(a.ctx, from, to)
	return a.printCopied(copied, err, "The two hold the same.")
}

type storeBackupCmd struct {
	File string `arg:"" help:"The new file." placeholder:"FILE"`
}

func (c *storeBackupCmd) Run(a *app) (err error) {
	db, err := a.openToCopy()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	path, err := filepath.Abs(c.File)
	if err != nil {
		return model.Invalidf("file", "give the name of a new file", "cannot tell where %s is", c.File)
	}
	copied, err := db.Backup(a.ctx, path)
	return a.printCopied(copied, err, "The backup was opened, checked and compared: "+path)
}

type storeRestoreCmd struct {
	File string `arg:"" help:"A file that backup wrote." placeholder:"FILE"`
}

func (c *storeRestoreCmd) Run(a *app) (err error) {
	db, err := a.openToCopy()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	copied, err := db.Restore(a.ctx, c.File)
	return a.printCopied(copied, err, "Restored; it holds what the backup does.")
}

// openToCopy opens the store where others do, without limits on how long a
// statement may take.
func (a *app) openToCopy() (*store.DB, error) {
	if a.postgres != "" {
		return store.OpenPostgresToCopy(a.ctx, a.postgres)
	}
	return a.open()
}

func (a *app) printCopied(copied []store.Copied, err error, said string) error {
	if err != nil {
		return err
	}
	a.print(map[string][]store.Copied{"tables": copied}, func(out io.Writer) {
		for _, t := range copied {
			fmt.Fprintf(out, "%-20s %9d rows  %s\n", t.Table, t.Rows, t.Digest)
		}
		fmt.Fprintln(out, said)
	})
	return nil
}
