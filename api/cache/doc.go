// Package cache keeps rendered answers near the handlers. Keys carry the
// versions of everything that made an answer, so an entry never changes; only
// the small pointers to what is current expire.
//
// InProcess keeps entries in this process, Redis where replicas share them, and
// Tiered puts the one in front of the other, so that a hit never leaves the
// process. A Loader stands on any of them and computes what is missing, each
// key once across goroutines and replicas; it gives a stale value, and says
// so, rather than make a caller wait or fail.
//
// A cache is a help, never a need: a fault in one is a miss, and the caller
// computes the answer again. Redis that is dead or hung costs each call under
// way at most 100 ms once, and then nothing until it answers again. The suite
// in cachetest says what every implementation must do.
package cache
