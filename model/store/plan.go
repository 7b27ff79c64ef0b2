package store

import (
	"context"
	"time"

	"osier/model"
)

// AddPlan keeps a plan as issued. A plan is never changed: the same identifier
// again leaves the first.
func (db *DB) AddPlan(ctx context.Context, p model.Plan) error {
	body, err := encode("plan "+p.ID, p)
	if err != nil {
		return err
	}
	return db.put(ctx, "plan", `INSERT INTO plans (id, water, starts, issued_at, angler, body)
		VALUES ($1, $2, $3, $4, $5, $6) ON CONFLICT (id) DO NOTHING`, p.ID, p.Water, unix(p.Start), unix(p.IssuedAt), p.Question.Angler, body)
}

// Plan finds a plan as it was issued.
func (db *DB) Plan(ctx context.Context, id string) (model.Plan, error) {
	return one[model.Plan](ctx, db.read, "plan", id, `SELECT body FROM plans WHERE id = $1`, id)
}

// PlansOf lists the plans issued to an angler for sessions that begin in a span of
// time, in the order in which they begin: of more than limit those that begin
// first. Nobody in particular has none.
func (db *DB) PlansOf(ctx context.Context, angler string, from, to time.Time, limit int) ([]model.Plan, error) {
	return list[model.Plan](ctx, db.read, "plans", `SELECT body FROM plans WHERE angler = $1 AND angler <> '' AND starts >= $2 AND starts < $3
		ORDER BY starts, issued_at, id LIMIT $4`, angler, unix(from), unix(to), limit)
}
