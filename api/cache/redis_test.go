package cache_test

import (
	"bytes"
	"context"
	"io"
	"log/slog"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"osier/api/cache"
	"osier/api/cache/cachetest"
)

// waitLimit bounds every wait for something that must come about.
const waitLimit = 20 * time.Second

var quiet = slog.New(slog.DiscardHandler)

// newRedis makes the cache as the program does, for tests of its faults.
func newRedis(t testing.TB, address string) *cache.Redis {
	t.Helper()
	return newLoggedRedis(t, address, quiet)
}

func newLoggedRedis(t testing.TB, address string, log *slog.Logger) *cache.Redis {
	t.Helper()
	return made(t, cache.NewRedis, address, log)
}

// newPatientRedis makes one for tests of what it keeps.
func newPatientRedis(t testing.TB, address string) *cache.Redis {
	t.Helper()
	return made(t, cache.NewPatientRedis, address, quiet)
}

func made(t testing.TB, how func(cache.RedisOptions) (*cache.Redis, error), address string, log *slog.Logger) *cache.Redis {
	t.Helper()
	r, err := how(cache.RedisOptions{Address: address, Prefix: "osier/test/", Log: log})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(r.Close)
	return r
}

// evictAbove bounds the server to so many bytes more than it uses now.
func evictAbove(t *testing.T, s *cachetest.RedisServer, r *cache.Redis, maxBytes uint64) {
	t.Helper()
	r.Get(t.Context(), "a connection and its buffers") // which count as used
	used := s.Used()
	mustDo(t, s, "CONFIG", "SET", "maxmemory", strconv.FormatUint(used+maxBytes, 10), "maxmemory-policy", "allkeys-lru")
}

func mustDo(t *testing.T, s *cachetest.RedisServer, words ...string) {
	t.Helper()
	if answer, err := s.Do(words...); err != nil || answer != "+OK" {
		t.Fatalf("%s: %q, %v", strings.Join(words, " "), answer, err)
	}
}

func waitFor(t *testing.T, what string, done func() bool) {
	t.Helper()
	for deadline := time.Now().Add(waitLimit); !done(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("waited %s in vain until %s", waitLimit, what)
		}
	}
}

func TestRedis(t *testing.T) {
	for _, scenario := range cachetest.Scenarios() {
		t.Run(scenario.Name, func(t *testing.T) {
			t.Parallel()
			scenario.Run(t, func(t *testing.T, maxBytes uint64) (cache.Cache, func(time.Duration)) {
				s := cachetest.StartRedis(t)
				r := newPatientRedis(t, s.URL())
				evictAbove(t, s, r, maxBytes)
				return r, time.Sleep
			})
		})
	}
}

func TestRedisCluster(t *testing.T) {
	s := cachetest.StartRedis(t, "--cluster-enabled", "yes")
	mustDo(t, s, "CLUSTER", "ADDSLOTSRANGE", "0", "16383")
	address := s.URL() + "," + s.Addr
	r := newPatientRedis(t, address)
	waitFor(t, "the cluster keeps entries", func() bool {
		r.Put(t.Context(), "up", []byte("yes"), time.Minute)
		_, ok := r.Get(t.Context(), "up")
		return ok
	})
	runHere(t, r)
	hangCosts(t, s, newRedis(t, address))
}

func TestRedisSentinel(t *testing.T) {
	s := cachetest.StartRedis(t)
	address := "redis+sentinel://" + cachetest.StartSentinel(t, "waters", s) + "/waters/3"
	runHere(t, newPatientRedis(t, address))
	hangCosts(t, s, newRedis(t, address))
}

// runHere runs the scenarios that need no fresh cache.
func runHere(t *testing.T, r *cache.Redis) {
	for _, scenario := range cachetest.Scenarios() {
		if scenario.Name == "the bound holds" {
			continue // one server's bound is in TestRedis
		}
		t.Run(scenario.Name, func(t *testing.T) {
			scenario.Run(t, func(*testing.T, uint64) (cache.Cache, func(time.Duration)) { return r, time.Sleep })
		})
	}
}

