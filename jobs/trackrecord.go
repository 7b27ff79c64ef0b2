package jobs

import (
	"context"
	"fmt"
	"maps"
	"slices"
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

// TrackRecord sums up for anybody the scores that may be told of at a water, or
// at all when empty, and of a group, or of all when empty.
func (r *TrackRecorder) TrackRecord(ctx context.Context, water string, group model.Group) (model.TrackRecord, error) {
	scores, err := r.scores(ctx, water, group)
	if err != nil {
		return model.TrackRecord{}, err
	}
	told, waiting := disclose(scores, r.Now())
	out, err := r.sumUp(told, scores, water, group)
	out.Waiting, out.Notes = waiting, append(out.Notes, disclosedOnly)
	return out, err
}

// OwnersRecord sums up all of the scores for whoever keeps the records.
func (r *TrackRecorder) OwnersRecord(ctx context.Context, water string, group model.Group) (model.TrackRecord, error) {
	scores, err := r.scores(ctx, water, group)
	if err != nil {
		return model.TrackRecord{}, err
	}
	byMonth := map[string][]model.Score{}
	for _, s := range scores {
		byMonth[monthOf(s.Start)] = append(byMonth[monthOf(s.Start)], s)
	}
	return r.sumUp(byMonth, scores, water, group)
}

// usualReferences are those that a stored plan can be held against.
func usualReferences() []string { return []string{activity.OneRate, activity.WaterMean} }

func (r *TrackRecorder) scores(ctx context.Context, water string, group model.Group) ([]model.Score, error) {
	if group != "" {
		if err := group.Validate("group"); err != nil {
			return nil, err
		}
	}
	if water != "" {
		if _, err := r.Store.Water(ctx, water); err != nil {
			return nil, err
		}
	}
	return r.Store.Scores(ctx, water, group)
}

// sumUp tells of scores by month. asked are all that there are, told of or not.
func (r *TrackRecorder) sumUp(byMonth map[string][]model.Score, asked []model.Score, water string, group model.Group) (model.TrackRecord, error) {
	var all []model.Score
	for _, month := range slices.Sorted(maps.Keys(byMonth)) {
		all = append(all, byMonth[month]...)
	}
	out := trackRecord(activity.Evaluate(scoredForecasts(all), usualReferences()))
	out.AsOf, out.Water, out.Group = r.Now(), water, group
	for _, s := range asked {
		out.Demo = out.Demo || s.Demo
	}
	if len(all) > 0 && !slices.ContainsFunc(all, func(s model.Score) bool { return s.Fit != FitZero }) {
		out.Notes = append(out.Notes, priorAlone)
	}
	var err error
	out.Months, err = trackMonths(byMonth)
	return out, err
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
	priorAlone   = "All of these plans stood on the prior alone: no fit had been made when they were issued."
	twoOfFour    = "The plans are held against one rate for all and each water's mean, as known when the month of issue began. The two references that read the weather are in the backtest (osier score --backtest), since a plan does not keep what they would have read."
)

func trackRecord(e activity.Evaluation) model.TrackRecord {
	out := model.TrackRecord{
		Sessions: e.Sessions, FishKnown: e.FishKnown, NoFish: e.NoFish, Impossible: e.Impossible,
		FewestFigures: activity.FewestScored, Findings: e.Findings, Notes: []string{onlyFollowed},
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
