package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"math/bits"
	"slices"
	"strings"
)

// table is a table and its columns, as they are copied.
type table struct {
	name    string
	columns []string
}

// revisionTable holds the store's identity, and its count of changes.
const revisionTable = "revision"

// tablesOf lists the tables of the store, those that others refer to first. They
// are read from the one that is in SQLite: migrations come in pairs, so the other
// has the same.
func tablesOf(ctx context.Context, stores ...*DB) ([]table, error) {
	i := slices.IndexFunc(stores, func(db *DB) bool { return db.turn == "" })
	if i < 0 {
		return nil, errors.New("one of the two stores has to be in SQLite")
	}
	rows, err := stores[i].read.QueryContext(ctx, `SELECT m.name, c.name, (SELECT COUNT(*) FROM pragma_foreign_key_list(m.name)) AS refers
		FROM sqlite_master AS m, pragma_table_info(m.name) AS c
		WHERE m.type = 'table' AND m.name NOT LIKE 'sqlite_%' AND m.name NOT LIKE 'goose_%'
		ORDER BY refers, m.name, c.cid`)
	if err != nil {
		return nil, unavailable("list its tables", err)
	}
	var out []table
	for rows.Next() {
		var name, column string
		var refers int
		if err := rows.Scan(&name, &column, &refers); err != nil {
			return nil, errors.Join(unavailable("list its tables", err), rows.Close())
		}
		if len(out) == 0 || out[len(out)-1].name != name {
			out = append(out, table{name: name})
		}
		last := &out[len(out)-1]
		last.columns = append(last.columns, column)
	}
	return out, errors.Join(ended("list its tables", rows), rows.Close())
}

// list names the columns; in quotes, since a name may be a word of the engine's.
func (t table) list() string { return `"` + strings.Join(t.columns, `", "`) + `"` }

// each reads every row, in any order.
func (t table) each(ctx context.Context, tx *sql.Tx, f func(row []any) error) (err error) {
	rows, err := tx.QueryContext(ctx, fmt.Sprintf(`SELECT %s FROM %s`, t.list(), t.name))
	if err != nil {
		return unavailable("read "+t.name, err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	into := make([]any, len(t.columns))
	for rows.Next() {
		row := make([]any, len(t.columns))
		for i := range row {
			into[i] = &row[i]
		}
		if err := rows.Scan(into...); err != nil {
			return unavailable("read "+t.name, err)
		}
		if err := f(row); err != nil {
			return err
		}
	}
	return ended("read "+t.name, rows)
}

// digest adds up rows: the sum of their SHA-256 as whole numbers, modulo 2 to
// the 256th, so that the order in which an engine gives them does not matter.
type digest struct {
	rows int64
	sum  [4]uint64 // the lowest first
}

func (d *digest) add(row []any) {
	h := sha256.Sum256(written(row))
	var carry uint64
	for i := range d.sum {
		d.sum[i], carry = bits.Add64(d.sum[i], binary.LittleEndian.Uint64(h[8*i:]), carry)
	}
	d.rows++
}

// written is a row as bytes, the same whatever the engine: each value with its
// kind, and text with its length. SQLite knows no negative zero.
func written(row []any) []byte {
	var b []byte
	for _, v := range row {
		switch v := v.(type) {
		case nil:
			b = append(b, 'n')
		case int64:
			b = binary.LittleEndian.AppendUint64(append(b, 'i'), uint64(v))
		case float64:
			b = binary.LittleEndian.AppendUint64(append(b, 'f'), math.Float64bits(v+0))
		case []byte:
			b = append(binary.LittleEndian.AppendUint64(append(b, 't'), uint64(len(v))), v...)
		case string:
			b = append(binary.LittleEndian.AppendUint64(append(b, 't'), uint64(len(v))), v...)
		default:
			b = fmt.Appendf(append(b, '?'), "%T %v", v, v)
		}
	}
	return b
}

func (d *digest) of(name string) Copied {
	var b []byte
	for _, part := range d.sum {
		b = binary.LittleEndian.AppendUint64(b, part)
	}
	return Copied{Table: name, Rows: d.rows, Digest: hex.EncodeToString(b[:16])}
}
