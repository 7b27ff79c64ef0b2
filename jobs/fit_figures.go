package jobs

import (
	"context"
	"fmt"
	"time"

	"osier/model"
)

// FitFigures are what an operator is told of the public fit in force. They tell
// of no angler.
type FitFigures struct {
	Sessions  map[model.Group]int // that it read
	Converged bool
	MadeAt    model.Maybe[time.Time] // missing where only the prior is in force
}

// PublicFitFigures reads the figures of the public fit that is in force at an
// instant.
func PublicFitFigures(ctx context.Context, s interface {
	LatestFit(ctx context.Context, angler string, at time.Time) (model.FitRecord, error)
}, at time.Time,
) (FitFigures, error) {
	record, err := s.LatestFit(ctx, "", at)
	if model.CodeOf(err) == model.NotFound {
		return FitFigures{Converged: true}, nil // the prior is not searched for
	}
	if err != nil {
		return FitFigures{}, err
	}
	fits, ok := readFits(record)
	if !ok {
		return FitFigures{}, fmt.Errorf("fit %s cannot be read by this version; run osier fit", record.ID)
	}
	out := FitFigures{Sessions: map[model.Group]int{}, Converged: record.Converged, MadeAt: model.Known(record.MadeAt)}
	for group, fit := range fits {
		out.Sessions[group] = fit.Sessions
	}
	return out, nil
}
