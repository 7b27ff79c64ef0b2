package store

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"strings"
	"time"

	"osier/model"
)

// forgetting is the transaction in which an angler is forgotten.
type forgetting struct {
	foundRecords
	tx    *sql.Tx
	at    time.Time
	ended map[string]bool // credentials that let the angler in
	out   *model.Erasure
}

// ForgetAngler deletes what is an angler's, and takes the handle from what stays:
// what was seen at a water, credentials that are ended, files of several people's
// records, runs that named the angler. Fits stay for ForgetFits, since the next
// public one is made from the one before. All of it is done, or none.
func (db *DB) ForgetAngler(ctx context.Context, angler string, at time.Time) (model.Erasure, error) {
	out := model.Erasure{At: at, Deleted: map[string]int{}, Nameless: map[string]int{}, Fits: []string{}}
	err := db.inTx(ctx, func(tx *sql.Tx) error {
		found, err := find(ctx, tx, angler)
		if err != nil {
			return err
		}
		f := forgetting{foundRecords: found, tx: tx, at: at, ended: map[string]bool{}, out: &out}
		for _, step := range []func(context.Context) error{f.forgetSessions, f.forgetTackle, f.forgetImports, f.forgetReports, f.forgetCredentials, f.forgetAnswers, f.forgetRuns} {
			if err := step(ctx); err != nil {
				return err
			}
		}
		return revise(ctx, tx)
	})
	return out, err
}

// delete counts what a statement deletes of a table.
func (f forgetting) delete(ctx context.Context, table, where string, args ...any) error {
	n, err := exec(ctx, f.tx, "deletion of "+table, fmt.Sprintf(`DELETE FROM %s WHERE %s`, table, where), args...)
	f.count(f.out.Deleted, table, n)
	return err
}

// rewrite counts what of a table stays without the handle.
func (f forgetting) rewrite(ctx context.Context, table, set string, args ...any) error {
	n, err := exec(ctx, f.tx, "removal of a name from "+table, fmt.Sprintf(`UPDATE %s SET %s`, table, set), args...)
	f.count(f.out.Nameless, table, n)
	return err
}

func (f forgetting) count(in map[string]int, table string, n int64) {
	if n > 0 {
		in[table] += int(n)
	}
}

func (f forgetting) forgetSessions(ctx context.Context) error {
	for id := range f.sessions {
		for _, table := range []string{"scores", "joined", "public_rows", "session_shares", "session_claims", "events"} {
			if err := f.delete(ctx, table, `session = $1`, id); err != nil {
				return err
			}
		}
		if err := f.delete(ctx, "sessions", `id = $1`, id); err != nil {
			return err
		}
		if err := withdrawOutlookScores(ctx, f.tx, id); err != nil {
			return err
		}
	}
	return f.delete(ctx, "session_claims", `angler = $1`, f.angler)
}

// forgetTackle deletes the kit, the plans and the readings.
func (f forgetting) forgetTackle(ctx context.Context) error {
	if err := f.delete(ctx, "kits", `angler = $1`, f.angler); err != nil {
		return err
	}
	for _, p := range f.plans {
		if err := f.delete(ctx, "plans", `id = $1`, p.key); err != nil {
			return err
		}
	}
	for _, r := range f.readings {
		if err := f.delete(ctx, "meter_readings", `id = $1`, r.key); err != nil {
			return err
		}
	}
	return nil
}

// forgetImports deletes the reports of the angler's files, and their rows from
// those of others.
func (f forgetting) forgetImports(ctx context.Context) error {
	for _, i := range f.imports {
		_, others := f.parted(i.doc.Rows)
		if i.doc.Angler == f.angler || len(others) == 0 {
			if err := f.delete(ctx, "imports", `id = $1`, i.key); err != nil {
				return err
			}
			continue
		}
		report := i.doc
		report.Rows = others
		if holdsWord(report.File, f.angler) {
			report.File = ""
		}
		body, err := encode("import "+i.key, report)
		if err != nil {
			return err
		}
		if err := f.rewrite(ctx, "imports", `body = $2 WHERE id = $1`, i.key, body); err != nil {
			return err
		}
	}
	return nil
}

// forgetReports leaves what was seen, which bears on everybody's safety, and not
// who saw it. Words that name the angler go with the name.
func (f forgetting) forgetReports(ctx context.Context) error {
	for _, r := range f.reports {
		report := r.doc
		report.By = ""
		if holdsWord(report.Note, f.angler) {
			report.Note = ""
		}
		body, err := encode("report "+r.key, report)
		if err != nil {
			return err
		}
		if err := f.rewrite(ctx, "reports", `body = $2 WHERE id = $1`, r.key, body); err != nil {
			return err
		}
	}
	return nil
}

