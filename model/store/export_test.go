package store

import "context"

// WritersTurn is what a writer holds while it writes.
const WritersTurn = writersTurn

// Whole asks the engine whether the file is in order.
func (db *DB) Whole(ctx context.Context) error { return db.whole(ctx) }
