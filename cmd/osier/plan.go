package main

import (
	"io"
	"time"

	"osier/jobs"
	"osier/model"
)

type planCmd struct {
	Water      string    `required:"" help:"The water." placeholder:"ID"`
	Season     bool      `help:"The water's year, month by month, in place of one outing: takes --group and --hours, and needs neither."`
	Start      time.Time `help:"First cast (RFC 3339)." placeholder:"RFC3339"`
	Hours      *float64  `help:"Hours to fish."`
	Group      string    `help:"silver, bream or carp."`
	Angler     string    `help:"Whose records and kit to use." placeholder:"HANDLE"`
	Peg        string    `help:"The peg's number."`
	Bearing    *float64  `name:"cast-bearing" help:"Direction of the cast, degrees true; without it the whole wind counts as side wind." placeholder:"DEG"`
	Distance   *float64  `help:"Distance of the spot, m (25 when not given)." placeholder:"M"`
	Depth      *float64  `help:"Depth at the spot, m (the water's mean when not given)." placeholder:"M"`
	RodMax     *float64  `help:"The most your rod casts, feeder and fill, g." placeholder:"G"`
	KnownWater string    `enum:"yes,no,," default:"" help:"yes or no; from your records when not given."`
	Alone      bool      `help:"You will be alone."`
	Keepnet    bool      `help:"You mean to use a keepnet."`
	Try        bool      `help:"Draw a feed level at random among those that your records support, so that they can tell what feed does."`
	Mode       string    `enum:"match,pleasure" default:"pleasure" help:"match or pleasure."`
}

// Validate names what a plan cannot do without.
func (c *planCmd) Validate() error {
	switch {
	case c.Season:
		return nil
	case c.Start.IsZero():
		return model.Invalidf("start", "give --start, such as 2026-11-28T09:00:00Z, or --season", "no start is given")
	case c.Group == "":
		return model.Invalidf("group", "give --group silver, bream or carp", "no group is given")
	}
	return nil
}

func (c *planCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	planner := jobs.Planner{Store: db, Now: a.now}
	if c.Season {
		return c.season(a, &planner)
	}
	p, err := planner.Plan(a.ctx, c.question())
	if err != nil {
		return err
	}
	a.print(p, func(out io.Writer) { planText(out, p) })
	return nil
}

func (c *planCmd) question() model.Question {
	q := model.Question{
		Water: c.Water, Start: c.Start, Hours: given[float64](c.Hours).Value, Group: model.Group(c.Group), Angler: c.Angler, Peg: c.Peg,
		BearingDeg: given[model.Degrees](c.Bearing), DistanceM: given[model.Metres](c.Distance),
		DepthM: given[model.Metres](c.Depth), RodMaxG: given[model.Grams](c.RodMax),
		Alone: c.Alone, Keepnet: c.Keepnet, Mode: c.Mode, Try: c.Try,
	}
	if c.KnownWater != "" {
		q.KnownWater = model.Known(c.KnownWater == "yes")
	}
	return q
}
