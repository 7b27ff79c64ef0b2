package cache

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"runtime/debug"
	"time"

	"golang.org/x/sync/singleflight"
)

// Times of a Loader, all our choice.
const (
	// claimWait is how long a replica waits for what another is computing
	// before it computes the value itself.
	claimWait = time.Second
	// claimPoll is how often it looks meanwhile.
	claimPoll = 25 * time.Millisecond
	// claimMargin is what a claim outlasts the load, for the value to be put.
	claimMargin = time.Second
	// retryAfter is the pause after a refresh that failed.
	retryAfter = 5 * time.Second
)

// ErrClosed is the answer to a load that was asked for, or was under way, when
// the Loader was closed.
var ErrClosed = errors.New("the cache is closed")

// Shared is a cache that replicas share, some of it held in this process.
type Shared interface {
	Cache
	// Renew looks for an entry behind whatever this process holds.
	Renew(ctx context.Context, key string) (value []byte, ok bool)
	// Claim tells the other replicas that this one is computing a key; taken
	// is true when another already is. It must give the claim when it cannot
	// tell. Release may always be called.
	Claim(ctx context.Context, key string, keep time.Duration) (release func(), taken bool)
}

// LoaderOptions say where values are kept and how they are made.
type LoaderOptions struct {
	// Cache keeps the entries. Where it is Shared, replicas compute a key once
	// between them; otherwise only this process does.
	Cache Cache
	// Deadline is how long a load may take.
	Deadline time.Duration
	Now      func() time.Time
	Log      *slog.Logger
}

// Loader gives values from a cache and computes those that are missing, each
// once however many ask for it at the same time.
type Loader struct {
	LoaderOptions
	shared  Shared // nil where the cache is this process's own
	flights singleflight.Group
	chores  *chores
}

// NewLoader makes a loader over a cache, which stays the caller's to close.
func NewLoader(o LoaderOptions) *Loader {
	shared, _ := o.Cache.(Shared)
	return &Loader{LoaderOptions: o, shared: shared, chores: newChores()}
}

// Load gives the entry under the key. A fresh one is given as it is. A stale
// one is given at once too, and refreshed behind the caller's back; while
// refreshing fails it is still given, until its stale time ends. Entry.Stale
// and Entry.Age say what was given. Only where there is nothing to give does
// the caller wait for the load, or get its error.
//
// The load runs under the Loader's deadline and not under this caller's
// context, since others may be waiting for it too; it must heed its context. It
// says how long its value is good for, and a value without any such time is
// given to those who wait and not kept.
func (l *Loader) Load(ctx context.Context, key string, load func(context.Context) (Entry, error)) (Entry, error) {
	held, ok := l.held(l.Cache.Get(ctx, key))
	if !ok {
		return l.wait(ctx, l.fly(key, load))
	}
	if held.due(l.Now()) {
		l.fly(key, load)
	}
	return held, nil
}

// LoadCurrent is Load for what says which version is current: a stale entry is
// given only where refreshing it fails, and the caller waits to learn that. Load
// would give the first reader after a quiet night last night's version. Where it
// has failed a moment ago nobody waits for the next attempt, which may be long.
func (l *Loader) LoadCurrent(ctx context.Context, key string, load func(context.Context) (Entry, error)) (Entry, error) {
	held, ok := l.held(l.Cache.Get(ctx, key))
	if ok && !held.due(l.Now()) {
		return held, nil
	}
	made := l.fly(key, load)
	if ok && held.failedLately(l.Now()) {
		return held, nil
	}
	return l.wait(ctx, made)
}

// Held gives what stands under a key, if it can still be used, and makes nothing.
func (l *Loader) Held(ctx context.Context, key string) (Entry, bool) {
	return l.held(l.Cache.Get(ctx, key))
}

// Instead is the error of a load that failed and knows what may be given in place
// of what it should have made, until it can be made: it counts as stale.
type Instead struct {
	Entry Entry
	Err   error
}

func (e *Instead) Error() string { return e.Err.Error() }

// Unwrap gives what failed.
func (e *Instead) Unwrap() error { return e.Err }

