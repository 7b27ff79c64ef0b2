package jobs

import "context"

// AsOfNow is what an answer reads from a store of KeepReads that begins now.
func AsOfNow(ctx context.Context, s PlanStore) (PlanStore, error) {
	p, err := (&Planner{Store: s}).reading(ctx)
	if err != nil {
		return nil, err
	}
	return p.Store, nil
}
