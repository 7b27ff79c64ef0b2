package main

import (
	"fmt"
	"io"
	"slices"

	"osier/model"
)

type pegCmd struct {
	Add pegAddCmd `cmd:"" help:"Register a peg, or change one."`
}

type pegAddCmd struct {
	Water      string   `required:"" help:"The water."`
	Number     string   `required:"" help:"The peg's number."`
	Facing     *float64 `help:"The way it faces, degrees true."`
	PowerLines *float64 `help:"Distance to the nearest overhead line, m."`
	Platform   *float64 `name:"platform-height" help:"Height of the platform above the water, m."`
}

func (c *pegAddCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	w, err := db.Water(a.ctx, c.Water)
	if err != nil {
		return err
	}
	p := model.Peg{
		Number: c.Number, FacingDeg: given[model.Degrees](c.Facing),
		PowerLinesM: given[model.Metres](c.PowerLines), PlatformHeightM: given[model.Metres](c.Platform),
	}
	w.Pegs = slices.DeleteFunc(w.Pegs, func(q model.Peg) bool { return q.Number == p.Number })
	w.Pegs = append(w.Pegs, p)
	if err := w.Validate(); err != nil {
		return err
	}
	if err := db.PutWater(a.ctx, w); err != nil {
		return err
	}
	a.print(w, func(out io.Writer) { fmt.Fprintf(out, "Registered peg %s of %s.\n", p.Number, w.Name) })
	return nil
}
