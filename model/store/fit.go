package store

import (
	"context"
	"database/sql"
	"time"

	"osier/model"
)

// AddFit keeps a fit and puts it in force. Fits are immutable: the same
// identifier again leaves the fit as it was made, and only puts it in force
// again.
func (db *DB) AddFit(ctx context.Context, f model.FitRecord) error {
	return db.inTx(ctx, func(tx *sql.Tx) error {
		n, err := addFit(ctx, tx, f)
		if err != nil || n == 0 {
			return err
		}
		return revise(ctx, tx)
	})
}

func addFit(ctx context.Context, tx *sql.Tx, f model.FitRecord) (written int64, err error) {
	body, err := encode("fit "+f.ID, f)
	if err != nil {
		return 0, err
	}
	return exec(ctx, tx, "fit", `INSERT INTO fits (id, angler, made_at, seq, body)
		VALUES ($1, $2, $3, (SELECT COALESCE(MAX(seq), 0) + 1 FROM fits), $4)
		ON CONFLICT (id) DO UPDATE SET seq = excluded.seq WHERE fits.seq < excluded.seq - 1`, f.ID, f.Angler, unix(f.MadeAt), body)
}

// AddPublicFit keeps a public fit as AddFit does, and with it, in one transaction,
// the rows that it read otherwise than the public fit before it; what is gone it
// did not read any more. A session deleted meanwhile is passed over.
func (db *DB) AddPublicFit(ctx context.Context, f model.FitRecord, read []model.JoinedSession, gone []string) error {
	return db.inTx(ctx, func(tx *sql.Tx) error {
		changed, err := addFit(ctx, tx, f)
		if err != nil {
			return err
		}
		for _, j := range read {
			body, err := encode("row "+j.Session, j)
			if err != nil {
				return err
			}
			n, err := exec(ctx, tx, "row of the public fit", `INSERT INTO public_rows (session, body)
				SELECT $1, $2 WHERE EXISTS (SELECT 1 FROM sessions WHERE id = $1)
				ON CONFLICT (session) DO UPDATE SET body = excluded.body WHERE public_rows.body <> excluded.body`, j.Session, body)
			if err != nil {
				return err
			}
			changed += n
		}
		for _, id := range gone {
			n, err := exec(ctx, tx, "row of the public fit", `DELETE FROM public_rows WHERE session = $1`, id)
			if err != nil {
				return err
			}
			changed += n
		}
		if changed == 0 {
			return nil
		}
		return revise(ctx, tx)
	})
}

// PublicRows lists the sessions that the public fit in force read, as it read
// them, of those that are joined otherwise now or wait to be joined again.
func (db *DB) PublicRows(ctx context.Context) ([]model.JoinedSession, error) {
	return list[model.JoinedSession](ctx, db.read, "rows of the public fit", `SELECT public_rows.body FROM public_rows
		LEFT JOIN joined ON joined.session = public_rows.session
		WHERE joined.body IS NULL OR joined.body <> public_rows.body ORDER BY public_rows.session`)
}

// LatestFit finds the fit of an angler, or with none named the public one, that
// is in force at an instant: of those made by then, the one added last.
func (db *DB) LatestFit(ctx context.Context, angler string, at time.Time) (model.FitRecord, error) {
	return one[model.FitRecord](ctx, db.read, "fit", "latest", `SELECT body FROM fits WHERE angler = $1 AND made_at <= $2 ORDER BY seq DESC LIMIT 1`, angler, unix(at))
}
