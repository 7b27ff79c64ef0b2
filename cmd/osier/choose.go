package main

import (
	"io"

	"osier/jobs"
	"osier/model"
)

type chooseCmd struct {
	Waters     []string `required:"" help:"The waters, with commas between." placeholder:"ID,ID"`
	From       string   `required:"" help:"The first day." placeholder:"YYYY-MM-DD"`
	Days       int      `required:"" help:"How many days, 1 to 14."`
	StartTime  string   `help:"First cast by the clock at the water (09:00 when not given)." placeholder:"HH:MM"`
	Hours      *float64 `required:"" help:"Hours to fish."`
	Group      string   `required:"" help:"silver, bream or carp."`
	Angler     string   `help:"Whose records and kit to use." placeholder:"HANDLE"`
	Peg        string   `help:"The peg's number; with one water only."`
	Bearing    *float64 `name:"cast-bearing" help:"Direction of the cast, degrees true; with one water only." placeholder:"DEG"`
	Distance   *float64 `help:"Distance of the spot, m (25 when not given)." placeholder:"M"`
	Depth      *float64 `help:"Depth at the spot, m (each water's mean when not given)." placeholder:"M"`
	RodMax     *float64 `help:"The most your rod casts, feeder and fill, g." placeholder:"G"`
	KnownWater string   `enum:"yes,no,," default:"" help:"yes or no, of all the waters; from your records when not given."`
	Alone      bool     `help:"You will be alone."`
	Keepnet    bool     `help:"You mean to use a keepnet."`
	Mode       string   `enum:"match,pleasure" default:"pleasure" help:"match or pleasure."`
}

func (c *chooseCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	planner := jobs.Planner{Store: db, Now: a.now}
	choice, err := planner.Choose(a.ctx, c.question())
	if err != nil {
		return err
	}
	a.print(choice, func(out io.Writer) { choiceText(out, choice) })
	return nil
}

func (c *chooseCmd) question() model.ChoiceQuestion {
	q := model.ChoiceQuestion{
		Waters: c.Waters, From: c.From, Days: c.Days, StartTime: c.StartTime,
		Hours: given[float64](c.Hours).Value, Group: model.Group(c.Group), Angler: c.Angler, Peg: c.Peg,
		BearingDeg: given[model.Degrees](c.Bearing), DistanceM: given[model.Metres](c.Distance),
		DepthM: given[model.Metres](c.Depth), RodMaxG: given[model.Grams](c.RodMax),
		Alone: c.Alone, Keepnet: c.Keepnet, Mode: c.Mode,
	}
	if c.KnownWater != "" {
		q.KnownWater = model.Known(c.KnownWater == "yes")
	}
	return q
}
