package auth

import (
	"fmt"
	"net/netip"
	"time"

	"github.com/maypok86/otter/v2"
	"golang.org/x/time/rate"
)

// Limit is how often something may be done: so many at once, and then so many a
// second.
type Limit struct {
	Burst   int
	PerSecs float64
}

// Limits on requests. They are wide for people and their devices and narrow for
// machines that go through everything. Our choice.
var (
	// PerAddress is of requests without a credential. Members behind one router
	// share an address.
	PerAddress = Limit{Burst: 200, PerSecs: 20}
	PerToken   = Limit{Burst: 200, PerSecs: 20}
	// PerOpenHouse is of one's own machine, where nobody else can ask.
	PerOpenHouse = Limit{Burst: 100_000, PerSecs: 20_000}
	// PerFailure is of credentials that open nothing. A secret of 256 bits is not
	// guessed at any pace; this keeps who tries from costing anything.
	PerFailure = Limit{Burst: 20, PerSecs: 0.2}
)

// Bounds of the map of limiters: strangers decide what stands in it, so it must
// neither grow without end nor remember for ever. One that was not asked for so
// long is full again for every limit above. Our choice.
const (
	mostLimiters = 100_000
	forgetAfter  = 10 * time.Minute
)

// Limiter holds each of many to a limit.
type Limiter struct {
	limiters *otter.Cache[string, *rate.Limiter]
}

// NewLimiter makes a limiter that has seen nobody.
func NewLimiter() (*Limiter, error) {
	limiters, err := otter.New(&otter.Options[string, *rate.Limiter]{
		MaximumSize:      mostLimiters,
		ExpiryCalculator: otter.ExpiryAccessing[string, *rate.Limiter](forgetAfter),
	})
	if err != nil {
		return nil, fmt.Errorf("make the rate limiter: %w", err)
	}
	return &Limiter{limiters: limiters}, nil
}

// Close stops what the limiter has running.
func (l *Limiter) Close() { l.limiters.StopAllGoroutines() }

// Take counts one more of a kind by somebody at an instant, and says how long
// they have to wait where it is one too many; nothing is counted then.
func (l *Limiter) Take(kind, who string, limit Limit, at time.Time) (wait time.Duration) {
	booked := l.of(kind, who, limit).ReserveN(at, 1)
	if wait = booked.DelayFrom(at); wait > 0 {
		booked.CancelAt(at)
	}
	return wait
}

// Spent says how long somebody has to wait until one more would be taken, and
// counts nothing.
func (l *Limiter) Spent(kind, who string, limit Limit, at time.Time) (wait time.Duration) {
	left := l.of(kind, who, limit).TokensAt(at)
	if left >= 1 {
		return 0
	}
	return time.Duration((1 - left) / limit.PerSecs * float64(time.Second))
}

// Seen says whether somebody was counted lately.
func (l *Limiter) Seen(kind, who string) bool {
	_, ok := l.limiters.GetIfPresent(kind + " " + who)
	return ok
}

func (l *Limiter) of(kind, who string, limit Limit) *rate.Limiter {
	key := kind + " " + who
	if found, ok := l.limiters.GetIfPresent(key); ok {
		return found
	}
	found, _ := l.limiters.ComputeIfAbsent(key, func() (*rate.Limiter, bool) {
		return rate.NewLimiter(rate.Limit(limit.PerSecs), limit.Burst), false
	})
	return found
}

// Neighbourhood is what of an address counts as one asker: all of IPv4, and of
// IPv6 the 64 bits that a household is given at least (RFC 6177).
func Neighbourhood(address string) string {
	ip, err := netip.ParseAddr(address)
	if err != nil {
		return address
	}
	if ip = ip.Unmap(); ip.Is4() {
		return ip.String()
	}
	household, err := ip.WithZone("").Prefix(64)
	if err != nil {
		return address
	}
	return household.String()
}
