package store

import (
	"context"

	"osier/model"
)

// PutClub keeps a club, in place of what was stored under its identifier.
func (db *DB) PutClub(ctx context.Context, c model.Club) error {
	body, err := encode("club "+c.ID, c)
	if err != nil {
		return err
	}
	return db.change(ctx, "club", `INSERT INTO clubs (id, body) VALUES ($1, $2)
		ON CONFLICT (id) DO UPDATE SET body = excluded.body WHERE clubs.body <> excluded.body`, c.ID, body)
}

// Club finds one club.
func (db *DB) Club(ctx context.Context, id string) (model.Club, error) {
	return one[model.Club](ctx, db.read, "club", id, `SELECT body FROM clubs WHERE id = $1`, id)
}

// Clubs lists at most limit clubs by identifier, those after the one named.
func (db *DB) Clubs(ctx context.Context, after string, limit int) ([]model.Club, error) {
	return list[model.Club](ctx, db.read, "clubs", `SELECT body FROM clubs WHERE id > $1 ORDER BY id LIMIT $2`, after, limit)
}
