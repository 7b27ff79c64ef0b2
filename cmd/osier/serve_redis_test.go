package main

import (
	"bytes"
	"context"
	"testing"
	"time"

	"osier/api/cache/cachetest"
	"osier/model/store"
)

// Two programs with stores of their own may use one Redis. They are soon at the
// same revision, and what one rendered must never be the other's answer.
func TestTwoStoresOnOneRedisStayApart(t *testing.T) {
	redis := cachetest.StartRedis(t)
	kept := func() closingCache {
		db, err := store.OpenSQLite(t.Context(), t.TempDir())
		if err != nil {
			t.Fatal(err)
		}
		a := newApp(t.Context(), cli{}, &bytes.Buffer{}, &bytes.Buffer{})
		c, err := a.cache("redis://"+redis.Addr, db)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() {
			c.Close()
			if err := db.Close(); err != nil {
				t.Error(err)
			}
		})
		return c
	}
	mine, theirs := kept(), kept()
	mine.Put(context.Background(), "0/plan", []byte("mine"), time.Minute)
	if got, ok := mine.Get(context.Background(), "0/plan"); !ok || string(got) != "mine" {
		t.Fatalf("got %q, %v; what was kept is not found", got, ok)
	}
	if got, ok := theirs.Get(context.Background(), "0/plan"); ok {
		t.Errorf("the other store's answer is %q", got)
	}
}
