package store

import (
	"context"
	"time"

	"osier/model"
)

// forever is the end of a restriction that holds until it is lifted.
var forever = time.Date(9999, 12, 31, 23, 59, 59, 0, time.UTC)

// PutRestriction keeps a restriction as it was made. What is stored under the
// same identifier stays as it is.
func (db *DB) PutRestriction(ctx context.Context, r model.Restriction) error {
	body, err := encode("restriction "+r.ID, r)
	if err != nil {
		return err
	}
	return db.change(ctx, "restriction", `INSERT INTO restrictions (id, club, water, starts, ends, body) VALUES ($1, $2, $3, $4, $5, $6)
		ON CONFLICT DO NOTHING`, r.ID, r.Club, r.Water, unix(r.From), unix(r.Until.Or(forever)), body)
}

// LiftRestriction keeps that a restriction was lifted. One that is lifted already
// stays as it is.
func (db *DB) LiftRestriction(ctx context.Context, r model.Restriction) error {
	body, err := encode("restriction "+r.ID, r)
	if err != nil {
		return err
	}
	return db.change(ctx, "restriction", `UPDATE restrictions SET lifted_at = $2, body = $3 WHERE id = $1 AND lifted_at IS NULL`,
		r.ID, unix(r.LiftedAt.Value), body)
}

// Restriction finds one restriction, lifted or not.
func (db *DB) Restriction(ctx context.Context, id string) (model.Restriction, error) {
	return one[model.Restriction](ctx, db.read, "restriction", id, `SELECT body FROM restrictions WHERE id = $1`, id)
}

// Restrictions lists those made for any part of a span of time at a water, in the
// order in which they begin, those lifted since among them. They hold from their
// beginning, which counts, to their end, which does not.
func (db *DB) Restrictions(ctx context.Context, water string, from, to time.Time) ([]model.Restriction, error) {
	return list[model.Restriction](ctx, db.read, "restrictions", `SELECT body FROM restrictions
		WHERE water = $1 AND starts < $3 AND ends > $2 ORDER BY starts, id`, water, unix(from), unix(to))
}

// ClubRestrictions lists at most limit of a club's restrictions that hold in any
// part of a span of time, in the order in which they begin, from after the one
// named by its beginning and its identifier on; from the first where no
// identifier is given.
func (db *DB) ClubRestrictions(ctx context.Context, club string, from, to, afterStart time.Time, afterID string, limit int) ([]model.Restriction, error) {
	return list[model.Restriction](ctx, db.read, "restrictions", `SELECT body FROM restrictions
		WHERE club = $1 AND starts < $3 AND ends > $2 AND (lifted_at IS NULL OR lifted_at > $2 AND lifted_at > starts)
		AND ($5 = '' OR starts > $4 OR starts = $4 AND id > $5)
		ORDER BY starts, id LIMIT $6`, club, unix(from), unix(to), unix(afterStart), afterID, limit)
}