func (l *Loader) wait(ctx context.Context, made <-chan singleflight.Result) (Entry, error) {
	select {
	case r := <-made:
		if r.Err != nil {
			return Entry{}, r.Err
		}
		return r.Val.(Entry), nil
	case <-ctx.Done():
		return Entry{}, fmt.Errorf("wait for a value that is being computed: %w", context.Cause(ctx))
	}
}

// Close ends the loads under way and waits for them. After it only what the
// cache holds is given. It may be called again.
func (l *Loader) Close() { l.chores.close() }

// fly starts the making of an entry, or joins the one that is under way.
func (l *Loader) fly(key string, load func(context.Context) (Entry, error)) <-chan singleflight.Result {
	return l.flights.DoChan(key, func() (any, error) {
		if !l.chores.begin() {
			return nil, ErrClosed
		}
		defer l.chores.end()
		return l.obtain(key, load)
	})
}

// obtain makes the entry, unless it has just been made, or another replica is
// making it: then it waits for that one's, though not for long.
func (l *Loader) obtain(key string, load func(context.Context) (Entry, error)) (Entry, error) {
	life := l.chores.life
	if e, ok := l.held(l.Cache.Get(life, key)); ok && !e.due(l.Now()) {
		return e, nil
	}
	if l.shared == nil {
		return l.make(key, load)
	}
	for patience := time.Now().Add(claimWait); ; {
		// The claim comes first and the look second: what another put before it
		// released its claim is seen.
		release, taken := l.shared.Claim(life, key, l.Deadline+claimMargin)
		if e, ok := l.held(l.shared.Renew(life, key)); ok && !e.due(l.Now()) {
			release()
			return e, nil
		}
		if !taken || time.Now().After(patience) {
			defer release()
			return l.make(key, load)
		}
		select {
		case <-time.After(claimPoll):
		case <-life.Done():
			return Entry{}, ErrClosed
		}
	}
}

// make computes the entry and keeps it. Where that fails, what is still usable
// stands in for it, and the next attempt waits a while.
func (l *Loader) make(key string, load func(context.Context) (Entry, error)) (Entry, error) {
	e, err := l.run(load)
	if err == nil {
		l.put(key, e)
		return e, nil
	}
	if l.chores.life.Err() != nil {
		return Entry{}, ErrClosed
	}
	stale, ok := l.behind(key)
	if !ok {
		stale, ok = l.instead(err)
	}
	if !ok {
		return Entry{}, err
	}
	if now := l.Now(); stale.Stale(now) {
		l.Log.Warn("refresh failed, the stale value stays", "age_s", stale.Age(now).Seconds(), "error", err)
		stale.retryAt = now.Add(retryAfter)
		l.put(key, stale)
	}
	return stale, nil
}

// run computes the entry under the deadline. A panic becomes an error here: in
// the background nobody else would recover it, and it would end the process.
func (l *Loader) run(load func(context.Context) (Entry, error)) (e Entry, err error) {
	ctx, cancel := context.WithTimeout(l.chores.life, l.Deadline)
	defer cancel()
	defer func() {
		if p := recover(); p != nil {
			l.Log.Error("panic while computing a value", "panic", p, "stack", string(debug.Stack()))
			err = fmt.Errorf("computing the value panicked: %v", p)
		}
	}()
	return load(ctx)
}

func (l *Loader) put(key string, e Entry) {
	l.Cache.Put(l.chores.life, key, e.encode(), e.end().Sub(l.Now()))
}

// behind looks for the newest entry there is: another replica's load may have
// gone well where this one's failed.
func (l *Loader) behind(key string) (Entry, bool) {
	if l.shared != nil {
		if e, ok := l.held(l.shared.Renew(l.chores.life, key)); ok {
			return e, true
		}
	}
	return l.held(l.Cache.Get(l.chores.life, key))
}

// instead is what a load that failed gives in place of what it should have made.
func (l *Loader) instead(err error) (Entry, bool) {
	var e *Instead
	if !errors.As(err, &e) {
		return Entry{}, false
	}
	in, now := e.Entry, l.Now()
	if !in.Stale(now) {
		in.FreshUntil = now
	}
	return in, in.usable(now)
}

// held is the entry in what a cache gave, if it can still be used.
func (l *Loader) held(b []byte, ok bool) (Entry, bool) {
	if !ok {
		return Entry{}, false
	}
	e, err := decodeEntry(b)
	return e, err == nil && e.usable(l.Now())
}
