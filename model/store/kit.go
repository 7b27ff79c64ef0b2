package store

import (
	"context"

	"osier/model"
)

// PutKit keeps an angler's kit, replacing what was there.
func (db *DB) PutKit(ctx context.Context, k model.Kit) error {
	body, err := encode("kit of "+k.Angler, k)
	if err != nil {
		return err
	}
	return db.change(ctx, "kit", `INSERT INTO kits (angler, body) VALUES ($1, $2)
		ON CONFLICT (angler) DO UPDATE SET body = excluded.body WHERE kits.body <> excluded.body`, k.Angler, body)
}

// Kit finds an angler's kit.
func (db *DB) Kit(ctx context.Context, angler string) (model.Kit, error) {
	return one[model.Kit](ctx, db.read, "kit", angler, `SELECT body FROM kits WHERE angler = $1`, angler)
}
