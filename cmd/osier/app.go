package main

import (
	"context"
	"io"
	"log/slog"
	"time"

	"osier/model/store"
)

// app is what every command is given: the clock, the streams and the folder.
type app struct {
	ctx            context.Context
	stdout, stderr io.Writer
	json           bool
	data           string
	now            func() time.Time
	log            *slog.Logger
}

func newApp(ctx context.Context, c cli, stdout, stderr io.Writer) *app {
	now := func() time.Time { return time.Now().UTC().Truncate(time.Second) }
	if !c.Now.IsZero() {
		fixed := c.Now.UTC()
		now = func() time.Time { return fixed }
	}
	return &app{
		ctx: ctx, stdout: stdout, stderr: stderr, json: c.JSON, data: c.Data, now: now,
		log: slog.New(slog.NewTextHandler(stderr, nil)),
	}
}

// open opens the store in the data folder.
func (a *app) open() (*store.DB, error) { return store.OpenSQLite(a.ctx, a.data) }

// print writes the answer: one document, or text for people.
func (a *app) print(v any, text func(w io.Writer)) {
	if a.json {
		a.writeJSON(v)
		return
	}
	text(a.stdout)
}
