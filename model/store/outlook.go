package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"osier/model"
)

// AddDraft keeps a draft in place of those of its club that nobody edited.
func (db *DB) AddDraft(ctx context.Context, k model.KeptOutlook) error {
	basis, err := encode("outlook "+k.ID, k.Basis)
	if err != nil {
		return err
	}
	return db.inTx(ctx, func(tx *sql.Tx) error {
		if _, err := exec(ctx, tx, "outlook", `DELETE FROM outlooks WHERE club = $1 AND state = $2 AND edited = 0 AND id <> $3`,
			k.Club, string(model.OutlookDraft), k.ID); err != nil {
			return err
		}
		if _, err := exec(ctx, tx, "outlook", `INSERT INTO outlooks (id, club, state, edited, listed_at, body, basis)
			VALUES ($1, $2, $3, 0, $4, $5, $6) ON CONFLICT (id) DO NOTHING`,
			k.ID, k.Club, string(model.OutlookDraft), unix(k.BuiltAt), string(k.Body), basis); err != nil {
			return err
		}
		return revise(ctx, tx)
	})
}

// ChangeDraft keeps what an officer made of a draft, if it is still the draft
// that was read: otherwise it is a Conflict.
func (db *DB) ChangeDraft(ctx context.Context, k model.KeptOutlook, was []byte) error {
	basis, err := encode("outlook "+k.ID, k.Basis)
	if err != nil {
		return err
	}
	return db.inTx(ctx, func(tx *sql.Tx) error {
		n, err := exec(ctx, tx, "outlook", `UPDATE outlooks SET edited = 1, body = $4, basis = $5 WHERE id = $1 AND state = $2 AND body = $3`,
			k.ID, string(model.OutlookDraft), string(was), string(k.Body), basis)
		if err != nil {
			return err
		}
		if n == 0 {
			return changedMeanwhile(k.ID)
		}
		return revise(ctx, tx)
	})
}

// PublishOutlook makes a draft the published outlook given, if it is still the
// draft that was read and nothing else has followed the outlook it supersedes:
// otherwise it is a Conflict. Its bytes never change again.
func (db *DB) PublishOutlook(ctx context.Context, k model.KeptOutlook, was []byte) error {
	basis, err := encode("outlook "+k.ID, k.Basis)
	if err != nil {
		return err
	}
	return db.inTx(ctx, func(tx *sql.Tx) error {
		n, err := exec(ctx, tx, "outlook", `UPDATE outlooks SET state = $4, listed_at = $5, body = $6, basis = $7,
				follows = CASE WHEN $8 = '' THEN NULL ELSE $8 END,
				seq = (SELECT COALESCE(MAX(seq), 0) + 1 FROM outlooks)
			WHERE id = $1 AND state = $2 AND body = $3 AND NOT EXISTS (SELECT 1 FROM outlooks WHERE follows = $8)`,
			k.ID, string(model.OutlookDraft), string(was), string(model.OutlookPublished), unix(k.Publish.At), string(k.Body), basis, k.Follows)
		if err != nil {
			return err
		}
		if n == 0 {
			return changedMeanwhile(k.ID)
		}
		for _, w := range k.Waters {
			for _, d := range w.Days {
				if _, err := exec(ctx, tx, "outlook", `INSERT INTO outlook_days (outlook, water, day) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING`, k.ID, w.Water, d.Date); err != nil {
					return err
				}
			}
		}
		return revise(ctx, tx)
	})
}

func changedMeanwhile(id string) error {
	return &model.Error{Code: model.Conflict, Field: "outlook", Wrong: fmt.Sprintf("outlook %q was changed or published meanwhile", id), Right: "read it again and repeat what is still wanted"}
}

const outlookColumns = `o.body, o.basis, COALESCE((SELECT n.id FROM outlooks n WHERE n.follows = o.id), '')`

// Outlook finds one outlook, with what superseded it.
func (db *DB) Outlook(ctx context.Context, id string) (model.KeptOutlook, error) {
	return db.oneOutlook(ctx, id, `SELECT `+outlookColumns+` FROM outlooks o WHERE o.id = $1`, id)
}

// OutlookInForce finds what is in force for a water and a day: of the published
// ones about it the last.
func (db *DB) OutlookInForce(ctx context.Context, water, day string) (model.KeptOutlook, error) {
	return db.oneOutlook(ctx, water+" on "+day, `SELECT `+outlookColumns+` FROM outlooks o JOIN outlook_days d ON d.outlook = o.id
		WHERE d.water = $1 AND d.day = $2 ORDER BY o.seq DESC LIMIT 1`, water, day)
}

// LastPublished finds the outlook that a club published last.
func (db *DB) LastPublished(ctx context.Context, club string) (model.KeptOutlook, error) {
	return db.oneOutlook(ctx, "of "+club, `SELECT `+outlookColumns+` FROM outlooks o
		WHERE o.club = $1 AND o.seq IS NOT NULL ORDER BY o.seq DESC LIMIT 1`, club)
}

// Outlooks lists at most limit of a club's outlooks of a state, or of both where
// none is named, the newest first: those older than the one named by its time and
// its identifier, or from the newest on where no identifier is given.
func (db *DB) Outlooks(ctx context.Context, club string, state model.OutlookState, before time.Time, beforeID string, limit int) ([]model.KeptOutlook, error) {
	return db.listOutlooks(ctx, `SELECT `+outlookColumns+` FROM outlooks o
		WHERE o.club = $1 AND ($2 = '' OR o.state = $2) AND ($4 = '' OR o.listed_at < $3 OR o.listed_at = $3 AND o.id < $4)
		ORDER BY o.listed_at DESC, o.id DESC LIMIT $5`, club, string(state), unix(before), beforeID, limit)
}

func (db *DB) oneOutlook(ctx context.Context, id, query string, args ...any) (model.KeptOutlook, error) {
	if texts("outlook", args...) != nil { // what cannot be stored is not there
		return model.KeptOutlook{}, model.NotFoundf("outlook", "", "there is no outlook %q", id)
	}
	found, err := db.listOutlooks(ctx, query, args...)
	if err != nil {
		return model.KeptOutlook{}, err
	}
	if len(found) == 0 {
		return model.KeptOutlook{}, model.NotFoundf("outlook", "", "there is no outlook %q", id)
	}
	return found[0], nil
}

func (db *DB) listOutlooks(ctx context.Context, query string, args ...any) (out []model.KeptOutlook, err error) {
	if err := texts("outlooks", args...); err != nil {
		return nil, err
	}
	rows, err := db.read.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, unavailable("list outlooks", err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var body, basis, followed string
		if err := rows.Scan(&body, &basis, &followed); err != nil {
			return nil, unavailable("list outlooks", err)
		}
		k := model.KeptOutlook{Body: []byte(body)}
		if err := errors.Join(json.Unmarshal(k.Body, &k.Outlook), json.Unmarshal([]byte(basis), &k.Basis)); err != nil {
			return nil, fmt.Errorf("read a stored outlook: %w", err)
		}
		k.SupersededBy = followed
		out = append(out, k)
	}
	return out, ended("list outlooks", rows)
}
