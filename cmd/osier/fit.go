package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"

	"osier/jobs"
	"osier/model"
	"osier/model/activity"
)

type fitCmd struct {
	Angler string `help:"Show this angler's own fit; without it the public one is shown, or the own fit of the only angler there is." placeholder:"HANDLE"`
}

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
	var fits jobs.Fits
	fitter := jobs.Fitter{Store: db, Now: a.now, Progress: func(what string) { fmt.Fprintln(a.stderr, "fitting", what) }}
	job := jobs.FitJob(&fitter)
	job.Run = func(ctx context.Context) (map[string]int, error) {
		fits, err = fitter.Run(ctx)
		return fits.Counts(), err
	}
	if _, err := jobs.RunJob(a.ctx, db, a.now, job); err != nil {
		return fmt.Errorf("fit: %w", err)
	}
	record, err := c.shown(fits)
	if err != nil {
		return err
	}
	byGroup := map[model.Group]activity.Fit{}
	if err := json.Unmarshal(record.Body, &byGroup); err != nil {
		return fmt.Errorf("read the fit: %w", err)
	}
	a.print(record, func(out io.Writer) { err = fitText(out, fits, record, byGroup) })
	return err
}

// shown picks the fit to tell of.
func (c *fitCmd) shown(fits jobs.Fits) (model.FitRecord, error) {
	if c.Angler == "" && fits.Public.Sessions == 0 && len(fits.Own) == 1 {
		return fits.Own[0], nil
	}
	if c.Angler == "" {
		return fits.Public, nil
	}
	var known []string
	for _, own := range fits.Own {
		if own.Angler == c.Angler {
			return own, nil
		}
		known = append(known, own.Angler)
	}
	return model.FitRecord{}, model.Invalidf("angler", "name one of: "+strings.Join(known, ", "), "%s has no fit of their own: every session of theirs is in the public one, or none is on record", c.Angler)
}

// fitText says in plain words what the records have taught, group by group.
func fitText(out io.Writer, fits jobs.Fits, r model.FitRecord, byGroup map[model.Group]activity.Fit) error {
	switch {
	case r.Angler != "":
		fmt.Fprintf(out, "Fit %s of %s: %d sessions of %d anglers, theirs and the public ones.\n", r.ID, r.Angler, r.Sessions, r.Anglers)
	case r.Sessions == 0:
		fmt.Fprintln(out, "The public fit holds no session: a water's are read once at least 5 anglers have added 10 or more between them, none of them over half. Until then the prior speaks for anybody's plan, and each angler's own sessions for theirs.")
	default:
		fmt.Fprintf(out, "Fit %s, the public one: %d sessions of %d anglers.\n", r.ID, r.Sessions, r.Anglers)
	}
	weatherReadText(out, r)
	for _, g := range model.Groups() {
		if err := groupText(out, g, byGroup[g]); err != nil {
			return err
		}
	}
	for _, own := range fits.Own {
		if own.ID != r.ID {
			fmt.Fprintf(out, "\nOwn fit of %s: %d sessions (osier fit --angler %s tells).", own.Angler, own.Sessions, own.Angler)
		}
	}
	if len(fits.Own) > 0 {
		fmt.Fprintln(out)
	}
	if fits.Kept > 0 {
		fmt.Fprintf(out, "\n%d renewals were turned down: they forecast the sessions since the last one worse.\n", fits.Kept)
	}
	return nil
}

// weatherReadText says which weather the sessions of a fit were read with.
func weatherReadText(out io.Writer, r model.FitRecord) {
	observed := r.Sessions - r.AsForecast
	switch {
	case r.Sessions == 0:
	case r.AsForecast == 0:
		fmt.Fprintln(out, "All by the weather as observed: no forecast was kept of their days, as there is for sessions to come.")
	case observed == 0:
		fmt.Fprintln(out, "All by the weather as forecast then.")
	default:
		fmt.Fprintf(out, "%d sessions by the weather as forecast then, %d by the weather as observed, where no forecast was kept.\n", r.AsForecast, observed)
	}
}

func groupText(out io.Writer, g model.Group, f activity.Fit) error {
	if f.Sessions == 0 {
		fmt.Fprintf(out, "\n%s: no session on record; the prior alone speaks.\n", g)
		return nil
	}
	effects, err := f.Effects()
	if err != nil {
		return fmt.Errorf("say what the fit found for %s: %w", g, err)
	}
	fmt.Fprintf(out, "\n%s: %d sessions in %d rows; %d Newton steps, condition %.0f.\n", g, f.Sessions, f.Rows, f.Count.Steps, f.Condition)
	for k, factor := range f.Count.Factors {
		fmt.Fprintf(out, "  one %s against another: typically %.0f %% more or fewer bites, all else equal\n", factor.Name, 100*(math.Exp(f.Count.Spread.SDs[k])-1))
	}
	fmt.Fprintf(out, "  a session's own luck: the middle half of sessions lie between %.2f and %.2f times their mean\n", f.LuckQuartiles()[0], f.LuckQuartiles()[1])
	if f.CarryOver.Both {
		fmt.Fprintln(out, "  spells that last drive plans of feed and bites alike here: what is said of feed is not to be trusted far")
	}
	waiting := 0
	for _, e := range effects {
		if !e.Learnt {
			waiting++
			continue
		}
		fmt.Fprintf(out, "  %s\n", e.Text)
	}
	if waiting > 0 {
		fmt.Fprintf(out, "  of %d more drivers the records say too little yet: the prior stands\n", waiting)
	}
	return nil
}
