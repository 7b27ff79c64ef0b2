package cache

import "time"

// NewPatientRedis makes a Redis that waits far longer than the limit, for tests
// of what it keeps and not of how it fails: a test machine at its limits may
// well stall for 100 ms.
func NewPatientRedis(o RedisOptions) (*Redis, error) { return newRedis(o, 10*time.Second) }
