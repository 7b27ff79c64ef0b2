package main

import (
	"fmt"
	"io"

	"osier/jobs"
	"osier/model"
)

type scoreCmd struct {
	Water    string `help:"Tell of one water only." placeholder:"ID"`
	Group    string `help:"Tell of one group only: silver, bream or carp." placeholder:"GROUP"`
	Backtest bool   `help:"Forecast the sessions on record from those before them, beside four simple references."`
}

// scoreDocument is the track record of all that is stored here, what only whoever
// keeps the records may see, and the backtest where one was asked for.
type scoreDocument struct {
	model.TrackRecord
	Trials   []jobs.FeedTrials    `json:"feed_trials"`
	Blanks   []jobs.AnglerBlanks  `json:"missing_blanks"`
	Backtest []jobs.GroupBacktest `json:"backtest,omitempty"`
}

func (c *scoreCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	if _, err := jobs.RunJob(a.ctx, db, a.now, jobs.JoinJob(&jobs.Joiner{Store: db, Now: a.now})); err != nil {
		return fmt.Errorf("join the sessions with their weather: %w", err)
	}
	run, err := jobs.RunJob(a.ctx, db, a.now, jobs.ScoreJob(&jobs.Scorer{Store: db, Now: a.now}))
	if err != nil {
		return fmt.Errorf("score: %w", err)
	}
	recorder := jobs.TrackRecorder{Store: db, Now: a.now}
	var doc scoreDocument
	if doc.TrackRecord, err = recorder.OwnersRecord(a.ctx, c.Water, model.Group(c.Group)); err != nil {
		return err
	}
	if doc.Trials, err = jobs.Trials(a.ctx, db, c.Water, model.Group(c.Group)); err != nil {
		return err
	}
	if doc.Blanks, err = jobs.MissingBlanks(a.ctx, db, a.now()); err != nil {
		return err
	}
	if c.Backtest {
		tester := jobs.Backtester{Store: db, Progress: a.stages()}
		if doc.Backtest, err = tester.Run(a.ctx); err != nil {
			return err
		}
	}
	a.print(doc, func(out io.Writer) {
		trackText(out, doc.TrackRecord)
		notScoredText(out, run)
		trialsText(out, doc.Trials)
		blanksText(out, doc.Blanks)
		if c.Backtest {
			backtestText(out, doc.Backtest)
		}
	})
	return nil
}

// stages draws one bar after another.
func (a *app) stages() func(what string, done, all int) {
	var doing string
	var bar func(done, all int)
	return func(what string, done, all int) {
		if what != doing {
			doing, bar = what, a.progress(what)
		}
		if bar != nil {
			bar(done, all)
		}
	}
}
