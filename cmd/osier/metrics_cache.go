package main

import (
	"context"

	"github.com/prometheus/client_golang/prometheus"

	"osier/api/cache"
)

// countedCache counts what is looked for in a cache.
type countedCache struct {
	cache.Cache
	metrics *metrics
}

// Get finds a live entry.
func (c countedCache) Get(ctx context.Context, key string) ([]byte, bool) {
	value, ok := c.Cache.Get(ctx, key)
	outcome := cacheMiss
	if ok {
		outcome = cacheHit
	}
	c.metrics.cacheReads.WithLabelValues(outcome).Inc()
	return value, ok
}

// countedShared counts what is looked for in a cache that replicas share.
type countedShared struct {
	cache.Shared
	counted countedCache
}

// Get finds a live entry.
func (c countedShared) Get(ctx context.Context, key string) ([]byte, bool) {
	return c.counted.Get(ctx, key)
}

// counting gives a cache that is the same but for being counted.
func (m *metrics) counting(c cache.Cache) cache.Cache {
	counted := countedCache{Cache: c, metrics: m}
	if shared, ok := c.(cache.Shared); ok {
		return countedShared{Shared: shared, counted: counted}
	}
	return counted
}

// redisFigures tell of the Redis that replicas share.
func redisFigures(r *cache.Redis) []prometheus.Collector {
	return []prometheus.Collector{
		prometheus.NewCounterFunc(prometheus.CounterOpts{
			Name: "osier_redis_faults_total",
			Help: "Calls that Redis did not answer.",
		}, func() float64 { return float64(r.Faults()) }),
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{
			Name: "osier_redis_up",
			Help: "1 while Redis answers, 0 from when it was found silent until it answers again.",
		}, func() float64 { return oneIf(r.Answering()) }),
	}
}
