package store

import (
	"context"
	"database/sql"

	"osier/model"
)

// PutWater keeps a water with its pegs, replacing what was there. Where it
// changed, the states of its model are deleted along with it.
func (db *DB) PutWater(ctx context.Context, w model.Water) error {
	body, err := encode("water "+w.ID, w)
	if err != nil {
		return err
	}
	return db.inTx(ctx, func(tx *sql.Tx) error {
		n, err := exec(ctx, tx, "water", `INSERT INTO waters (id, body) VALUES ($1, $2)
			ON CONFLICT (id) DO UPDATE SET body = excluded.body WHERE waters.body <> excluded.body`, w.ID, body)
		if err != nil || n == 0 {
			return err
		}
		if err := forgetStatesOf(ctx, tx, w.ID); err != nil {
			return err
		}
		return revise(ctx, tx)
	})
}

// Water finds one water.
func (db *DB) Water(ctx context.Context, id string) (model.Water, error) {
	return one[model.Water](ctx, db.read, "water", id, `SELECT body FROM waters WHERE id = $1`, id)
}

// Waters lists waters by identifier, from the one after the given identifier
// on, at most limit.
func (db *DB) Waters(ctx context.Context, after string, limit int) ([]model.Water, error) {
	return list[model.Water](ctx, db.read, "waters", `SELECT body FROM waters WHERE id > $1 ORDER BY id LIMIT $2`, after, limit)
}
