package cache

import (
	"context"
	"log/slog"
	"sync/atomic"
	"time"
)

// probeEvery is how often a silent server is asked whether it answers again
// (our choice: two questions a second cost nothing, and nobody misses Redis
// for half a second).
const probeEvery = 500 * time.Millisecond

// breaker keeps everybody away from a server that does not answer, and lets
// them back when it does. Only its own probe, one at a time and in the
// background, ever waits for a server that is known to be silent.
type breaker struct {
	log *slog.Logger
	// answers asks the server about a key, within a bound.
	answers func(ctx context.Context, key string) bool

	open   atomic.Bool
	faults atomic.Uint64
	chores *chores
}

func newBreaker(log *slog.Logger, answers func(context.Context, string) bool) *breaker {
	return &breaker{log: log, answers: answers, chores: newChores()}
}

func (b *breaker) allows() bool { return !b.open.Load() }

// fault records that the server did not answer about a key. The first one
// opens the breaker and starts the probe; calls that were already under way
// only count.
func (b *breaker) fault(key string, err error) {
	b.faults.Add(1)
	if !b.open.CompareAndSwap(false, true) {
		return
	}
	b.log.Warn("redis does not answer, going on without it", "error", err)
	if b.chores.begin() {
		go b.probe(key)
	}
}

// probe asks about the key that failed, since in a cluster another key may
// well live on a server that never stopped answering.
func (b *breaker) probe(key string) {
	defer b.chores.end()
	silentSince := time.Now()
	tick := time.NewTicker(probeEvery)
	defer tick.Stop()
	for {
		select {
		case <-b.chores.life.Done():
			return
		case <-tick.C:
		}
		if b.answers(b.chores.life, key) {
			b.open.Store(false)
			b.log.Info("redis answers again", "silent_s", time.Since(silentSince).Seconds())
			return
		}
	}
}

// close keeps everybody away for good.
func (b *breaker) close() {
	b.open.Store(true)
	b.chores.close()
	b.open.Store(true) // a probe may have let them back meanwhile
}
