package jobs

import (
	"context"
	"time"

	"osier/model"
)

// WaterList lists waters by identifier, a page at a time.
type WaterList interface {
	Waters(ctx context.Context, after string, limit int) ([]model.Water, error)
}

// AllWaters reads every water.
func AllWaters(ctx context.Context, s WaterList) ([]model.Water, error) {
	const page = 500
	var all []model.Water
	for after := ""; ; after = all[len(all)-1].ID {
		waters, err := s.Waters(ctx, after, page)
		if err != nil {
			return nil, err
		}
		all = append(all, waters...)
		if len(waters) < page {
			return all, nil
		}
	}
}

// The table of what runs when, in UTC; serve has a flag to change each entry.
// Minutes, jitter and deadlines are our choice: each stage is due when the one
// before it has usually ended, and a late one costs an hour and loses nothing.

// PullJob pulls the weather of all waters twice an hour. Its jitter keeps many
// installations from asking the feeds in the same second.
func PullJob(p *Puller, waters WaterList) Job {
	return Job{Name: "pull", When: "13,43 * * * *", Jitter: 4 * time.Minute, Deadline: 10 * time.Minute, Run: func(ctx context.Context) (map[string]int, error) {
		all, err := AllWaters(ctx, waters)
		if err != nil {
			return nil, err
		}
		return p.Run(ctx, all)
	}}
}

// JoinJob joins sessions with their weather, after each second pull.
func JoinJob(j *Joiner) Job {
	return Job{Name: "join", When: "22 * * * *", Jitter: 2 * time.Minute, Deadline: 20 * time.Minute, Run: j.Run}
}

// FitJob fits what was joined, after each join.
func FitJob(f *Fitter) Job {
	return Job{Name: "fit", When: "37 * * * *", Jitter: 2 * time.Minute, Deadline: 20 * time.Minute, Run: func(ctx context.Context) (map[string]int, error) {
		fits, err := f.Run(ctx)
		return fits.Counts(), err
	}}
}

// ScoreJob scores the plans that recorded sessions followed, after each fit.
func ScoreJob(s *Scorer) Job {
	return Job{Name: "score", When: "52 * * * *", Jitter: 2 * time.Minute, Deadline: 20 * time.Minute, Run: s.Run}
}

// OutlookJob builds drafts for every club: before first light, towards noon and
// in the evening, so that one with fresh weather lies ready when an officer looks.
func OutlookJob(o *Outlooker) Job {
	return Job{Name: "outlook", When: "7 4,10,17 * * *", Jitter: 4 * time.Minute, Deadline: 20 * time.Minute, Run: o.Run}
}

// OutlookScoreJob scores published outlooks, once a day: records come in late.
func OutlookScoreJob(s *OutlookScorer) Job {
	return Job{Name: "outlook-score", When: "19 3 * * *", Jitter: 4 * time.Minute, Deadline: 20 * time.Minute, Run: s.Run}
}

// PruneJob deletes what is old and needed by nothing, at night in Europe.
func PruneJob(p *Pruner) Job {
	return Job{Name: "prune", When: "29 3 * * *", Jitter: 5 * time.Minute, Deadline: 20 * time.Minute, Run: p.Run}
}
