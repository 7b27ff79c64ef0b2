package store

import (
	"context"
	"time"

	"osier/model"
)

// AddPlan keeps a plan as issued. A plan is never changed: one whose identifier is
// stored already is a Conflict, and leaves the first as it is. A power cut may
// take a plan that nothing was stored after: whatever refers to it takes it to the
// disk along with itself.
func (db *DB) AddPlan(ctx context.Context, p model.Plan) error {
	body, err := encode("plan "+p.ID, p)
	if err != nil {
		return err
	}
	return db.issue(ctx, func(by doer) error {
		n, err := exec(ctx, by, "plan", issuePlan, p.ID, p.Water, unix(p.Start), unix(p.IssuedAt), p.Question.Angler, body)
		if err == nil && n == 0 {
			err = &model.Error{Code: model.Conflict, Field: "plan " + p.ID, Wrong: "this plan was issued already", Right: "read it instead"}
		}
		return err
	})
}

// Plan finds a plan as it was issued.
func (db *DB) Plan(ctx context.Context, id string) (model.Plan, error) {
	return one[model.Plan](ctx, db.often.plan, "plan", id, planByID, id)
}

// PlansOf lists the plans issued to an angler for sessions that begin in a span of
// time, in the order in which they begin: of more than limit those that begin
// first. Nobody in particular has none.
func (db *DB) PlansOf(ctx context.Context, angler string, from, to time.Time, limit int) ([]model.Plan, error) {
	return list[model.Plan](ctx, db.read, "plans", `SELECT body FROM plans WHERE angler = $1 AND angler <> '' AND starts >= $2 AND starts < $3
		ORDER BY starts, issued_at, id LIMIT $4`, angler, unix(from), unix(to), limit)
}
