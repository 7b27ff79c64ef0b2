package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"osier/jobs"
	"osier/model"
	"osier/model/store"
)

type demoCmd struct {
	Listen string `default:"127.0.0.1:8086" help:"Address to serve on."`
	Once   bool   `help:"Print the plan and exit."`
}

// Run makes the invented club in a temporary folder, takes it through the whole
// program, prints one plan and serves. Nothing is left behind.
func (c *demoCmd) Run(a *app) (err error) {
	dir, err := os.MkdirTemp("", "osier-demo")
	if err != nil {
		return fmt.Errorf("make a folder for the demo: %w", err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	a.data, a.postgres = dir, "" // on embedded stores, whatever the environment says
	a.log = slog.New(slog.NewTextHandler(a.stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))
	db, err := a.open()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	world, report, err := a.takeInDemo(a.ctx, db)
	if err != nil {
		return err
	}
	if err := a.liveThroughDemo(a.ctx, db, world); err != nil {
		return err
	}
	planner := jobs.Planner{Store: db, Now: a.now}
	p, err := planner.Plan(a.ctx, world.question(a.now()))
	if err != nil {
		return fmt.Errorf("plan the demo's session: %w", err)
	}
	newcomer, err := planner.Plan(a.ctx, world.newcomersQuestion(a.now()))
	if err != nil {
		return fmt.Errorf("plan the demo's session for a newcomer: %w", err)
	}
	told, err := a.publishDemo(a.ctx, db, world)
	if err != nil {
		return err
	}
	track, err := (&jobs.TrackRecorder{Store: db, Now: a.now}).TrackRecord(a.ctx, "", "")
	if err != nil {
		return err
	}
	a.print(p, func(out io.Writer) { demoText(out, world, report, told, track, p, newcomer) })
	if c.Once {
		return nil
	}
	truth, err := json.MarshalIndent(world.Truth, "", "  ")
	if err != nil {
		return fmt.Errorf("write the truth: %w", err)
	}
	file := filepath.Join(dir, "truth.json")
	if err := os.WriteFile(file, truth, 0o600); err != nil {
		return fmt.Errorf("write the truth: %w", err)
	}
	if a.json {
		a.stdout = a.stderr // one document only goes to the output
	}
	fmt.Fprintf(a.stdout, "\n%s\nWhat the records were made from, and the errors planted in them: %s\n", invented, file)
	frost, closed, err := a.planInSpells(a.ctx, db, world)
	if err != nil {
		return err
	}
	a.start = demoPages(told.Club, p, newcomer, frost, closed)
	demoPagesText(a.stdout, a.start)
	if a.planted, err = plantedTruth(a.ctx, db, world, a.now()); err != nil {
		return fmt.Errorf("hold the demo's truth against what was found: %w", err)
	}
	kept, err := a.cache("", db)
	if err != nil {
		return err
	}
	defer kept.Close()
	return a.serve(a.ctx, db, kept, nil, c.Listen, "", "", true)
}

// loadDemo takes the invented club through the program's own stages. No session
// of it followed a plan.
func (a *app) loadDemo(ctx context.Context, db *store.DB) (demoWorld, model.Import, error) {
	world, report, err := a.takeInDemo(ctx, db)
	if err != nil {
		return world, report, err
	}
	return world, report, a.learnDemo(ctx, db)
}

// takeInDemo stores what was invented, its records by way of an import.
func (a *app) takeInDemo(ctx context.Context, db *store.DB) (demoWorld, model.Import, error) {
	var report model.Import
	world, err := newDemoWorld(demoSeed, a.now())
	if err != nil {
		return world, report, fmt.Errorf("invent the club: %w", err)
	}
	for _, w := range world.Waters {
		if err := db.PutWater(ctx, w); err != nil {
			return world, report, err
		}
	}
	for _, k := range world.Kits {
		if err := db.PutKit(ctx, k); err != nil {
			return world, report, err
		}
	}
	for _, r := range world.Reports {
		if err := db.PutReport(ctx, r); err != nil {
			return world, report, err
		}
	}
	if err := db.PutStations(ctx, []model.Station{world.Station}); err != nil {
		return world, report, err
	}
	if _, err := db.PutObservations(ctx, world.Observations); err != nil {
		return world, report, err
	}
	if err := db.PutForecast(ctx, world.Forecast); err != nil {
		return world, report, err
	}
	if report, err = a.importDemo(ctx, db, world); err != nil {
		return world, report, fmt.Errorf("import the invented records: %w", err)
	}
	return world, report, nil
}

// learnDemo joins the records with their weather, and fits.
func (a *app) learnDemo(ctx context.Context, db *store.DB) error {
	if err := a.joinDemo(ctx, db); err != nil {
		return err
	}
	_, err := jobs.RunJob(ctx, db, a.now, jobs.FitJob(&jobs.Fitter{Store: db, Now: a.now}))
	return err
}

func (a *app) joinDemo(ctx context.Context, db *store.DB) error {
	_, err := jobs.RunJob(ctx, db, a.now, jobs.JoinJob(&jobs.Joiner{Store: db, Now: a.now}))
	return err
}

// importDemo takes in both files of records, and adds their reports up.
func (a *app) importDemo(ctx context.Context, db *store.DB, world demoWorld) (model.Import, error) {
	recorder := jobs.Recorder{Store: db, Now: a.now, Demo: true}
	total, err := recorder.Import(ctx, "invented.csv", "", "", world.SessionsCSV)
	if err != nil {
		return total, err
	}
	logs, err := recorder.Import(ctx, "invented.json", "", "", world.SessionsJSON)
	total.Stored += logs.Stored
	total.Queried += logs.Queried
	total.Duplicates += logs.Duplicates
	total.Refused += logs.Refused
	return total, err
}

// question is the session the demo plans: RJ, the careful one, at the pit for
// bream, tomorrow from nine.
func (w demoWorld) question(now time.Time) model.Question {
	pit := w.Waters[0]
	zone, err := pit.Location()
	if err != nil {
		zone = time.UTC
	}
	day := now.In(zone).AddDate(0, 0, 1)
	return model.Question{
		Water: pit.ID, Start: time.Date(day.Year(), day.Month(), day.Day(), 9, 0, 0, 0, zone), Hours: 5,
		Group: model.Bream, Angler: "RJ", DistanceM: model.Known(model.Metres(40)), Mode: "pleasure",
	}
}

// newcomersQuestion is the same of somebody with no records.
func (w demoWorld) newcomersQuestion(now time.Time) model.Question {
	q := w.question(now)
	q.Angler = "newcomer"
	return q
}

func demoText(out io.Writer, w demoWorld, r model.Import, told model.Outlook, track model.TrackRecord, p, newcomer model.Plan) {
	fmt.Fprintf(out, "Hobbin Row Angling Circle. %s\n\nIts waters:\n", invented)
	for _, water := range w.Waters {
		fmt.Fprintf(out, "  %-18s %s, mean depth %.1f m\n", water.ID, water.Name, float64(water.MeanDepthM))
	}
	demoOutlookText(out, told)
	fmt.Fprintf(out, "\nIts records of one year, errors planted on purpose: %d sessions stored, %d of them with queries; %d duplicates; %d refused.\n",
		r.Stored, r.Queried, r.Duplicates, r.Refused)
	demoTrackText(out, track)
	fmt.Fprintln(out)
	planText(out, p)
	demoNewcomerText(out, newcomer)
}
