package jobs

import (
	"context"
	"errors"
	"fmt"
)

// Work is work that is done piece by piece, each by any program on the store:
// a piece is a name, and what it needs it reads.
type Work struct {
	Name string
	Do   func(ctx context.Context, piece string) (counts map[string]int, err error)
}

// Spread has every piece of a work done, somewhere, and adds up what they came
// to. One piece that fails does not keep the others from being done.
type Spread func(ctx context.Context, w Work, pieces []string) (counts map[string]int, err error)

// Here is the spread of a program by itself: it does one piece after the other.
func Here(ctx context.Context, w Work, pieces []string) (map[string]int, error) {
	sum := map[string]int{}
	var faults []error
	for _, piece := range pieces {
		if err := ctx.Err(); err != nil {
			return sum, errors.Join(append(faults, err)...)
		}
		counts, err := w.Do(ctx, piece)
		for name, n := range counts {
			sum[name] += n
		}
		if err != nil {
			faults = append(faults, fmt.Errorf("%s %s: %w", w.Name, piece, err))
		}
	}
	return sum, errors.Join(faults...)
}
