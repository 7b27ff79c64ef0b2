package jobs

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"

	"osier/model"
	"osier/model/activity"
)

// TrialStore is what the outcome of drawn feed levels is read from.
type TrialStore interface {
	Scores(ctx context.Context, water string, group model.Group) ([]model.Score, error)
	Plan(ctx context.Context, id string) (model.Plan, error)
}

// FeedTrials is what came of the levels drawn for a group where the same levels
// were on offer.
type FeedTrials struct {
	Group    model.Group            `json:"group"`
	Offered  []int                  `json:"offered_half_steps"`
	Sessions int                    `json:"sessions"`
	Arms     []activity.FeedArmMean `json:"arms"`
}

// Trials compares the levels that plans drew at random (osier plan --try), over
// the scored sessions that followed such plans. Each counts for the level drawn,
// whatever was fed then: that comparison is free of what drives feed and bites
// alike (statistics pack 2.6).
func Trials(ctx context.Context, s TrialStore, water string, group model.Group) ([]FeedTrials, error) {
	scores, err := s.Scores(ctx, water, group)
	if err != nil {
		return nil, err
	}
	type offer struct {
		group model.Group
		steps string
	}
	found := map[offer]*FeedTrials{}
	outcomes := map[offer][]activity.FeedTrialOutcome{}
	for _, score := range scores {
		p, err := s.Plan(ctx, score.Plan)
		if err != nil {
			return nil, err
		}
		trial := p.Feed.Choice.Trial
		if trial == nil || !trial.Drawn {
			continue
		}
		drawn, offered := drawnArm(*trial)
		at := offer{score.Group, fmt.Sprint(offered)}
		if found[at] == nil {
			found[at] = &FeedTrials{Group: score.Group, Offered: offered}
		}
		found[at].Sessions++
		outcomes[at] = append(outcomes[at], activity.FeedTrialOutcome{
			HalfSteps: drawn, Probability: trial.Probability, Bites: score.Bites, Hours: score.RodHours,
		})
	}
	out := make([]FeedTrials, 0, len(found))
	for _, at := range slices.SortedFunc(maps.Keys(found), func(a, b offer) int {
		return cmp.Or(cmp.Compare(a.group, b.group), cmp.Compare(a.steps, b.steps))
	}) {
		if found[at].Arms, err = activity.InverseProbabilityContrast(outcomes[at]); err != nil {
			return nil, fmt.Errorf("compare the levels drawn for %s: %w", at.group, err)
		}
		out = append(out, *found[at])
	}
	return out, nil
}

// drawnArm is the level drawn, by its half steps from the usual one, and all that
// were on offer.
func drawnArm(t model.FeedTrial) (drawn int, offered []int) {
	for _, arm := range t.Arms {
		offered = append(offered, arm.HalfSteps)
		if arm.RateGH == t.RateGH {
			drawn = arm.HalfSteps
		}
	}
	slices.Sort(offered)
	return drawn, offered
}
