package store

import (
	"context"

	"osier/model"
)

// Import finds the report of one imported file.
func (db *DB) Import(ctx context.Context, id string) (model.Import, error) {
	return one[model.Import](ctx, db.read, "import", id, `SELECT body FROM imports WHERE id = $1`, id)
}
