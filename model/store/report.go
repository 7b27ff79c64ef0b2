package store

import (
	"context"
	"time"

	"osier/model"
)

// PutReport keeps what somebody saw.
func (db *DB) PutReport(ctx context.Context, r model.Report) error {
	body, err := encode("report "+r.ID, r)
	if err != nil {
		return err
	}
	return db.change(ctx, "report", `INSERT INTO reports (id, water, at, body) VALUES ($1, $2, $3, $4)
		ON CONFLICT (id) DO UPDATE SET body = excluded.body WHERE reports.body <> excluded.body`, r.ID, r.Water, unix(r.At), body)
}

// Reports lists what was seen at a water in a span of time, both ends
// included, in order of time.
func (db *DB) Reports(ctx context.Context, water string, from, to time.Time) ([]model.Report, error) {
	return list[model.Report](ctx, db.read, "reports",
		`SELECT body FROM reports WHERE water = $1 AND at >= $2 AND at <= $3 ORDER BY at, id`, water, unix(from), unix(to))
}
