package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"osier/model"
)

// encode turns a domain value into the text that is stored. It refuses numbers
// that are not finite, as encoding/json does.
func encode(what string, v any) (string, error) {
	var text strings.Builder
	if err := json.NewEncoder(&text).Encode(v); err != nil {
		return "", fmt.Errorf("store %s: %w", what, err)
	}
	return strings.TrimSuffix(text.String(), "\n"), nil
}

// one reads a single document; an absent one is a NotFound error that names
// what was asked for.
func one[T any](ctx context.Context, db asker, what, id, query string, args ...any) (T, error) {
	var v T
	if texts(what, args...) != nil { // what cannot be stored is not there
		return v, model.NotFoundf(what, "", "there is no %s %q", what, id)
	}
	var body string
	err := db.QueryRowContext(ctx, query, args...).Scan(&body)
	if errors.Is(err, sql.ErrNoRows) {
		return v, model.NotFoundf(what, "", "there is no %s %q", what, id)
	}
	if err != nil {
		return v, unavailable("find "+what, err)
	}
	if err := json.Unmarshal([]byte(body), &v); err != nil {
		return v, fmt.Errorf("read stored %s %s: %w", what, id, err)
	}
	return v, nil
}

// list reads documents in the order of the query.
func list[T any](ctx context.Context, db *sql.DB, what, query string, args ...any) (out []T, err error) {
	if err := texts(what, args...); err != nil {
		return nil, err
	}
	rows, err := db.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, unavailable("list "+what, err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var body string
		if err := rows.Scan(&body); err != nil {
			return nil, unavailable("list "+what, err)
		}
		var v T
		if err := json.Unmarshal([]byte(body), &v); err != nil {
			return nil, fmt.Errorf("read stored %s: %w", what, err)
		}
		out = append(out, v)
	}
	return out, ended("list "+what, rows)
}

// ended says whether rows ended since there were no more, and not since the
// store went away.
func ended(doing string, rows *sql.Rows) error {
	if err := rows.Err(); err != nil {
		return unavailable(doing, err)
	}
	return nil
}

// put writes one document by a statement of its own table.
func (db *DB) put(ctx context.Context, what, statement string, args ...any) error {
	return db.inTx(ctx, func(tx *sql.Tx) error {
		_, err := exec(ctx, tx, what, statement, args...)
		return err
	})
}

// change is put for what a plan may depend on. A statement that wrote nothing,
// since the same is stored already, is no change.
func (db *DB) change(ctx context.Context, what, statement string, args ...any) error {
	return db.inTx(ctx, func(tx *sql.Tx) error {
		n, err := exec(ctx, tx, what, statement, args...)
		if err != nil || n == 0 {
			return err
		}
		return revise(ctx, tx)
	})
}

// exec runs one statement and says how many rows it wrote.
func exec(ctx context.Context, tx doer, what, statement string, args ...any) (int64, error) {
	if err := texts(what, args...); err != nil {
		return 0, err
	}
	res, err := tx.ExecContext(ctx, statement, args...)
	if err != nil {
		return 0, unavailable("keep the "+what, err)
	}
	n, err := res.RowsAffected()
	if err != nil {
		return 0, unavailable("keep the "+what, err)
	}
	return n, nil
}

// texts refuses text that no engine should see: PostgreSQL takes neither a NUL
// nor bytes that are no UTF-8, and SQLite takes both.
func texts(what string, args ...any) error {
	for _, arg := range args {
		if text, ok := arg.(string); ok && !storable(text) {
			return model.Invalidf(what, "give text in UTF-8", "%q is no text that can be stored", text)
		}
	}
	return nil
}

func storable(text string) bool { return utf8.ValidString(text) && !strings.ContainsRune(text, 0) }
