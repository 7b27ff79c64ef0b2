package main

import (
	"context"
	"fmt"
	"io"
	"time"

	"github.com/mattn/go-isatty"
	"github.com/schollz/progressbar/v3"

	"osier/jobs"
	"osier/model"
	"osier/model/store"
)

type pullCmd struct {
	feedFlags
	Water string    `help:"One water (all when not given)." placeholder:"ID"`
	From  time.Time `help:"First day of past weather to fetch from the archives." format:"2006-01-02" placeholder:"DAY"`
	To    time.Time `help:"Last day of past weather to fetch." format:"2006-01-02" placeholder:"DAY"`
}

func (c *pullCmd) Run(a *app) error {
	if c.From.IsZero() != c.To.IsZero() || c.To.Before(c.From) {
		return model.Invalidf("from, to", "give both days, the first before the last, or neither", "the span is not whole")
	}
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	waters, err := c.waters(a.ctx, db)
	if err != nil {
		return err
	}
	p, err := a.puller(c.feedFlags, db)
	if err != nil {
		return err
	}
	p.Progress = a.progress("asking the feeds")
	p.Warn = a.firstWarnings(5)
	run, err := jobs.RunJob(a.ctx, db, a.now, c.job(p, waters))
	a.print(run, func(out io.Writer) {
		fmt.Fprintf(out, "Asked %d times; %d new or changed reports, %d forecasts.\n", run.Counts["requests"], run.Counts["observations"], run.Counts["forecasts"])
		if n := run.Counts["warnings"]; n > 0 {
			fmt.Fprintf(out, "%d values or reports in the answers could not be used and were left out.\n", n)
		}
		if n := run.Counts["nothing there"]; n > 0 {
			fmt.Fprintf(out, "%d addresses had nothing: a station may be silent, or an archive without that year.\n", n)
		}
		if n := run.Counts["over budget"]; n > 0 {
			fmt.Fprintf(out, "%d questions were not asked: that feed's requests of the day are used up. Run it again tomorrow; what was fetched stays.\n", n)
		}
	})
	if err != nil {
		fmt.Fprintln(a.stderr, "osier:", err)
		return errSaid
	}
	return nil
}

func (c *pullCmd) waters(ctx context.Context, db *store.DB) ([]model.Water, error) {
	if c.Water != "" {
		w, err := db.Water(ctx, c.Water)
		return []model.Water{w}, err
	}
	waters, err := jobs.AllWaters(ctx, db)
	if err == nil && len(waters) == 0 {
		err = model.NotFoundf("water", "register one with: osier water add", "no water is registered")
	}
	return waters, err
}

func (c *pullCmd) job(p *jobs.Puller, waters []model.Water) jobs.Job {
	if c.From.IsZero() {
		return jobs.Job{Name: "pull", Run: func(ctx context.Context) (map[string]int, error) { return p.Run(ctx, waters) }}
	}
	return jobs.Job{Name: "backfill", Run: func(ctx context.Context) (map[string]int, error) {
		return p.Backfill(ctx, waters, c.From, c.To.Add(24*time.Hour))
	}}
}

// firstWarnings prints the first few things in the answers that could not be
// used; the count says how many there were.
func (a *app) firstWarnings(most int) func(string) {
	return func(warning string) {
		if most--; most >= 0 {
			fmt.Fprintln(a.stderr, "left out:", warning)
		}
	}
}

// progress draws a bar on a terminal, and nothing where nobody watches.
func (a *app) progress(what string) func(done, all int) {
	stream, ok := a.stderr.(interface{ Fd() uintptr })
	if !ok || a.json || !isatty.IsTerminal(stream.Fd()) {
		return nil
	}
	var bar *progressbar.ProgressBar
	return func(done, all int) {
		if bar == nil {
			bar = progressbar.NewOptions(all, progressbar.OptionSetWriter(a.stderr), progressbar.OptionSetDescription(what), progressbar.OptionClearOnFinish())
		}
		bar.ChangeMax(all) // an answer may lead to more questions
		_ = bar.Set(done)  // a bar that cannot be drawn is no failure
	}
}
