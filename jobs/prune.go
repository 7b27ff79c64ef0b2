package jobs

import (
	"context"
	"fmt"
	"time"

	"osier/model"
)

// How long what only grows is kept, as far as nothing needs it longer; all our
// choice. Forecasts are kept for a year and a month, so that last season can be
// looked at whole.
const (
	keepJobRuns   = 90 * 24 * time.Hour
	keepAnswers   = 30 * 24 * time.Hour // a phone that lay in a drawer for a holiday may still send its write again
	keepForecasts = 400 * 24 * time.Hour
	keepLeases    = 30 * 24 * time.Hour
)

// PruneStore deletes what is older than it is to be kept; what is needed stays.
type PruneStore interface {
	Prune(ctx context.Context, keep model.KeepFrom) (gone map[string]int, err error)
}

// Pruner keeps the store from growing for ever.
type Pruner struct {
	Store PruneStore
	Now   func() time.Time
}

// Run deletes what may go, and counts it by table.
func (p *Pruner) Run(ctx context.Context) (map[string]int, error) {
	now := p.Now()
	gone, err := p.Store.Prune(ctx, model.KeepFrom{
		JobRuns: now.Add(-keepJobRuns), Answers: now.Add(-keepAnswers), Forecasts: now.Add(-keepForecasts), Leases: now.Add(-keepLeases),
	})
	if err != nil {
		return gone, fmt.Errorf("prune: %w", err)
	}
	return gone, nil
}
