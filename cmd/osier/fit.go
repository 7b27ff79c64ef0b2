package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"

	"osier/jobs"
	"osier/model"
	"osier/model/activity"
)

type fitCmd struct{}

func (c *fitCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	joiner := jobs.Joiner{Store: db, Now: a.now}
	if _, err := jobs.RunJob(a.ctx, db, a.now, jobs.JoinJob(&joiner)); err != nil {
		return fmt.Errorf("join the sessions with their weather: %w", err)
	}
	var record model.FitRecord
	fitter := jobs.Fitter{Store: db, Now: a.now}
	job := jobs.FitJob(&fitter)
	job.Run = func(ctx context.Context) (map[string]int, error) {
		record, err = fitter.Run(ctx)
		return map[string]int{"sessions": record.Sessions, "anglers": record.Anglers}, err
	}
	if _, err := jobs.RunJob(a.ctx, db, a.now, job); err != nil {
		return fmt.Errorf("fit: %w", err)
	}
	fits := map[model.Group]activity.Fit{}
	if err := json.Unmarshal(record.Body, &fits); err != nil {
		return fmt.Errorf("read the fit: %w", err)
	}
	a.print(record, func(out io.Writer) { err = fitText(out, record, fits) })
	return err
}

// fitText says in plain words what the records have taught, group by group.
func fitText(out io.Writer, r model.FitRecord, fits map[model.Group]activity.Fit) error {
	fmt.Fprintf(out, "Fit %s: %d sessions of %d anglers.\n", r.ID, r.Sessions, r.Anglers)
	for _, g := range model.Groups() {
		f := fits[g]
		if f.Weight == 0 {
			fmt.Fprintf(out, "\n%s: %d sessions, fewer than the 10 it takes; the prior alone speaks.\n", g, f.Rows)
			continue
		}
		fmt.Fprintf(out, "\n%s: %d sessions; the records weigh %.0f in 100 against the prior.\n", g, f.Rows, 100*f.Weight)
		effects, err := f.Effects()
		if err != nil {
			return fmt.Errorf("say what the fit found for %s: %w", g, err)
		}
		for _, e := range effects {
			if e.Learnt {
				fmt.Fprintf(out, "  %s\n", e.Text)
			}
		}
	}
	return nil
}
