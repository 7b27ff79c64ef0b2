package store

import (
	"cmp"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"osier/model"
)

// PutWarnings keeps what a feed answered for a cell in place of all that it
// answered before: a warning that is gone from the answer is over. It counts as
// a change when the warnings differ, or when it was not known until now which
// are in force.
func (db *DB) PutWarnings(ctx context.Context, a model.WarningsAnswer) error {
	// The order in an answer says nothing, and none is written as a list too.
	inOrder := append([]model.OfficialWarning{}, a.Warnings...)
	slices.SortStableFunc(inOrder, func(a, b model.OfficialWarning) int { return cmp.Or(a.From.Compare(b.From), cmp.Compare(a.ID, b.ID)) })
	body, err := encode("warnings of "+a.Source, inOrder)
	if err != nil {
		return err
	}
	return db.inTx(ctx, func(tx *sql.Tx) error {
		before, err := warningsBefore(ctx, tx, a.Source, a.LatDeg, a.LonDeg)
		if err != nil {
			return err
		}
		if _, err := exec(ctx, tx, "warnings", `INSERT INTO warnings (source, lat, lon, asked_at, body) VALUES ($1, $2, $3, $4, $5)
			ON CONFLICT (source, lat, lon) DO UPDATE SET asked_at = excluded.asked_at, body = excluded.body`,
			a.Source, a.LatDeg, a.LonDeg, unix(a.AskedAt), body); err != nil {
			return err
		}
		if body == before.body && before.stands(a.AskedAt) {
			return nil
		}
		return revise(ctx, tx)
	})
}

// ConfirmWarnings notes that a feed stands by what it last answered for a cell.
// Where it never answered, nothing is known still.
func (db *DB) ConfirmWarnings(ctx context.Context, source string, latDeg, lonDeg float64, at time.Time) error {
	return db.inTx(ctx, func(tx *sql.Tx) error {
		before, err := warningsBefore(ctx, tx, source, latDeg, lonDeg)
		if err != nil {
			return err
		}
		n, err := exec(ctx, tx, "warnings", `UPDATE warnings SET asked_at = $4 WHERE source = $1 AND lat = $2 AND lon = $3`, source, latDeg, lonDeg, unix(at))
		if err != nil || n == 0 || before.stands(at) {
			return err
		}
		return revise(ctx, tx)
	})
}

// Warnings lists what each feed last answered for a cell, its warnings in the
// order in which they begin.
func (db *DB) Warnings(ctx context.Context, latDeg, lonDeg float64) (out []model.WarningsAnswer, err error) {
	rows, err := db.read.QueryContext(ctx, `SELECT source, asked_at, body FROM warnings WHERE lat = $1 AND lon = $2 ORDER BY source`, latDeg, lonDeg)
	if err != nil {
		return nil, unavailable("list warnings", err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		a := model.WarningsAnswer{LatDeg: latDeg, LonDeg: lonDeg}
		var asked int64
		var body string
		if err := rows.Scan(&a.Source, &asked, &body); err != nil {
			return nil, unavailable("list warnings", err)
		}
		if err := json.Unmarshal([]byte(body), &a.Warnings); err != nil {
			return nil, fmt.Errorf("read stored warnings of %s: %w", a.Source, err)
		}
		a.AskedAt = fromUnix(asked)
		out = append(out, a)
	}
	return out, ended("list warnings", rows)
}

// warningsHeld is what is stored of one feed for one cell; zero when nothing is.
type warningsHeld struct {
	askedAt time.Time
	body    string
}

func (h warningsHeld) stands(at time.Time) bool {
	return model.WarningsAnswer{AskedAt: h.askedAt}.Stands(at)
}

func warningsBefore(ctx context.Context, tx *sql.Tx, source string, latDeg, lonDeg float64) (warningsHeld, error) {
	var h warningsHeld
	var asked int64
	err := tx.QueryRowContext(ctx, `SELECT asked_at, body FROM warnings WHERE source = $1 AND lat = $2 AND lon = $3`, source, latDeg, lonDeg).Scan(&asked, &h.body)
	if errors.Is(err, sql.ErrNoRows) {
		return h, nil
	}
	if err != nil {
		return h, unavailable("find warnings", err)
	}
	h.askedAt = fromUnix(asked)
	return h, nil
}
