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
}

// check refuses times that cannot be read or never come, also of a job that
// will not run.
func (f timesFlags) check(now time.Time) error {
	for _, flag := range []struct{ name, when string }{{"--pull-at", f.PullAt}, {"--join-at", f.JoinAt}, {"--fit-at", f.FitAt}, {"--score-at", f.ScoreAt}} {
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
func (a *app) schedule(f feedFlags, at timesFlags, db *store.DB) (*jobs.Schedule, error) {
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
		jobs.ScoreJob(&jobs.Scorer{Store: db, Now: a.now}).At(at.ScoreAt))
	return jobs.NewSchedule(jobs.ScheduleOptions{
		Store: db, Now: a.now, Log: a.log, Jobs: table,
		Random: rand.New(rand.NewPCG(rand.Uint64(), rand.Uint64())),
	})
}
