package store

import (
	"context"
	"time"

	"osier/model"
)

// AddFit keeps a fit and puts it in force. Fits are immutable: the same
// identifier again leaves the fit as it was made, and only puts it in force
// again.
func (db *DB) AddFit(ctx context.Context, f model.FitRecord) error {
	body, err := encode("fit "+f.ID, f)
	if err != nil {
		return err
	}
	return db.change(ctx, "fit", `INSERT INTO fits (id, angler, made_at, seq, body)
		VALUES ($1, $2, $3, (SELECT COALESCE(MAX(seq), 0) + 1 FROM fits), $4)
		ON CONFLICT (id) DO UPDATE SET seq = excluded.seq WHERE fits.seq < excluded.seq - 1`, f.ID, f.Angler, unix(f.MadeAt), body)
}

// LatestFit finds the fit of an angler, or with none named the public one, that
// is in force at an instant: of those made by then, the one added last.
func (db *DB) LatestFit(ctx context.Context, angler string, at time.Time) (model.FitRecord, error) {
	return one[model.FitRecord](ctx, db.read, "fit", "latest", `SELECT body FROM fits WHERE angler = $1 AND made_at <= $2 ORDER BY seq DESC LIMIT 1`, angler, unix(at))
}
