package feed

import (
	"context"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// turns lets one call at a time through to each host, and no faster than one
// per spacing. The hosts are the few feeds this program knows, so the map stays
// small.
type turns struct {
	spacing time.Duration
	mu      sync.Mutex
	hosts   map[string]*turn
}

type turn struct {
	taken chan struct{} // holds one token while a call is under way
	pace  *rate.Limiter
}

// take waits for the host's turn and returns what gives it back.
func (t *turns) take(ctx context.Context, host string) (giveBack func(), err error) {
	own := t.of(host)
	select {
	case own.taken <- struct{}{}:
	case <-ctx.Done():
		return nil, context.Cause(ctx)
	}
	if err := own.pace.Wait(ctx); err != nil {
		<-own.taken
		return nil, err
	}
	return func() { <-own.taken }, nil
}

func (t *turns) of(host string) *turn {
	t.mu.Lock()
	defer t.mu.Unlock()
	own := t.hosts[host]
	if own == nil {
		own = &turn{taken: make(chan struct{}, 1), pace: rate.NewLimiter(rate.Every(t.spacing), 1)}
		t.hosts[host] = own
	}
	return own
}
