package main

import (
	"fmt"
	"io"
	"time"

	"osier/jobs"
	"osier/model"
)

type readingCmd struct {
	Water     string    `required:"" help:"The water." placeholder:"ID"`
	Temp      *float64  `help:"Water temperature, C." placeholder:"C"`
	OxygenMgL *float64  `name:"oxygen-mg-l" help:"Dissolved oxygen, mg/l." placeholder:"MG"`
	OxygenPct *float64  `name:"oxygen-pct" help:"Dissolved oxygen, % of saturation." placeholder:"PCT"`
	Depth     *float64  `help:"How far under the surface, m." placeholder:"M"`
	At        time.Time `help:"When it was read (now when not given)." placeholder:"RFC3339"`
	By        string    `help:"Who read it." placeholder:"HANDLE"`
	Guess     bool      `help:"It was guessed: kept, and corrects nothing."`
}

func (c *readingCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	at := c.At
	if at.IsZero() {
		at = a.now()
	}
	recorder := jobs.Recorder{Store: db, Now: a.now}
	m, fresh, err := recorder.RecordReading(a.ctx, model.MeterReading{
		Water: c.Water, At: at, WaterC: given[model.Celsius](c.Temp), OxygenMgL: given[float64](c.OxygenMgL), OxygenPct: given[float64](c.OxygenPct),
		DepthM: given[model.Metres](c.Depth), Instrument: !c.Guess, By: c.By,
	})
	if err != nil {
		return err
	}
	a.print(m, func(out io.Writer) { readingText(out, m, fresh) })
	return nil
}

func readingText(out io.Writer, m model.MeterReading, fresh bool) {
	done := "Recorded"
	if !fresh {
		done = "Stored already"
	}
	fmt.Fprintf(out, "%s: reading %s at %s.\n", done, m.ID, m.Water)
	for _, q := range m.Queries {
		fmt.Fprintf(out, "  query: %s\n", q.Text)
	}
	switch {
	case m.Calibrates():
		fmt.Fprintln(out, "It corrects the modelled water from then on, ever less as it ages, once there is weather to model it from.")
	case m.WaterC.Known:
		fmt.Fprintln(out, "It is kept, and corrects nothing.")
	}
}
