package cache

import (
	"context"
	"fmt"
	"time"

	"github.com/maypok86/otter/v2"
)

// InProcess is a cache in the memory of this process, bounded by the bytes it
// holds.
type InProcess struct {
	entries *otter.Cache[string, entry]
}

type entry struct {
	value []byte
	keep  time.Duration
}

// NewInProcess makes a cache of at most maxBytes of keys and values.
func NewInProcess(maxBytes uint64) (*InProcess, error) {
	entries, err := otter.New(&otter.Options[string, entry]{
		MaximumWeight:    maxBytes,
		Weigher:          func(key string, e entry) uint32 { return uint32(len(key) + len(e.value)) },
		ExpiryCalculator: otter.ExpiryWritingFunc(func(e otter.Entry[string, entry]) time.Duration { return e.Value.keep }),
	})
	if err != nil {
		return nil, fmt.Errorf("make the in-process cache: %w", err)
	}
	return &InProcess{entries: entries}, nil
}

// Get finds a live entry.
func (c *InProcess) Get(_ context.Context, key string) ([]byte, bool) {
	e, ok := c.entries.GetIfPresent(key)
	return e.value, ok
}

// Put keeps an entry for the given time.
func (c *InProcess) Put(_ context.Context, key string, value []byte, keep time.Duration) {
	if keep <= 0 {
		return
	}
	c.entries.Set(key, entry{value: value, keep: keep})
}

// Close stops the cache's own goroutines.
func (c *InProcess) Close() { c.entries.StopAllGoroutines() }
