package cache

import (
	"context"
	"time"
)

// A claim holds the token of the replica that claimed. One that a replica finds
// to be its own is left from a moment when Redis fell silent before the release,
// since within a replica no key is computed twice at a time: it is no reason to
// wait. And only its own claim may a replica release, for one that ran out may
// be another's by now.
const (
	claimScript   = `if redis.call("set", KEYS[1], ARGV[1], "nx", "px", ARGV[2]) or redis.call("get", KEYS[1]) == ARGV[1] then return 1 end return 0`
	releaseScript = `if redis.call("get", KEYS[1]) == ARGV[1] then return redis.call("del", KEYS[1]) end return 0`
)

// Claim tells the other replicas that this one is computing a key, for at most
// the given time. When another already is, taken is true. When nobody can say,
// because Redis is silent or refuses, the claim is given: a help that fails
// must not stop the work.
//
// Release may always be called, and more than once. A claim saves work and
// guards nothing: after a long pause there may be two claimants.
func (r *Redis) Claim(ctx context.Context, key string, keep time.Duration) (release func(), taken bool) {
	name, ours := r.prefix+"claim/"+key, false
	asked := r.ask(ctx, name, func(ctx context.Context) (err error) {
		ours, err = r.client.Eval(ctx, claimScript, []string{name}, r.token, max(1, keep.Milliseconds())).Bool()
		return err
	})
	if !asked || !ours {
		return func() {}, asked
	}
	ctx = context.WithoutCancel(ctx)
	return func() {
		r.ask(ctx, name, func(ctx context.Context) error {
			return r.client.Eval(ctx, releaseScript, []string{name}, r.token).Err()
		})
	}, false
}