// hangCosts checks what a hung server costs one caller, and that the cache
// comes back with it.
func hangCosts(t *testing.T, s *cachetest.RedisServer, r *cache.Redis) {
	t.Helper()
	r.Get(t.Context(), "up")
	waitFor(t, "redis answers", r.Answering)
	before := r.Faults()
	s.Hang()
	start := time.Now()
	r.Get(t.Context(), "up")
	took := time.Since(start)
	for range 1000 {
		r.Get(t.Context(), "up")
	}
	if got := r.Faults() - before; got != 1 {
		t.Errorf("a hung server was waited for %d times by one caller, want once", got)
	}
	if took > time.Second {
		t.Errorf("a hung server cost %s, want about 100 ms", took)
	}
	t.Logf("a hung server cost %s once", took.Round(time.Millisecond))
	s.Resume()
	waitFor(t, "redis is asked again", r.Answering)
}

func TestRedisThatIsNotThere(t *testing.T) {
	r := newRedis(t, "redis://"+cachetest.FreeAddr(t))
	for range 1000 {
		r.Put(t.Context(), "plan", []byte("ten grams"), time.Hour)
		if v, ok := r.Get(t.Context(), "plan"); ok {
			t.Fatalf("got %q from nowhere", v)
		}
		if release, taken := r.Claim(t.Context(), "plan", time.Second); taken {
			t.Fatal("nobody is there, and yet the key is claimed")
		} else {
			release()
		}
	}
	if got := r.Faults(); got != 1 {
		t.Errorf("went to a dead server %d times, want once", got)
	}
}

func TestSilenceCostsEveryFormOfRedisOnce(t *testing.T) {
	addr := cachetest.ListenMute(t, "127.0.0.1:0").Addr
	for _, address := range []string{
		"redis://" + addr,
		"rediss://" + addr,
		"redis://" + addr + "," + addr,
		"redis+sentinel://" + addr + "/waters",
	} {
		t.Run(strings.ReplaceAll(address, addr, "H"), func(t *testing.T) {
			r := newRedis(t, address)
			start := time.Now()
			for range 1000 {
				r.Get(t.Context(), "plan")
			}
			if got := r.Faults(); got != 1 {
				t.Errorf("waited %d times, want once", got)
			}
			if took := time.Since(start); took > time.Second {
				t.Errorf("took %s, want about 100 ms", took)
			}
		})
	}
}

func TestRedisThatNeverAnswersCostsEachCallerOnce(t *testing.T) {
	const callers, calls = 50, 2000
	mute := cachetest.ListenMute(t, "127.0.0.1:0")
	r := newRedis(t, "redis://"+mute.Addr)
	start := time.Now()
	var wg sync.WaitGroup
	for range callers {
		wg.Go(func() {
			for range calls {
				if _, ok := r.Get(t.Context(), "plan"); ok {
					t.Error("got something from a server that never answers")
				}
			}
		})
	}
	wg.Wait()
	took := time.Since(start)
	if got := r.Faults(); got > callers {
		t.Errorf("%d callers waited %d times, want at most once each", callers, got)
	}
	// In turn, the callers would have needed five seconds.
	if took > 3*time.Second {
		t.Errorf("%d calls took %s, want little more than the 100 ms", callers*calls, took)
	}
	time.Sleep(200 * time.Millisecond) // connections that nobody waits for any more
	connections, waits := mute.Accepted(), r.Faults()
	time.Sleep(1200 * time.Millisecond) // two probes
	r.Get(t.Context(), "plan")
	if got := r.Faults(); got != waits {
		t.Errorf("a caller waited for a server known to be silent")
	}
	if probes := mute.Accepted() - connections; probes > 3 {
		t.Errorf("%d new connections in 1.2 s, want no more than one a probe", probes)
	}
	t.Logf("%d calls by %d callers took %s: %d waits, %d connections", callers*calls, callers, took.Round(time.Millisecond), waits, connections)
}

