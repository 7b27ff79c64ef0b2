package main

import (
	"context"
	"time"

	"osier/jobs"
	"osier/model/store"
)

// queueEnds is how long a stopping program waits for the pieces it has begun.
const queueEnds = 10 * time.Second

// spread opens the queue through which the programs on one database share works,
// and gives what ends it. A store in a folder has one program, which does all of
// the work itself.
func (a *app) spread(works ...jobs.Work) (each jobs.Spread, end func(), err error) {
	if a.postgres == "" {
		return jobs.Here, func() {}, nil
	}
	table := map[string]store.Do{}
	for _, w := range works {
		table[w.Name] = w.Do
	}
	queue, err := store.OpenQueue(a.ctx, a.postgres, a.log, table)
	if err != nil {
		return nil, nil, err
	}
	each = func(ctx context.Context, w jobs.Work, pieces []string) (map[string]int, error) {
		return queue.Each(ctx, w.Name, pieces)
	}
	return each, func() {
		ctx, cancel := context.WithTimeout(context.WithoutCancel(a.ctx), queueEnds)
		defer cancel()
		if err := queue.Close(ctx); err != nil {
			a.log.Warn("the queue was left before its pieces were done: another program takes them up", "error", err)
		}
	}, nil
}
