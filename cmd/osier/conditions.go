package main

import (
	"fmt"
	"io"
	"time"

	"osier/jobs"
	"osier/model"
)

type conditionsCmd struct {
	Water string    `required:"" help:"The water." placeholder:"ID"`
	At    time.Time `help:"The hour to begin with (now when not given)." placeholder:"RFC3339"`
	Hours int       `default:"12" help:"How many hours, 1 to 240."`

	Angler string `help:"Whose own records of the water's temperature count beside those that everybody sees." placeholder:"HANDLE"`

	Officer bool `help:"You are an officer of the club: show where closing the water should be considered."`
}

func (c *conditionsCmd) Run(a *app) error {
	if c.Hours < 1 || c.Hours > 240 {
		return model.Invalidf("hours", "give 1 to 240", "%d hours cannot be shown", c.Hours)
	}
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	from := c.At
	if from.IsZero() {
		from = a.now()
	}
	from = from.Truncate(time.Hour)
	planner := jobs.Planner{Store: db, Now: a.now, Officer: c.Officer}
	conditions, err := planner.ConditionsFor(a.ctx, c.Angler, c.Water, from, from.Add(time.Duration(c.Hours)*time.Hour))
	if err != nil {
		return err
	}
	a.print(conditions, func(out io.Writer) { conditionsText(out, conditions) })
	return nil
}

func conditionsText(out io.Writer, c model.Conditions) {
	fmt.Fprintf(out, "Conditions at %s, %s\n", c.Water, c.Zone)
	inventedText(out, c.Demo)
	fmt.Fprintf(out, "Weather: %s%s\n", c.Source, ageText(c.AgeMin))
	cautionsText(out, c.Cautions)
	hoursText(out, c.Hours)
	for _, note := range c.Notes {
		fmt.Fprintln(out, note)
	}
	for _, credit := range c.Credits {
		fmt.Fprintln(out, credit)
	}
	fmt.Fprintln(out, c.Deferral)
}

// hoursText is a table in clock order; a value nobody gave is a dash.
func hoursText(out io.Writer, hours []model.ConditionHour) {
	fmt.Fprintf(out, "%-13s %-12s %6s %6s %5s %5s %7s %-24s %s\n", "hour", "weather", "air C", "feels", "wind", "gust", "hPa", "trend over 3 h", "water C")
	for _, h := range hours {
		fmt.Fprintf(out, "%-13s %-12s %6s %6s %5s %5s %7s %-24s %.1f (%.1f to %.1f, %s)\n",
			h.At.Format("Mon 2 15:04"), h.Weather, tenths(h.AirC), tenths(h.FeelsLikeC), tenths(h.WindMps), tenths(h.GustMps),
			tenths(h.PressureHPa), h.TendencyText, h.WaterC.Value, h.WaterC.Low, h.WaterC.High, h.WaterC.Kind)
	}
}
