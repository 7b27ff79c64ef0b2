// Package cache keeps rendered answers near the handlers. Keys carry the
// versions of everything that made an answer, so an entry never changes; only
// the small pointers to what is current expire.
//
// A cache is a help, never a need: a fault in one is a miss, and the caller
// computes the answer again. The suite in cachetest says what every
// implementation must do.
package cache
