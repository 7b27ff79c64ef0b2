package cache_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"osier/api/cache"
	"osier/api/cache/cachetest"
)

// keeps says whether the cache keeps an entry under a key now.
func keeps(t *testing.T, r *cache.Redis, key string) bool {
	t.Helper()
	r.Put(t.Context(), key, []byte("yes"), time.Minute)
	v, ok := r.Get(t.Context(), key)
	return ok && string(v) == "yes"
}

// Three servers share the keys. One that dies takes its share along and the
// cache misses, as it may; when it is back the cache is whole again by itself.
func TestRedisClusterOfThree(t *testing.T) {
	t.Parallel()
	servers := cachetest.StartRedisCluster(t, 3)
	var hosts []string
	for _, s := range servers {
		hosts = append(hosts, s.Addr)
	}
	r := newPatientRedis(t, "redis://"+strings.Join(hosts, ","))
	waitFor(t, "the cluster keeps entries", func() bool { return keeps(t, r, "up") })
	const keys = 300
	for i := range keys {
		if key := fmt.Sprint("plan/", i); !keeps(t, r, key) {
			t.Errorf("%s is not kept", key)
		}
	}
	for i, s := range servers {
		if size, err := s.Do("DBSIZE"); err != nil || size == ":0" {
			t.Errorf("server %d holds %s, error %v; want some of the keys on each", i, size, err)
		}
	}
	dead := servers[0]
	dead.Kill()
	misses := 0
	for i := range keys {
		if _, ok := r.Get(t.Context(), fmt.Sprint("plan/", i)); !ok {
			misses++
		}
	}
	if misses == 0 {
		t.Error("a third of the keys lay on a dead server, and none is missed")
	}
	dead.Start()
	waitFor(t, "every key is kept again", func() bool {
		for i := range keys {
			if !keeps(t, r, fmt.Sprint("plan/", i)) {
				return false
			}
		}
		return true
	})
}

// A sentinel makes the replica the master when the master dies. The cache
// follows by itself.
func TestRedisSentinelFailsOver(t *testing.T) {
	t.Parallel()
	master := cachetest.StartRedis(t)
	replica := cachetest.StartRedisReplica(t, master)
	r := newPatientRedis(t, "redis+sentinel://"+cachetest.StartSentinel(t, "waters", master)+"/waters")
	waitFor(t, "the master keeps entries", func() bool { return keeps(t, r, "before") })
	waitFor(t, "the replica has them", func() bool {
		size, err := replica.Do("DBSIZE")
		return err == nil && size == ":1"
	})
	master.Kill()
	waitFor(t, "the replica took over", func() bool { return keeps(t, r, "after") })
	if v, ok := r.Get(t.Context(), "before"); !ok || string(v) != "yes" {
		t.Errorf("before the failover was kept %q (%v), want yes", v, ok)
	}
}