func TestRedisThatRefusesIsNotTakenForSilent(t *testing.T) {
	s := cachetest.StartRedis(t)
	var said syncBuffer
	r := made(t, cache.NewPatientRedis, s.URL(), slog.New(slog.NewTextHandler(&said, nil)))
	r.Put(t.Context(), "kept", []byte("before"), time.Hour)
	mustDo(t, s, "CONFIG", "SET", "maxmemory", "1")
	for range 100 {
		r.Put(t.Context(), "refused", []byte("a"), time.Hour)
	}
	if _, ok := r.Get(t.Context(), "refused"); ok {
		t.Error("got what the server refused to keep")
	}
	if v, ok := r.Get(t.Context(), "kept"); !ok || string(v) != "before" {
		t.Errorf("got %q, %v; a server that refuses writes can still be read", v, ok)
	}
	if !r.Answering() || r.Faults() != 0 {
		t.Errorf("answering %v, %d faults; a refusal is an answer", r.Answering(), r.Faults())
	}
	if got := strings.Count(said.String(), "redis refuses"); got != 1 {
		t.Errorf("told %d times of the refusal, want once:\n%s", got, said.String())
	}
}

func TestRedisWantsAPassword(t *testing.T) {
	s := cachetest.StartRedis(t)
	mustDo(t, s, "CONFIG", "SET", "requirepass", "osier:1")
	without, with := newPatientRedis(t, s.URL()), newPatientRedis(t, "redis://:osier%3A1@"+s.Addr)
	for _, r := range []*cache.Redis{without, with} {
		r.Put(t.Context(), "plan", []byte("a"), time.Hour)
	}
	if _, ok := without.Get(t.Context(), "plan"); ok || !without.Answering() {
		t.Errorf("without the password: got %v, answering %v; want a miss, and a server that answers", ok, without.Answering())
	}
	if _, ok := with.Get(t.Context(), "plan"); !ok {
		t.Error("with the password: a miss")
	}
}

func TestRedisHearsACallerWhoHasLeft(t *testing.T) {
	s := cachetest.StartRedis(t)
	r := newRedis(t, s.URL())
	r.Put(t.Context(), "plan", []byte("a"), time.Hour)
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	if _, ok := r.Get(gone, "plan"); ok {
		t.Error("answered a caller who has left")
	}
	if r.Faults() != 0 {
		t.Error("a caller who left was taken for a silent server")
	}
}

func TestClaim(t *testing.T) {
	s := cachetest.StartRedis(t)
	one, two := newPatientRedis(t, s.URL()), newPatientRedis(t, s.URL())

	release, taken := one.Claim(t.Context(), "plan", time.Minute)
	if taken {
		t.Fatal("the first claim was taken")
	}
	if _, taken := two.Claim(t.Context(), "plan", time.Minute); !taken {
		t.Fatal("two replicas hold the same claim")
	}
	if _, taken := one.Claim(t.Context(), "plan", time.Minute); taken {
		t.Fatal("a replica waits for itself, as after a release that Redis did not hear")
	}
	if _, taken := two.Claim(t.Context(), "another", time.Minute); taken {
		t.Fatal("a claim on one key holds another")
	}
	release()
	again, taken := two.Claim(t.Context(), "plan", time.Minute)
	if taken {
		t.Fatal("a released claim is still taken")
	}
	release() // the first claimant's, and no longer its own
	if _, taken := one.Claim(t.Context(), "plan", time.Minute); !taken {
		t.Fatal("a claim was released by somebody else's release")
	}
	again()

	if _, taken := one.Claim(t.Context(), "short", 50*time.Millisecond); taken {
		t.Fatal("the short claim was taken")
	}
	waitFor(t, "a claim whose holder died runs out", func() bool {
		_, taken := two.Claim(t.Context(), "short", time.Minute)
		return !taken
	})
}

func TestRedisCloses(t *testing.T) {
	noLeak(t, func(t *testing.T) {
		s := cachetest.StartRedis(t)
		r := newRedis(t, s.URL())
		r.Put(t.Context(), "plan", []byte("a"), time.Hour)
		s.Kill()
		r.Get(t.Context(), "plan") // starts the probe
		if r.Answering() {
			t.Error("a killed server answers")
		}
		r.Close()
		r.Close()
		r.Put(t.Context(), "plan", []byte("a"), time.Hour)
		if _, ok := r.Get(t.Context(), "plan"); ok {
			t.Error("a closed cache gave something")
		}
	})
}

func debugLog(w io.Writer) *slog.Logger {
	return slog.New(slog.NewTextHandler(w, &slog.HandlerOptions{Level: slog.LevelDebug}))
}

// syncBuffer is a buffer that may be written and read at the same time.
type syncBuffer struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

func (b *syncBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.buf.Write(p)
}

func (b *syncBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.buf.String()
}
