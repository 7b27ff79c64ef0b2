package cache

import (
	"context"
	"time"
)

// Tiered is a cache in this process in front of a Redis that replicas share. A
// hit in front never leaves the process.
//
// A value that another replica replaced is still given from the front for as
// long as it had, so keys must carry the version of what they name, and what
// says which version is current must be kept only briefly.
type Tiered struct {
	front *InProcess
	back  *Redis
}

// NewTiered puts a cache in this process in front of Redis, and closes both
// when it is closed.
func NewTiered(front *InProcess, back *Redis) *Tiered { return &Tiered{front: front, back: back} }

// Get finds a live entry in front or else behind, and then keeps it in front
// for the time that it still has.
func (t *Tiered) Get(ctx context.Context, key string) ([]byte, bool) {
	if value, ok := t.front.Get(ctx, key); ok {
		return value, true
	}
	return t.Renew(ctx, key)
}

// Renew looks behind whatever the front holds, and keeps what it finds in
// front.
func (t *Tiered) Renew(ctx context.Context, key string) ([]byte, bool) {
	value, remaining, ok := t.back.getRemaining(ctx, key)
	if ok {
		t.front.Put(ctx, key, value, remaining)
	}
	return value, ok
}

// Put keeps an entry in front and behind.
//
// It waits for Redis rather than leaving that to a queue: a replica that waits
// for this value looks for it as soon as the claim on it is released, the wait
// is a tenth of a millisecond after work that took far longer, and a silent
// Redis costs it 100 ms once. A queue would need a bound, a rule for what to
// drop and an end.
func (t *Tiered) Put(ctx context.Context, key string, value []byte, keep time.Duration) {
	t.front.Put(ctx, key, value, keep)
	t.back.Put(ctx, key, value, keep)
}

// Claim tells the other replicas that this one is computing a key.
func (t *Tiered) Claim(ctx context.Context, key string, keep time.Duration) (release func(), taken bool) {
	return t.back.Claim(ctx, key, keep)
}

// Close closes both caches. It may be called again.
func (t *Tiered) Close() {
	t.front.Close()
	t.back.Close()
}
