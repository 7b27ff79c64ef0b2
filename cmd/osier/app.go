package main

import (
	"context"
	"io"
	"log/slog"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus"

	"osier/api/page"
	"osier/model"
	"osier/model/store"
)

// app is what every command is given: the clock, the streams and the store.
type app struct {
	ctx            context.Context
	stdout, stderr io.Writer
	json           bool
	data           string // the folder of the store
	postgres       string // the database that holds it instead; it may hold a password
	now            func() time.Time
	log            *slog.Logger
	front          front                  // how the server is reached; of serve alone
	start          []page.Start           // the demo's pages to open first
	planted        *model.PlantedTruth    // what the demo's records were made from
	feeds          http.RoundTripper      // how feeds are asked; the ordinary way when nil
	notice         time.Duration          // from being told to stop until a server lets nobody new in
	watched        []prometheus.Collector // what a server's figures tell of besides its own work
}

func newApp(ctx context.Context, c cli, stdout, stderr io.Writer) *app {
	now := func() time.Time { return time.Now().UTC().Truncate(time.Second) }
	if !c.Now.IsZero() {
		fixed := c.Now.UTC()
		now = func() time.Time { return fixed }
	}
	return &app{
		ctx: ctx, stdout: stdout, stderr: stderr, json: c.JSON, data: c.Data, postgres: c.Postgres, now: now,
		log: slog.New(slog.NewTextHandler(stderr, nil)),
	}
}

// open opens the store, in the database if one is given and otherwise in the
// data folder.
func (a *app) open() (*store.DB, error) {
	if a.postgres != "" {
		return store.OpenPostgres(a.ctx, a.postgres)
	}
	return store.OpenSQLite(a.ctx, a.data)
}

// print writes the answer: one document, or text for people.
func (a *app) print(v any, text func(w io.Writer)) {
	if a.json {
		a.writeJSON(v)
		return
	}
	text(a.stdout)
}
