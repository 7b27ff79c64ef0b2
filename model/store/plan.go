package store

import (
	"context"

	"osier/model"
)

// AddPlan keeps a plan as issued. A plan is never changed: the same identifier
// again leaves the first.
func (db *DB) AddPlan(ctx context.Context, p model.Plan) error {
	body, err := encode("plan "+p.ID, p)
	if err != nil {
		return err
	}
	return db.put(ctx, "plan", `INSERT INTO plans (id, water, starts, issued_at, body)
		VALUES ($1, $2, $3, $4, $5) ON CONFLICT (id) DO NOTHING`, p.ID, p.Water, unix(p.Start), unix(p.IssuedAt), body)
}

// Plan finds a plan as it was issued.
func (db *DB) Plan(ctx context.Context, id string) (model.Plan, error) {
	return one[model.Plan](ctx, db.read, "plan", id, `SELECT body FROM plans WHERE id = $1`, id)
}
