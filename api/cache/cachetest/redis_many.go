package cachetest

import (
	"fmt"
	"net"
	"strings"
	"testing"
	"time"
)

// slots is how many parts a cluster's keys are dealt into (Redis cluster
// specification, key distribution model).
const slots = 16384

// StartRedisReplica starts a server that copies another and may take over from
// it.
func StartRedisReplica(t testing.TB, of *RedisServer) *RedisServer {
	t.Helper()
	host, port, err := net.SplitHostPort(of.Addr)
	if err != nil {
		t.Fatal(err)
	}
	return StartRedis(t, "--replicaof", host+" "+port, "--repl-diskless-sync-delay", "0")
}

// StartRedisCluster starts n servers that share the keys, and waits until each
// holds the cluster to be whole. With one of them gone the others go on serving
// their share.
func StartRedisCluster(t testing.TB, n int) []*RedisServer {
	t.Helper()
	servers := make([]*RedisServer, n)
	for i := range servers {
		servers[i] = StartRedis(t, "--cluster-enabled", "yes", "--cluster-require-full-coverage", "no", "--cluster-node-timeout", "1000",
			"--cluster-port", strings.TrimPrefix(FreeAddr(t), "127.0.0.1:"))
	}
	for i, s := range servers {
		answers(t, s, "+OK", "CLUSTER", "ADDSLOTSRANGE", fmt.Sprint(i*slots/n), fmt.Sprint((i+1)*slots/n-1))
		// Each begins at an epoch of its own, or they would have to agree on one.
		answers(t, s, "+OK", "CLUSTER", "SET-CONFIG-EPOCH", fmt.Sprint(i+1))
	}
	for _, s := range servers[1:] {
		host, port, _ := net.SplitHostPort(s.Addr)
		bus, err := busPort(s)
		if err != nil {
			t.Fatal(err)
		}
		answers(t, servers[0], "+OK", "CLUSTER", "MEET", host, port, bus)
	}
	for _, s := range servers {
		for deadline := time.Now().Add(startLimit); ; time.Sleep(20 * time.Millisecond) {
			info, err := s.Do("CLUSTER", "INFO")
			if err == nil && strings.Contains(info, "cluster_state:ok") && strings.Contains(info, fmt.Sprintf("cluster_known_nodes:%d", n)) &&
				strings.Contains(info, fmt.Sprintf("cluster_slots_ok:%d", slots)) {
				break
			}
			if time.Now().After(deadline) {
				t.Fatalf("the cluster was not whole within %s: %s, %v", startLimit, info, err)
			}
		}
	}
	return servers
}

// busPort is the port at which the servers of a cluster talk to another.
func busPort(other *RedisServer) (string, error) {
	for i, arg := range other.args {
		if arg == "--cluster-port" {
			return other.args[i+1], nil
		}
	}
	return "", fmt.Errorf("%s is in no cluster", other.Addr)
}

func answers(t testing.TB, s *RedisServer, want string, words ...string) {
	t.Helper()
	if got, err := s.Do(words...); err != nil || got != want {
		t.Fatalf("%s: %q, %v; want %s", strings.Join(words, " "), got, err, want)
	}
}
