package cache

import (
	"context"
	"sync"
)

// chores are what an owner has running in the background: all of it ends with
// the owner, and nothing begins after that.
type chores struct {
	// life ends when the owner is closed.
	life context.Context
	stop context.CancelFunc

	mu      sync.Mutex
	closed  bool
	running sync.WaitGroup
}

func newChores() *chores {
	life, stop := context.WithCancel(context.Background())
	return &chores{life: life, stop: stop}
}

// begin says whether a chore may still run; one that may calls end when done.
func (c *chores) begin() bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.closed {
		return false
	}
	c.running.Add(1)
	return true
}

func (c *chores) end() { c.running.Done() }

// close ends life and waits for what runs. It may be called again.
func (c *chores) close() {
	c.mu.Lock()
	c.closed = true
	c.mu.Unlock()
	c.stop()
	c.running.Wait()
}
