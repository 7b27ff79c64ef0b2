package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"osier/model"
)

// foundRecords is what of an angler is found by the text of stored documents.
type foundRecords struct {
	angler   string
	sessions map[string]bool // also those that are no record yet
	plans    []document[model.Plan]
	readings []document[model.MeterReading]
	reports  []document[model.Report]
	imports  []document[model.Import]
	members  []document[model.Member]
}

// like finds the documents whose text holds a handle, and some more: an
// underscore in a handle stands for anything, and some engines ignore case. What
// is found is read and held against the handle itself.
func like(angler string) string { return "%" + angler + "%" }

// find looks for what is an angler's.
func find(ctx context.Context, q queries, angler string) (f foundRecords, err error) {
	f.angler = angler
	if f.sessions, err = sessionsOf(ctx, q, angler); err != nil {
		return f, err
	}
	if f.plans, err = documents[model.Plan](ctx, q, `SELECT id, '', body FROM plans WHERE angler = $1 ORDER BY issued_at, id`, angler); err != nil {
		return f, err
	}
	if f.readings, err = documents[model.MeterReading](ctx, q, `SELECT id, '', body FROM meter_readings WHERE body LIKE $1 ORDER BY at, id`, like(angler)); err != nil {
		return f, err
	}
	f.readings = slices.DeleteFunc(f.readings, func(r document[model.MeterReading]) bool { return r.doc.By != angler })
	if f.reports, err = documents[model.Report](ctx, q, `SELECT id, '', body FROM reports WHERE body LIKE $1 ORDER BY at, id`, like(angler)); err != nil {
		return f, err
	}
	f.reports = slices.DeleteFunc(f.reports, func(r document[model.Report]) bool { return r.doc.By != angler })
	if f.members, err = documents[model.Member](ctx, q, `SELECT id, '', body FROM members WHERE body LIKE $1 ORDER BY id`, like(angler)); err != nil {
		return f, err
	}
	f.members = slices.DeleteFunc(f.members, func(m document[model.Member]) bool { return m.doc.Angler != angler })
	f.imports, err = f.importsOf(ctx, q)
	return f, err
}

// sessionsOf names the sessions of an angler: the records, those begun under the
// angler's credential, and those whose events name the angler.
func sessionsOf(ctx context.Context, q queries, angler string) (map[string]bool, error) {
	out := map[string]bool{}
	for _, query := range []string{
		`SELECT id, '', '{}' FROM sessions WHERE angler = $1`,
		`SELECT session, '', '{}' FROM session_claims c WHERE angler = $1
			AND NOT EXISTS (SELECT 1 FROM sessions s WHERE s.id = c.session AND s.angler <> $1)`,
	} {
		ids, err := documents[struct{}](ctx, q, query, angler)
		if err != nil {
			return nil, err
		}
		for _, id := range ids {
			out[id.key] = true
		}
	}
	events, err := documents[model.LoggedEvent](ctx, q, `SELECT session, id, body FROM events e WHERE body LIKE $1
		AND NOT EXISTS (SELECT 1 FROM sessions s WHERE s.id = e.session)`, like(angler))
	if err != nil {
		return nil, err
	}
	for _, e := range events {
		if e.doc.Start != nil && e.doc.Start.Angler == angler {
			out[e.key] = true
		}
	}
	return out, nil
}

// importsOf are the reports of files that hold rows of the angler, or are all of
// the angler's.
func (f foundRecords) importsOf(ctx context.Context, q queries) ([]document[model.Import], error) {
	all, err := documents[model.Import](ctx, q, `SELECT id, '', body FROM imports ORDER BY at, id`)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(all, func(i document[model.Import]) bool {
		theirs, _ := f.parted(i.doc.Rows)
		return i.doc.Angler != f.angler && len(theirs) == 0 && !holdsWord(i.doc.File, f.angler)
	}), nil
}

// parted parts the rows of a file that are the angler's from the others.
func (f foundRecords) parted(rows []model.RowReport) (theirs, others []model.RowReport) {
	for _, r := range rows {
		if f.sessions[r.Session] || slices.ContainsFunc(r.Problems, func(p string) bool { return holdsWord(p, f.angler) }) {
			theirs = append(theirs, r)
			continue
		}
		others = append(others, r)
	}
	return theirs, others
}

