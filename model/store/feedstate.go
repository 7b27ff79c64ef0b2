package store

import (
	"context"
	"encoding/json"
	"time"

	"osier/model"
)

// PutFeedState keeps what is remembered of one address of a feed: validators,
// lifetime, and when it may next be asked. The state is the feed client's own
// document.
func (db *DB) PutFeedState(ctx context.Context, url string, nextAttempt time.Time, state json.RawMessage) error {
	return db.put(ctx, "feed state", `INSERT INTO feed_states (url, next_attempt, body) VALUES ($1, $2, $3)
		ON CONFLICT (url) DO UPDATE SET next_attempt = excluded.next_attempt, body = excluded.body`,
		url, unix(nextAttempt), string(state))
}

// FeedState finds what is remembered of an address; nothing when it was never
// asked.
func (db *DB) FeedState(ctx context.Context, url string) (json.RawMessage, error) {
	state, err := one[json.RawMessage](ctx, db.read, "feed state", url, `SELECT body FROM feed_states WHERE url = $1`, url)
	if model.CodeOf(err) == model.NotFound {
		return nil, nil
	}
	return state, err
}
