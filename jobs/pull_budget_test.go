package jobs_test

import (
	"testing"
	"time"

	"osier/model"
)

func TestNoFeedIsAskedBeyondItsBudget(t *testing.T) {
	b := newBench(t)
	p, h, _ := askHosts(t, b, map[string]reply{metHost: gridAnswer, awcHost: cacheFile(nearRow)})
	done(t, b.db.PutFeedState(t.Context(), "budget:awc", b.now, []byte(`{"day":"2026-02-06","asked":149}`)))
	for _, c := range []struct {
		after       time.Duration
		asked, over int
	}{{0, 1, 0}, {time.Hour, 1, 1}, {11 * time.Hour, 1, 1}, {12 * time.Hour, 2, 0}, {13 * time.Hour, 3, 0}} {
		b.now = noon.Add(c.after)
		counts, err := p.Run(t.Context(), []model.Water{reedmere})
		done(t, err)
		if h.count(awcHost) != c.asked || counts["over budget"] != c.over {
			t.Errorf("after %v: asked %d times in all, %d held back; want %d and %d", c.after, h.count(awcHost), counts["over budget"], c.asked, c.over)
		}
		if len(forecastsFor(t, b, reedmere, "locationforecast")) == 0 {
			t.Error("one feed's budget kept another from being asked")
		}
	}
}
