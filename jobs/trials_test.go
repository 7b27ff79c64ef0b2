package jobs_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/model"
)

// drew is a plan that drew the usual level or half a step less, with even odds.
func drew(id string, rateGH float64) model.Plan {
	p := issued(id)
	p.Feed.Choice.Trial = &model.FeedTrial{
		Drawn: true, RateGH: rateGH, Probability: 0.5,
		Arms: []model.FeedArm{{HalfSteps: -1, RateGH: 70.7, Probability: 0.5}, {HalfSteps: 0, RateGH: 100, Probability: 0.5}},
	}
	return p
}

func TestLevelsDrawnAtRandomAreComparedByWhatWasDrawn(t *testing.T) {
	b := newBench(t)
	// Two sessions of four hours a level, and one that followed no draw.
	for i, one := range []struct {
		rateGH float64
		bites  int
	}{{70.7, 4}, {70.7, 8}, {100, 2}, {100, 2}, {0, 40}} {
		id := fmt.Sprintf("p-%d", i)
		p := drew(id, one.rateGH)
		if one.rateGH == 0 {
			p.Feed.Choice.Trial = nil
		}
		s := followed(id)
		days := -7 * i
		s.Start, s.End, p.Start, p.IssuedAt = s.Start.AddDate(0, 0, days), s.End.AddDate(0, 0, days), p.Start.AddDate(0, 0, days), p.IssuedAt.AddDate(0, 0, days)
		s.Bites, s.Fish = model.Known(one.bites), nil
		s.WrittenAt = model.Known(s.End.Add(time.Hour))
		s.ID = s.DerivedID()
		done(t, b.db.AddPlan(t.Context(), p))
		done(t, b.db.AddSession(t.Context(), s))
	}
	_, err := (&jobs.Scorer{Store: b.db, Now: b.clock}).Run(t.Context())
	done(t, err)
	trials, err := jobs.Trials(t.Context(), b.db, "", "")
	done(t, err)
	if len(trials) != 1 || trials[0].Sessions != 4 || !cmp.Equal(trials[0].Offered, []int{-1, 0}) || len(trials[0].Arms) != 2 {
		t.Fatalf("trials %+v, want one comparison of two levels over four sessions", trials)
	}
	less, usual := trials[0].Arms[0], trials[0].Arms[1]
	// 12 bites in 8 hours against 4 in 8, by hand.
	if math.Abs(less.RatePerH-1.5) > 1e-12 || math.Abs(usual.RatePerH-0.5) > 1e-12 || !less.Compared || math.Abs(less.Difference-1) > 1e-12 {
		t.Errorf("arms %+v and %+v, want 1.5 and 0.5 bites an hour", less, usual)
	}
	if none, err := jobs.Trials(t.Context(), b.db, "", model.Carp); err != nil || len(none) != 0 {
		t.Errorf("for carp: %+v, %v", none, err)
	}
}
