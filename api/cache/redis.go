package cache

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"sync/atomic"
	"time"

	"github.com/redis/go-redis/v9"
	"github.com/redis/go-redis/v9/maintnotifications"
)

// redisLimit is the most that a call may wait for Redis, whatever it is
// waiting for: a connection, a turn, or the answer.
const redisLimit = 100 * time.Millisecond

// RedisOptions say which Redis and how.
type RedisOptions struct {
	// Address is one of
	//
	//	redis://[user:password@]host[:port][/database]         a single server
	//	redis://[user:password@]host[:port],host[:port]...     a cluster
	//	redis+sentinel://[user:password@]host[:port][,...]/master[/database]
	//
	// and with rediss in place of redis the connections are encrypted.
	Address string
	// Prefix stands before every key and must not be empty. Programs that
	// write different things under the same key need different prefixes.
	Prefix string
	// Log is told when Redis falls silent, refuses, and answers again, and
	// gets the library's own lines at debug level. The library knows one
	// logger for the whole process; the last Redis made sets it.
	Log *slog.Logger
}

// Redis is a cache that replicas share. How much it holds is bounded by the
// server's own maxmemory and eviction policy.
//
// A server that does not answer costs each call under way at most 100 ms;
// after that every call is a miss at once until a probe in the background
// finds that it answers again.
type Redis struct {
	client  redis.UniversalClient
	limit   time.Duration
	prefix  string
	token   string // of this replica's claims
	log     *slog.Logger
	breaker *breaker
	refuses atomic.Bool
	closing sync.Once
}

// NewRedis makes the cache. It does not connect: Redis may come later, or not
// at all.
func NewRedis(o RedisOptions) (*Redis, error) { return newRedis(o, redisLimit) }

func newRedis(o RedisOptions, limit time.Duration) (*Redis, error) {
	options, err := parseRedisAddress(o.Address)
	if err != nil {
		return nil, err
	}
	if o.Prefix == "" {
		return nil, errors.New("keys in Redis need a prefix")
	}
	options.ContextTimeoutEnabled = true // or a silent server holds the caller for seconds
	options.MaxRetries = -1
	options.DialerRetries = 1
	options.DialTimeout, options.ReadTimeout, options.WriteTimeout, options.PoolTimeout = limit, limit, limit, limit
	options.DisableIdentity = true // older and managed servers reject both handshakes
	options.MaintNotificationsConfig = &maintnotifications.Config{Mode: maintnotifications.ModeDisabled}
	options.PipelinePoolSize = -1 // pipelines of two commands need no connections of their own
	redis.SetLogger(redisLog{o.Log})
	r := &Redis{client: redis.NewUniversalClient(options), limit: limit, prefix: o.Prefix, token: rand.Text(), log: o.Log}
	r.breaker = newBreaker(o.Log, r.answers)
	return r, nil
}

// Get finds a live entry.
func (r *Redis) Get(ctx context.Context, key string) ([]byte, bool) {
	var value []byte
	name := r.valueName(key)
	ok := r.ask(ctx, name, func(ctx context.Context) (err error) {
		value, err = r.client.Get(ctx, name).Bytes()
		return err
	})
	return value, ok
}

// getRemaining finds a live entry and how long it still has.
func (r *Redis) getRemaining(ctx context.Context, key string) (value []byte, remaining time.Duration, ok bool) {
	name := r.valueName(key)
	ok = r.ask(ctx, name, func(ctx context.Context) error {
		p := r.client.Pipeline()
		// The time is asked first: should the entry be replaced between the two,
		// the new value is kept for the shorter time of the old one.
		left, got := p.PTTL(ctx, name), p.Get(ctx, name)
		if _, err := p.Exec(ctx); err != nil {
			return err
		}
		var err error
		value, err = got.Bytes()
		remaining = left.Val()
		return err
	})
	return value, remaining, ok && remaining > 0
}

// Put keeps an entry for the given time.
func (r *Redis) Put(ctx context.Context, key string, value []byte, keep time.Duration) {
	if keep <= 0 {
		return
	}
	name := r.valueName(key)
	r.ask(ctx, name, func(ctx context.Context) error { return r.client.Set(ctx, name, value, keep).Err() })
}

// Answering is false from the moment that Redis was found silent until it
// answers again.
func (r *Redis) Answering() bool { return r.breaker.allows() }

// Faults counts the calls that Redis did not answer.
func (r *Redis) Faults() uint64 { return r.breaker.faults.Load() }

// Close ends the probe and the connections. After it every call is a miss. It
// may be called again.
func (r *Redis) Close() {
	r.closing.Do(func() {
		r.breaker.close()
		if err := r.client.Close(); err != nil {
			r.log.Debug("close redis", "error", err)
		}
	})
}

func (r *Redis) valueName(key string) string { return r.prefix + "value/" + key }

// ask has one exchange with Redis about a key and says whether it went well.
//
// The exchange runs under its own limit and not the caller's, so that an
// impatient caller is never mistaken for a silent server.
func (r *Redis) ask(ctx context.Context, name string, exchange func(context.Context) error) bool {
	if ctx.Err() != nil || !r.breaker.allows() {
		return false
	}
	limited, cancel := context.WithTimeout(context.WithoutCancel(ctx), r.limit)
	defer cancel()
	err := exchange(limited)
	switch {
	case err == nil || errors.Is(err, redis.Nil):
		if r.refuses.CompareAndSwap(true, false) {
			r.log.Info("redis no longer refuses")
		}
	case isReply(err):
		if r.refuses.CompareAndSwap(false, true) {
			r.log.Warn("redis refuses, going on without it", "error", err)
		}
	default:
		r.breaker.fault(name, err)
	}
	return err == nil
}

// answers says whether Redis has anything to say about a key, be it a refusal.
func (r *Redis) answers(ctx context.Context, name string) bool {
	ctx, cancel := context.WithTimeout(ctx, r.limit)
	defer cancel()
	err := r.client.Exists(ctx, name).Err()
	return err == nil || isReply(err)
}

// isReply tells an error that the server sent, as when its memory is full,
// from no answer at all. A server that replies costs a round trip, not a wait.
func isReply(err error) bool {
	var reply redis.Error
	return errors.As(err, &reply)
}

// redisLog hands the library's lines to ours.
type redisLog struct{ log *slog.Logger }

func (l redisLog) Printf(ctx context.Context, format string, v ...any) {
	if l.log.Enabled(ctx, slog.LevelDebug) {
		l.log.DebugContext(ctx, "redis client", "detail", fmt.Sprintf(format, v...))
	}
}
