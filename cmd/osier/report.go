package main

import (
	"crypto/rand"
	"fmt"
	"io"
	"time"

	"github.com/oklog/ulid/v2"

	"osier/model"
)

type reportCmd struct {
	Water string    `required:"" help:"The water."`
	Kind  string    `required:"" help:"ice, bloom, distress, spawning, thunder or invasive (a species that must not be carried on)."`
	At    time.Time `help:"When it was seen (now when not given)."`
	By    string    `help:"Who saw it."`
	Note  string    `help:"A few words."`
}

func (c *reportCmd) Run(a *app) error {
	now := a.now()
	r := model.Report{Water: c.Water, Kind: model.ReportKind(c.Kind), At: c.At, By: c.By, Note: c.Note}
	if r.At.IsZero() {
		r.At = now
	}
	if err := r.Validate(); err != nil {
		return err
	}
	if r.At.After(now.Add(15 * time.Minute)) {
		return model.Invalidf("at", "give a time that has passed", "%s lies ahead", r.At.Format(time.RFC3339))
	}
	id, err := ulid.New(ulid.Timestamp(now), rand.Reader)
	if err != nil {
		return fmt.Errorf("make an identifier: %w", err)
	}
	r.ID = id.String()
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	w, err := db.Water(a.ctx, c.Water)
	if err != nil {
		return err
	}
	if err := db.PutReport(a.ctx, r); err != nil {
		return err
	}
	a.print(r, func(out io.Writer) { fmt.Fprintf(out, "Recorded %s at %s.\n", r.Kind, w.Name) })
	return nil
}
