package main

import (
	"math/rand/v2"
	"time"

	"osier/jobs"
	"osier/model/store"
)

// timesFlags change when the jobs of the table in package jobs run.
type timesFlags struct {
	PullAt  string `help:"When to pull, in cron form and UTC (13,43 * * * * when not given)." env:"OSIER_PULL_AT" placeholder:"CRON"`
	JoinAt  string `help:"When to join sessions with their weather (22 * * * * when not given)." env:"OSIER_JOIN_AT" placeholder:"CRON"`
	FitAt   string `help:"When to fit the activity model (37 * * * * when not given)." env:"OSIER_FIT_AT" placeholder:"CRON"`
	ScoreAt string `help:"When to score plans against what came (52 * * * * when not given)." env:"OSIER_SCORE_AT" placeholder:"CRON"`

	OutlookAt      string `help:"When to build drafts of outlooks (7 4,10,17 * * * when not given)." env:"OSIER_OUTLOOK_AT" placeholder:"CRON"`
	OutlookScoreAt string `help:"When to score published outlooks (19 3 * * * when not given)." env:"OSIER_OUTLOOK_SCORE_AT" placeholder:"CRON"`

	PruneAt string `help:"When to delete what is old and needed by nothing (29 3 * * * when not given)." env:"OSIER_PRUNE_AT" placeholder:"CRON"`
}

// check refuses times that cannot be read or never come, also of a job that
// will not run.
func (f timesFlags) check(now time.Time) error {
	for _, flag := range []struct{ name, when string }{{"--pull-at", f.PullAt}, {"--join-at", f.JoinAt}, {"--fit-at", f.FitAt}, {"--score-at", f.ScoreAt}, {"--outlook-at", f.OutlookAt}, {"--outlook-score-at", f.OutlookScoreAt}, {"--prune-at", f.PruneAt}} {
		if flag.when == "" {
			continue
		}
		if err := jobs.CheckTimes(flag.name, flag.when, now); err != nil {
			return err
		}
	}
	return nil
}

// schedule is the one table of what runs. Without a contact no feed is asked,
// and the log says so: what is stored is still served.
func (a *app) schedule(f feedFlags, at timesFlags, db *store.DB, outlooker *jobs.Outlooker) (*jobs.Schedule, error) {
	var table []jobs.Job
	if f.Contact == "" && f.Feeds == "" {
		a.log.Warn("no weather is pulled: a contact is required before any live pull; give --contact MAIL or set OSIER_CONTACT")
	} else {
		p, err := a.puller(f, db)
		if err != nil {
			return nil, err
		}
		table = append(table, jobs.PullJob(p, db).At(at.PullAt))
	}
	table = append(table,
		jobs.JoinJob(&jobs.Joiner{Store: db, Now: a.now}).At(at.JoinAt),
		jobs.FitJob(&jobs.Fitter{Store: db, Now: a.now}).At(at.FitAt),
		jobs.ScoreJob(&jobs.Scorer{Store: db, Now: a.now}).At(at.ScoreAt),
		jobs.OutlookJob(outlooker).At(at.OutlookAt),
		jobs.OutlookScoreJob(&jobs.OutlookScorer{Store: db, Now: a.now}).At(at.OutlookScoreAt),
		jobs.PruneJob(&jobs.Pruner{Store: db, Now: a.now}).At(at.PruneAt))
	return jobs.NewSchedule(jobs.ScheduleOptions{
		Store: db, Now: a.now, Log: a.log, Jobs: table,
		Random: rand.New(rand.NewPCG(rand.Uint64(), rand.Uint64())),
	})
}
