package cache

import (
	"context"
	"time"
)

// Cache keeps bytes under a key for a time.
//
// An implementation must never block without bound, must be safe for many
// goroutines, must not keep more than its bound, and must treat its own faults
// as misses. Callers must not change bytes they were given or have given.
type Cache interface {
	// Get finds a live entry.
	Get(ctx context.Context, key string) (value []byte, ok bool)
	// Put keeps an entry for the given time; nothing is kept when the time is
	// not positive.
	Put(ctx context.Context, key string, value []byte, keep time.Duration)
}
