package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"osier/model"
)

// AnglerRecords gathers everything that is stored of an angler.
func (db *DB) AnglerRecords(ctx context.Context, angler string) (model.AnglerRecords, error) {
	out := model.AnglerRecords{Angler: angler}
	var err error
	if out.Sessions, err = db.Sessions(ctx, "", angler, time.Unix(0, 0), forever); err != nil {
		return out, err
	}
	found, err := find(ctx, db.read, angler)
	if err != nil {
		return out, err
	}
	if err := found.gather(ctx, db.read, &out); err != nil {
		return out, err
	}
	kit, err := db.Kit(ctx, angler)
	switch {
	case err == nil:
		out.Kit = &kit
	case model.CodeOf(err) != model.NotFound:
		return out, err
	}
	if out.Tokens, err = db.Tokens(ctx, angler, "", mostTokens); err != nil {
		return out, err
	}
	out.Scores, err = list[model.Score](ctx, db.read, "scores", `SELECT c.body FROM scores c JOIN sessions s ON s.id = c.session
		WHERE s.angler = $1 ORDER BY c.starts, c.session`, angler)
	if err != nil {
		return out, err
	}
	out.Fits, err = list[model.FitRecord](ctx, db.read, "fits", `SELECT body FROM fits WHERE angler = $1 ORDER BY seq`, angler)
	for i := range out.Fits {
		out.Fits[i].Body, out.Fits[i].Admitted = nil, nil
	}
	return out, err
}

// mostTokens bounds what is listed of one angler; nobody has so many.
const mostTokens = 10000

// gather adds what was found by the text of documents.
func (f foundRecords) gather(ctx context.Context, q queries, out *model.AnglerRecords) error {
	for _, id := range slices.Sorted(maps.Keys(f.sessions)) {
		events, err := documents[model.LoggedEvent](ctx, q, `SELECT session, id, body FROM events WHERE session = $1 ORDER BY seq, id`, id)
		if err != nil {
			return err
		}
		for _, e := range events {
			out.Events = append(out.Events, model.SessionEvent{Session: e.key, LoggedEvent: e.doc})
		}
	}
	for _, p := range f.plans {
		out.Plans = append(out.Plans, p.doc)
	}
	for _, r := range f.readings {
		out.Readings = append(out.Readings, r.doc)
	}
	for _, r := range f.reports {
		out.Reports = append(out.Reports, r.doc)
	}
	for _, m := range f.members {
		out.Members = append(out.Members, m.doc)
	}
	for _, i := range f.imports {
		report := i.doc
		if report.Angler != f.angler {
			report.Rows, _ = f.parted(report.Rows)
		}
		if len(report.Rows) > 0 || report.Angler == f.angler {
			out.Imports = append(out.Imports, report)
		}
	}
	return nil
}

// queries reads, in a transaction or outside.
type queries interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// document is a stored document under its key, which may be of two columns.
type document[T any] struct {
	key, second string
	body        string
	doc         T
}

// documents reads documents by a query of two columns of key and the body.
func documents[T any](ctx context.Context, q queries, query string, args ...any) (out []document[T], err error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, unavailable("look for what is somebody's", err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var d document[T]
		if err := rows.Scan(&d.key, &d.second, &d.body); err != nil {
			return nil, unavailable("look for what is somebody's", err)
		}
		if err := json.Unmarshal([]byte(d.body), &d.doc); err != nil {
			return nil, fmt.Errorf("read the stored document %s: %w", d.key, err)
		}
		out = append(out, d)
	}
	return out, ended("look for what is somebody's", rows)
}
