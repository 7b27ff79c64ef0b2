package jobs

import (
	"context"
	"fmt"
	"time"

	"osier/model"
	"osier/model/activity"
)

// TrackStore is what the track record is made from.
type TrackStore interface {
	Water(ctx context.Context, id string) (model.Water, error)
	Scores(ctx context.Context, water string, group model.Group) ([]model.Score, error)
}

// TrackRecorder tells how issued plans fared.
type TrackRecorder struct {
	Store TrackStore
	Now   func() time.Time
}

// TrackRecord sums up the scores of a water, or of all when empty, and of a
// group, or of all when empty.
func (r *TrackRecorder) TrackRecord(ctx context.Context, water string, group model.Group) (model.TrackRecord, error) {
	if group != "" {
		if err := group.Validate("group"); err != nil {
			return model.TrackRecord{}, err
		}
	}
	if water != "" {
		if _, err := r.Store.Water(ctx, water); err != nil {
			return model.TrackRecord{}, err
		}
	}
	scores, err := r.Store.Scores(ctx, water, group)
	if err != nil {
		return model.TrackRecord{}, err
	}
	out := trackRecord(activity.Evaluate(scoredForecasts(scores), []string{activity.OneRate, activity.WaterMean}))
	out.AsOf, out.Water, out.Group = r.Now(), water, group
	for _, s := range scores {
		out.Demo = out.Demo || s.Demo
	}
	return out, nil
}

func scoredForecasts(scores []model.Score) []activity.ScoredForecast {
	out := make([]activity.ScoredForecast, len(scores))
	for i, s := range scores {
		references := map[string]activity.CountScore{}
		for name, one := range s.References {
			references[name] = scoredCount(one)
		}
		out[i] = activity.ScoredForecast{
			ID: s.Session, Water: s.Water, Start: s.Start, Bites: s.Bites, Score: scoredCount(s.Forecast),
			Fish: s.Fish.Value, FishKnown: s.Fish.Known, BlankProbability: s.BlankProbability, References: references,
		}
	}
	return out
}

// What a track record says of itself.
const (
	onlyFollowed = "Only sessions whose record names a plan are scored, each against that plan as it was issued, for the hours really fished; a plan issued after the first cast does not count."
	twoOfFour    = "The plans are held against one rate for all and each water's mean, as known when the month of issue began. The two references that read the weather are in the backtest (osier score --backtest), since a plan does not keep what they would have read."
)

func trackRecord(e activity.Evaluation) model.TrackRecord {
	out := model.TrackRecord{
		Sessions: e.Sessions, FishKnown: e.FishKnown, NoFish: e.NoFish, Impossible: e.Impossible,
		FewestFigures: activity.FewestScored, Findings: e.Findings, Months: []model.TrackMonth{}, Notes: []string{onlyFollowed},
	}
	for _, m := range e.Months {
		out.Months = append(out.Months, model.TrackMonth{
			Month: m.Month, Sessions: m.Sessions, NoFish: m.NoFish,
			LogScore: maybe(m.LogScore), CRPS: maybe(m.CRPS), Cover90: maybe(m.Cover90),
		})
	}
	if e.Figures == nil {
		out.Notes = append(out.Notes, fmt.Sprintf("Figures are given from %d scored sessions on; fewer say more about luck than about the plans.", activity.FewestScored))
		return out
	}
	out.Notes = append(out.Notes, twoOfFour)
	f := *e.Figures
	out.Figures = &model.TrackFigures{
		LogScore: maybe(f.LogScore), CRPS: f.CRPS, Cover50: f.Cover50, Cover90: f.Cover90, PITP: f.PITUniform, PITSeed: f.PITSeed,
		MeanRatio: maybe(f.MeanRatio), Blanks: model.TrackBlanks(f.Blanks), Skill: []model.TrackSkill{},
	}
	for _, s := range f.Skill {
		out.Figures.Skill = append(out.Figures.Skill, model.TrackSkill{
			Reference: s.Reference, Sessions: s.Sessions, ImpossibleModel: s.ImpossibleModel, ImpossibleReference: s.ImpossibleReference,
			LogScore: (*model.TrackComparison)(s.LogScore), CRPS: (*model.TrackComparison)(s.CRPS),
		})
	}
	return out
}

func maybe(v *float64) model.Maybe[float64] {
	if v == nil {
		return model.Maybe[float64]{}
	}
	return model.Known(*v)
}
