package cache_test

import (
	"testing"
	"testing/synctest"
	"time"

	"osier/api/cache"
	"osier/api/cache/cachetest"
)

func TestInProcess(t *testing.T) {
	for _, scenario := range cachetest.Scenarios() {
		t.Run(scenario.Name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				scenario.Run(t, func(t *testing.T, maxBytes uint64) (cache.Cache, func(time.Duration)) {
					c, err := cache.NewInProcess(maxBytes)
					if err != nil {
						t.Fatal(err)
					}
					t.Cleanup(c.Close)
					return c, time.Sleep
				})
			})
		})
	}
}
