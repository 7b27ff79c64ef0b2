package jobs

import (
	"context"
	"encoding/json"
	"fmt"
	"time"
)

// spent is how often a feed was asked on one day. It is remembered beside what
// is remembered of the feed's addresses, so a restart does not start it anew.
type spent struct {
	Day   string `json:"day"` // UTC
	Asked int    `json:"asked"`
}

func budgetKey(name string) string { return "budget:" + name }

// spentToday reads how often a feed has been asked today.
func (p *Puller) spentToday(ctx context.Context, name string) (spent, error) {
	today := spent{Day: p.Now().UTC().Format(time.DateOnly)}
	body, err := p.Store.FeedState(ctx, budgetKey(name))
	if err != nil || body == nil {
		return today, err
	}
	var s spent
	if err := json.Unmarshal(body, &s); err != nil {
		return today, fmt.Errorf("read how often %s was asked: %w", name, err)
	}
	if s.Day != today.Day {
		return today, nil
	}
	return s, nil
}

// spend counts one more request to a feed.
func (p *Puller) spend(ctx context.Context, name string, s spent) error {
	s.Asked++
	body, err := json.Marshal(s)
	if err != nil {
		return fmt.Errorf("remember how often %s was asked: %w", name, err)
	}
	return p.Store.PutFeedState(ctx, budgetKey(name), p.Now(), body)
}
