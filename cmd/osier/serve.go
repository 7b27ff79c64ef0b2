package main

import (
	"context"
	"errors"
	"fmt"
	"sync"

	"osier/api"
	"osier/api/cache"
	"osier/jobs"
	"osier/model"
	"osier/model/store"
	"osier/openapi"
)

type serveCmd struct {
	feedFlags
	Listen string `default:"127.0.0.1:8086" help:"Address to serve on." env:"OSIER_LISTEN"`
	Cert   string `help:"Certificate file (PEM), for https." env:"OSIER_CERT" placeholder:"FILE"`
	Key    string `help:"Key file (PEM), for https." env:"OSIER_KEY" placeholder:"FILE"`
}

func (c *serveCmd) Run(a *app) error {
	if (c.Cert == "") != (c.Key == "") {
		return model.Invalidf("cert, key", "give both files, or neither", "only one of the two was given")
	}
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	schedule, err := a.schedule(c.feedFlags, db)
	if err != nil {
		return err
	}
	return a.serve(a.ctx, db, schedule, c.Listen, c.Cert, c.Key, false)
}

// schedule is the one table of what runs when. Without a contact no feed is
// asked, and the log says so: what is stored is still served.
func (a *app) schedule(f feedFlags, db *store.DB) (*jobs.Schedule, error) {
	table := []jobs.Job{
		jobs.JoinJob(&jobs.Joiner{Store: db, Now: a.now}),
		jobs.FitJob(&jobs.Fitter{Store: db, Now: a.now}),
	}
	if f.Contact == "" && f.Feeds == "" {
		a.log.Warn("no weather is pulled: a contact is required before any live pull; give --contact MAIL or set OSIER_CONTACT")
		return jobs.NewSchedule(db, a.now, a.log, table)
	}
	p, err := a.puller(f, db)
	if err != nil {
		return nil, err
	}
	return jobs.NewSchedule(db, a.now, a.log, append([]jobs.Job{jobs.PullJob(p, db)}, table...))
}

// cacheBytes bounds the in-process cache: some two thousand plans.
const cacheBytes = 64 << 20

// serve answers the API and runs the schedule, if there is one, until the
// context ends.
func (a *app) serve(ctx context.Context, db *store.DB, schedule *jobs.Schedule, address, cert, key string, demo bool) error {
	kept, err := cache.NewInProcess(cacheBytes)
	if err != nil {
		return err
	}
	defer kept.Close()
	handler, err := api.New(api.Options{
		Waters: db, Planner: &jobs.Planner{Store: db, Now: a.now}, Plans: db,
		Recorder: &jobs.Recorder{Store: db, Now: a.now, Demo: demo}, Jobs: db, Answers: db, Revisions: db,
		Cache: kept, Ready: db.Ping, Now: a.now, Log: a.log, Document: openapi.Document(), Demo: demo,
	})
	if err != nil {
		return err
	}
	l, err := listen(ctx, address)
	if err != nil {
		return err
	}
	server, scheme := handler.HTTPServer(), "http"
	serve := func() error { return server.Serve(l) }
	if cert != "" {
		scheme = "https"
		serve = func() error { return server.ServeTLS(l, cert, key) }
	}
	fmt.Fprintf(a.stdout, "Serving on %s://%s\n", scheme, l.Addr())
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	var jobs sync.WaitGroup
	var fault error
	if schedule != nil {
		jobs.Go(func() {
			if fault = schedule.Run(ctx); fault != nil {
				cancel()
			}
		})
	}
	err = serveUntil(ctx, server, serve)
	cancel()
	jobs.Wait()
	return errors.Join(err, fault)
}
