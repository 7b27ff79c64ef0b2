package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"sync"
	"time"

	"osier/api"
	"osier/api/auth"
	"osier/api/cache"
	"osier/jobs"
	"osier/model"
	"osier/model/store"
	"osier/openapi"
)

type serveCmd struct {
	feedFlags
	timesFlags
	frontFlags
	Listen string `default:"127.0.0.1:8086" help:"Address to serve on." env:"OSIER_LISTEN"`
	Cert   string `help:"Certificate file (PEM), for https." env:"OSIER_CERT" placeholder:"FILE"`
	Key    string `help:"Key file (PEM), for https." env:"OSIER_KEY" placeholder:"FILE"`
	Redis  string `help:"A cache that replicas share; without it each keeps its own." env:"OSIER_REDIS" placeholder:"URL"`

	Notice time.Duration `help:"How long to go on answering once told to stop, while /readyz says 503 already, so that a load balancer turns to others first." env:"OSIER_NOTICE" placeholder:"DURATION"`
}

// Run serves until it is told to stop, which may be before it is up.
func (c *serveCmd) Run(a *app) error {
	err := c.serve(a)
	if a.ctx.Err() != nil && errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}

func (c *serveCmd) serve(a *app) error {
	if (c.Cert == "") != (c.Key == "") {
		return model.Invalidf("cert, key", "give both files, or neither", "only one of the two was given")
	}
	if a.notice = c.Notice; a.notice < 0 {
		return model.Invalidf("notice", "give a time such as 5s, or none", "%s is over before it begins", c.Notice)
	}
	if err := c.timesFlags.check(a.now()); err != nil {
		return err
	}
	var err error
	if a.front, err = c.frontFlags.front(a); err != nil {
		return err
	}
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	asked := newFeedFigures()
	a.feeds = asked.through(http.DefaultTransport)
	a.watched = append(a.watched, asked.requests, asked.seconds)
	outlooker := &jobs.Outlooker{Store: db, Now: a.now}
	each, end, err := a.spread(outlooker.Drafts())
	if err != nil {
		return err
	}
	defer end()
	outlooker.Spread = each
	schedule, err := a.schedule(c.feedFlags, c.timesFlags, db, outlooker)
	if err != nil {
		return err
	}
	kept, err := a.cache(c.Redis, db)
	if err != nil {
		return err
	}
	defer kept.Close()
	return a.serve(a.ctx, db, kept, schedule, c.Listen, c.Cert, c.Key, false)
}

// closingCache is a cache that holds something open.
type closingCache interface {
	cache.Cache
	Close()
}

// cache makes the cache in this process, and puts it in front of Redis where
// there is one. Redis may come later or go away: it is a help and never a need.
// What is kept there is under the store's own name, since programs with other
// stores may use the same server.
func (a *app) cache(redis string, db *store.DB) (closingCache, error) {
	front, err := cache.NewInProcess(cacheBytes)
	if err != nil || redis == "" {
		return front, err
	}
	id, err := db.Identity(a.ctx)
	if err != nil {
		front.Close()
		return nil, err
	}
	back, err := cache.NewRedis(cache.RedisOptions{Address: redis, Prefix: "osier/1/" + id + "/", Log: a.log})
	if err != nil {
		front.Close()
		return nil, &model.Error{Code: model.Invalid, Field: "redis", Wrong: err.Error()}
	}
	a.watched = append(a.watched, redisFigures(back)...)
	return cache.NewTiered(front, back), nil
}

// cacheBytes bounds the in-process cache: some two thousand plans.
const cacheBytes = 64 << 20

// pointerBytes bounds what this process keeps of what is current.
const pointerBytes = 64 << 10

// renderDeadline is how long making one answer may take.
const renderDeadline = 20 * time.Second

// pointerDeadline is how long finding out what is current may take: one row is
// read for it, and every reader waits.
const pointerDeadline = 3 * time.Second

// serve answers the API and runs the schedule, if there is one, until the
// context ends.
func (a *app) serve(ctx context.Context, db *store.DB, kept cache.Cache, schedule *jobs.Schedule, address, cert, key string, demo bool) error {
	figures := newMetrics(demo)
	figures.registry.MustRegister(append(figuresOf(db, a.now), a.watched...)...)
	// What is cached lives by the real time, whatever clock --now sets.
	loader := cache.NewLoader(cache.LoaderOptions{Cache: figures.counting(kept), Deadline: renderDeadline, Now: time.Now, Log: a.log})
	defer loader.Close()
	own, err := cache.NewInProcess(pointerBytes)
	if err != nil {
		return err
	}
	defer own.Close()
	pointers := cache.NewLoader(cache.LoaderOptions{Cache: own, Deadline: pointerDeadline, Now: time.Now, Log: a.log})
	defer pointers.Close()
	recorder := &jobs.Recorder{Store: db, Now: a.now, Demo: demo}
	planner := &jobs.Planner{Store: jobs.KeepReads(db), Now: a.now}
	live := &jobs.Live{Store: db, Recorder: recorder, Now: a.now}
	limits, err := auth.NewLimiter()
	if err != nil {
		return err
	}
	defer limits.Close()
	l, err := listen(ctx, address)
	if err != nil {
		return err
	}
	defer l.Close()
	handler, err := api.New(api.Options{
		Waters: db, Planner: planner, Plans: planner, Restrictions: &jobs.Restrictor{Store: db, Now: a.now, Demo: demo},
		TrackRecords: &jobs.TrackRecorder{Store: db, Now: a.now}, Feeds: db,
		Findings: &jobs.Finder{Store: db, Now: a.now, Planted: a.planted}, Start: a.start,
		Clubs: &jobs.ClubRegister{Store: db, Now: a.now, Demo: demo}, Outlooks: &jobs.Outlooker{Store: db, Now: a.now},
		Recorder: recorder, Live: live, Summaries: &jobs.Summarizer{Store: db, Live: live}, Advisor: &jobs.Advisor{Store: db, Planner: planner, Live: live, Now: a.now, Moves: &jobs.MoveGrids{}}, Jobs: db, Answers: db, Revisions: db,
		Credentials: db, Owners: &jobs.Owners{Store: db}, Privacy: a.privacy(db, demo), Limits: limits, Loopback: isLoopback(l.Addr()) && !a.front.before(),
		PublicURL: a.front.publicURL, Proxies: a.front.proxies, Provider: a.front.provider,
		Loader: loader, Pointers: pointers, Metrics: figures, Ready: readyUntil(ctx, db.Ping), Now: a.now, Log: a.log, Document: openapi.Document(), Demo: demo,
	})
	if err != nil {
		return err
	}
	server, scheme := handler.HTTPServer(), "http"
	serve := func() error { return server.Serve(l) }
	if cert != "" {
		scheme = "https"
		serve = func() error { return server.ServeTLS(l, cert, key) }
	}
	address = scheme + "://" + l.Addr().String()
	a.print(map[string]string{"serving": address}, func(out io.Writer) { fmt.Fprintln(out, "Serving on", address) })
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	var jobs sync.WaitGroup
	if schedule != nil {
		figures.remember(ctx, db, schedule.Jobs)
		jobs.Go(func() { schedule.Run(ctx, figures) })
	}
	err = serveUntil(ctx, a.notice, server, serve)
	cancel()
	jobs.Wait()
	return err
}
