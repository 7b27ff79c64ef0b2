package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"

	"osier/model"
)

// Copied is what one table came to on both sides of a copy.
type Copied struct {
	Table  string `json:"table"`
	Rows   int64  `json:"rows"`
	Digest string `json:"digest"`
}

// Copy fills an empty store with all that another holds, its identity too, in
// one transaction: after it the two hold the same, which is compared table by
// table before it is kept, and until then the target holds nothing. The source
// may be written to meanwhile; what is copied is what it held at one instant.
// One of the two is SQLite.
func Copy(ctx context.Context, from, to *DB) (copied []Copied, err error) {
	tables, err := tablesOf(ctx, from, to)
	if err != nil {
		return nil, err
	}
	err = from.atOneInstant(ctx, func(source *sql.Tx) error {
		return to.inTx(ctx, func(target *sql.Tx) error {
			if err := empty(ctx, target, tables); err != nil {
				return err
			}
			for _, t := range tables {
				one, err := t.copy(ctx, source, target)
				if err != nil {
					return fmt.Errorf("copy %s: %w", t.name, err)
				}
				copied = append(copied, one)
			}
			return nil
		})
	})
	if err != nil {
		return nil, err
	}
	return copied, nil
}

// Digests says what each table holds at one instant, in the words of a copy.
// The store is in SQLite.
func (db *DB) Digests(ctx context.Context) (out []Copied, err error) {
	tables, err := tablesOf(ctx, db)
	if err != nil {
		return nil, err
	}
	err = db.atOneInstant(ctx, func(tx *sql.Tx) error {
		for _, t := range tables {
			one, err := t.digest(ctx, tx)
			if err != nil {
				return fmt.Errorf("add up %s: %w", t.name, err)
			}
			out = append(out, one)
		}
		return nil
	})
	return out, err
}

// atOneInstant runs f in a transaction that sees what the store held at its
// first read, whatever is written meanwhile.
func (db *DB) atOneInstant(ctx context.Context, f func(*sql.Tx) error) error {
	options := &sql.TxOptions{ReadOnly: true}
	if db.turn != "" { // SQLite has this one kind only
		options.Isolation = sql.LevelRepeatableRead
	}
	tx, err := db.read.BeginTx(ctx, options)
	if err != nil {
		return unavailable("begin reading", err)
	}
	return errors.Join(f(tx), ignoreDone(tx.Rollback()))
}

// empty refuses a target that holds anything but what a new store is made with.
func empty(ctx context.Context, tx *sql.Tx, tables []table) error {
	for _, t := range tables {
		var n int64
		count := `SELECT COUNT(*) FROM ` + t.name
		if t.name == revisionTable { // its one row counts changes, and there were none
			count = `SELECT n FROM ` + t.name
		}
		if err := tx.QueryRowContext(ctx, count).Scan(&n); err != nil {
			return unavailable("count "+t.name, err)
		}
		if n != 0 {
			return &model.Error{
				Code: model.Conflict, Field: "target", Wrong: fmt.Sprintf("it is not empty: %s holds something (%d)", t.name, n),
				Right: "copy into a new folder, or a database of its own",
			}
		}
	}
	_, err := exec(ctx, tx, "identity", `DELETE FROM `+revisionTable)
	return err
}

// mostValues is how many values one statement carries; our choice. SQLite looks
// for each placeholder among all before it, so that many are slow: at 8000 a copy
// takes minutes.
const mostValues = 400

// copy takes one table over, and compares what was read with what is read back.
func (t table) copy(ctx context.Context, source, target *sql.Tx) (Copied, error) {
	var sum digest
	var values []any
	put := func() error {
		_, err := exec(ctx, target, "copy of "+t.name, t.insert(len(values)/len(t.columns)), values...)
		values = values[:0]
		return err
	}
	err := t.each(ctx, source, func(row []any) error {
		sum.add(row)
		values = append(values, row...)
		if len(values)+len(row) > mostValues {
			return put()
		}
		return nil
	})
	if err == nil && len(values) > 0 {
		err = put()
	}
	if err != nil {
		return Copied{}, err
	}
	read, back := sum.of(t.name), Copied{}
	if back, err = t.digest(ctx, target); err == nil && back != read {
		err = fmt.Errorf("%d rows of digest %s were read, and %d of %s are there now", read.Rows, read.Digest, back.Rows, back.Digest)
	}
	return read, err
}

// insert writes so many rows.
func (t table) insert(rows int) string {
	var s strings.Builder
	fmt.Fprintf(&s, `INSERT INTO %s (%s) VALUES `, t.name, t.list())
	for i := range rows * len(t.columns) {
		switch {
		case i == 0:
			s.WriteString("(")
		case i%len(t.columns) == 0:
			s.WriteString("), (")
		default:
			s.WriteString(", ")
		}
		fmt.Fprintf(&s, "$%d", i+1)
	}
	s.WriteString(")")
	return s.String()
}

func (t table) digest(ctx context.Context, tx *sql.Tx) (Copied, error) {
	var sum digest
	err := t.each(ctx, tx, func(row []any) error { sum.add(row); return nil })
	return sum.of(t.name), err
}
