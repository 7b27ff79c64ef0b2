package cache_test

import (
	"runtime"
	"runtime/pprof"
	"strings"
	"testing"
	"time"
)

// noLeak runs a test by itself and checks that no goroutine outlives it. The
// Redis library's own may take a second or two to notice that it was closed.
func noLeak(t *testing.T, run func(t *testing.T)) {
	t.Helper()
	before := runtime.NumGoroutine()
	t.Run("then closed", run)
	for deadline := time.Now().Add(10 * time.Second); runtime.NumGoroutine() > before; time.Sleep(10 * time.Millisecond) {
		if time.Now().After(deadline) {
			var stacks strings.Builder
			if err := pprof.Lookup("goroutine").WriteTo(&stacks, 1); err != nil {
				t.Fatal(err)
			}
			t.Fatalf("%d goroutines are left, there were %d before:\n%s", runtime.NumGoroutine(), before, stacks.String())
		}
	}
}