// tells says whether a stored text names the angler: as a word of its own, in a
// document in any of its texts and names.
func tells(body, angler string) bool {
	if !strings.Contains(body, angler) {
		return false
	}
	var doc any
	if json.Unmarshal([]byte(body), &doc) != nil {
		return holdsWord(body, angler)
	}
	return holds(doc, func(text string) bool { return holdsWord(text, angler) })
}

// holds says whether any text or name in a document is one wanted.
func holds(doc any, wanted func(text string) bool) bool {
	switch doc := doc.(type) {
	case string:
		return wanted(doc)
	case []any:
		return slices.ContainsFunc(doc, func(v any) bool { return holds(v, wanted) })
	case map[string]any:
		for name, v := range doc {
			if wanted(name) || holds(v, wanted) {
				return true
			}
		}
	}
	return false
}

// holdsWord says whether a handle stands in a text by itself.
func holdsWord(text, handle string) bool { return wordIn(text, handle, 0) >= 0 }

// wordIn is where a handle next stands by itself in a text, from a place on, and
// -1 where it does not: no letter, digit, hyphen or underscore follows or goes
// before. A dot may: it ends sentences and names of files, so that of "VP.2" too
// much is found rather than of "VP.csv" too little.
func wordIn(text, handle string, from int) int {
	for {
		i := strings.Index(text[from:], handle)
		if i < 0 {
			return -1
		}
		at, end := from+i, from+i+len(handle)
		before, _ := utf8.DecodeLastRuneInString(text[:at])
		after, _ := utf8.DecodeRuneInString(text[end:])
		if !ofHandle(before) && !ofHandle(after) {
			return at
		}
		from = at + 1
	}
}

func ofHandle(r rune) bool {
	return r != utf8.RuneError && (unicode.IsLetter(r) || unicode.IsDigit(r) || r == '-' || r == '_')
}

// people are the tables that may tell of people, and the columns that are text.
// What is not here holds weather, times, and names of waters only; a test holds
// the list against the tables there are.
var people = map[string][]string{
	"answers": {"idempotency_key", "operation", "body"}, "clubs": {"id", "body"}, "events": {"session", "id", "body"}, "fits": {"id", "angler", "body"},
	"imports": {"id", "body"}, "job_runs": {"id", "job", "body"}, "joined": {"session", "body"}, "kits": {"angler", "body"}, "members": {"id", "body"},
	"meter_readings": {"id", "body"}, "outlook_scores": {"id", "body", "sessions"}, "outlooks": {"id", "body", "basis"}, "plans": {"id", "angler", "body"}, "public_rows": {"session", "body"},
	"reports": {"id", "body"}, "restrictions": {"id", "body"}, "scores": {"session", "plan", "body"}, "session_claims": {"session", "angler"},
	"session_shares": {"session", "club"}, "sessions": {"id", "identity", "angler", "body"}, "sign_ins": {"digest", "body"},
	"pending_sign_ins": {"digest", "body"}, "tokens": {"id", "digest", "angler", "made_by", "body"}, "waters": {"id", "body"},
}

// Mentions counts, by table, the rows that hold a handle as a word of its own.
func (db *DB) Mentions(ctx context.Context, angler string) (map[string]int, error) {
	out := map[string]int{}
	for table, columns := range people {
		n, err := db.mentionsIn(ctx, table, columns, angler)
		if err != nil {
			return nil, err
		}
		if n > 0 {
			out[table] = n
		}
	}
	return out, nil
}

func (db *DB) mentionsIn(ctx context.Context, table string, columns []string, angler string) (n int, err error) {
	rows, err := db.read.QueryContext(ctx, fmt.Sprintf(`SELECT %s FROM %s WHERE %s LIKE $1`,
		strings.Join(columns, ", "), table, strings.Join(columns, " LIKE $1 OR ")), like(angler))
	if err != nil {
		return 0, unavailable("search "+table, err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	texts, into := make([]string, len(columns)), make([]any, len(columns))
	for i := range texts {
		into[i] = &texts[i]
	}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return 0, unavailable("search "+table, err)
		}
		if slices.ContainsFunc(texts, func(text string) bool { return tells(text, angler) }) {
			n++
		}
	}
	return n, ended("search "+table, rows)
}