// forgetCredentials ends what let the angler in. The rows stay, without the
// angler: a store in which a credential was ever made must not open to whoever
// comes, as one without any does.
func (f forgetting) forgetCredentials(ctx context.Context) error {
	tokens, err := documents[model.Token](ctx, f.tx, `SELECT id, '', body FROM tokens WHERE angler = $1`, f.angler)
	if err != nil {
		return err
	}
	for _, t := range tokens {
		f.ended[t.key] = true
		if err := revoke(ctx, f.tx, t.key, f.at); err != nil {
			return err
		}
		body, err := encode("token "+t.key, model.Token{ID: t.doc.ID, Role: t.doc.Role, ReadOnly: t.doc.ReadOnly, MadeAt: t.doc.MadeAt, MadeBy: t.doc.MadeBy, ExpiresAt: t.doc.ExpiresAt})
		if err != nil {
			return err
		}
		if err := f.rewrite(ctx, "tokens", `angler = '', body = $2 WHERE id = $1`, t.key, body); err != nil {
			return err
		}
	}
	for _, m := range f.members {
		f.ended[m.key] = true
		if err := revoke(ctx, f.tx, m.key, f.at); err != nil {
			return err
		}
		body, err := encode("member "+m.key, model.Member{ID: m.doc.ID, Role: m.doc.Role, AddedAt: m.doc.AddedAt})
		if err != nil {
			return err
		}
		if err := f.rewrite(ctx, "members", `removed_at = COALESCE(removed_at, $3), body = $2 WHERE id = $1`, m.key, body, unix(f.at)); err != nil {
			return err
		}
	}
	signIns, err := documents[model.SignIn](ctx, f.tx, `SELECT digest, '', body FROM sign_ins`)
	if err != nil {
		return err
	}
	for _, in := range signIns {
		if f.ended[in.doc.Token] || f.ended[in.doc.Member] {
			if err := f.delete(ctx, "sign_ins", `digest = $1`, in.key); err != nil {
				return err
			}
		}
	}
	return nil
}

// forgetAnswers deletes what was answered to writes that were the angler's, by the
// credential that their keys begin with, or told of them. One of those writes sent
// again is a new one.
func (f forgetting) forgetAnswers(ctx context.Context) error {
	for credential := range f.ended {
		if err := f.delete(ctx, "answers", `idempotency_key LIKE $1`, credential+"/%"); err != nil {
			return err
		}
	}
	answers, err := documents[any](ctx, f.tx, `SELECT idempotency_key, operation, CASE WHEN body LIKE '{%' THEN body ELSE 'null' END FROM answers
		WHERE body LIKE $1 OR operation LIKE '%/sessions/%' OR operation LIKE $1 OR idempotency_key LIKE $1`, like(f.angler))
	if err != nil {
		return err
	}
	for _, a := range answers {
		theirs := holdsWord(a.key, f.angler) || holdsWord(a.second, f.angler) || holds(a.doc, func(text string) bool { return holdsWord(text, f.angler) || f.sessions[text] })
		for id := range f.sessions {
			theirs = theirs || slices.Contains(strings.Split(a.second, "/"), id)
		}
		if !theirs {
			continue
		}
		if err := f.delete(ctx, "answers", `idempotency_key = $1 AND operation = $2`, a.key, a.second); err != nil {
			return err
		}
	}
	return nil
}

// unnamed stands where a handle stood in what a run said.
const unnamed = "an angler"

func (f forgetting) forgetRuns(ctx context.Context) error {
	runs, err := documents[model.JobRun](ctx, f.tx, `SELECT id, job, body FROM job_runs WHERE body LIKE $1`, like(f.angler))
	if err != nil {
		return err
	}
	for _, r := range runs {
		if !holdsWord(r.doc.Error, f.angler) {
			continue
		}
		run := r.doc
		for at := wordIn(run.Error, f.angler, 0); at >= 0; at = wordIn(run.Error, f.angler, at+len(unnamed)) {
			run.Error = run.Error[:at] + unnamed + run.Error[at+len(f.angler):]
		}
		body, err := encode("run of "+run.Job, run)
		if err != nil {
			return err
		}
		if err := f.rewrite(ctx, "job_runs", `body = $2 WHERE id = $1`, r.key, body); err != nil {
			return err
		}
	}
	return nil
}

// ForgetFits deletes the fits that are an angler's own or that read a session of
// theirs, but for those named to be kept, and says which.
func (db *DB) ForgetFits(ctx context.Context, angler string, keep []string) (gone []string, err error) {
	err = db.inTx(ctx, func(tx *sql.Tx) error {
		fits, err := documents[any](ctx, tx, `SELECT id, angler, body FROM fits WHERE angler = $1 OR body LIKE $2 ORDER BY seq`, angler, like(angler))
		if err != nil {
			return err
		}
		for _, fit := range fits {
			if slices.Contains(keep, fit.key) || fit.second != angler && !holds(fit.doc, func(text string) bool { return text == angler }) {
				continue
			}
			if _, err := exec(ctx, tx, "deletion of the fit", `DELETE FROM fits WHERE id = $1`, fit.key); err != nil {
				return err
			}
			gone = append(gone, fit.key)
		}
		return reviseIf(ctx, tx, int64(len(gone)))
	})
	return gone, err
}
