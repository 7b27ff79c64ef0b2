package main

import (
	"fmt"
	"io"
	"slices"

	"osier/jobs"
	"osier/model"
)

// usualSessionH is the session a season is told for when nobody says.
const usualSessionH = 5.0

func (c *planCmd) season(a *app, planner *jobs.Planner) error {
	var groups []model.Group
	if c.Group != "" {
		g := model.Group(c.Group)
		if err := g.Validate("group"); err != nil {
			return err
		}
		groups = append(groups, g)
	}
	hours := usualSessionH
	if c.Hours != nil {
		hours = *c.Hours
	}
	s, err := planner.Season(a.ctx, c.Water, groups, hours)
	if err != nil {
		return err
	}
	a.print(s, func(out io.Writer) { seasonText(out, s) })
	return nil
}

// seasonText prints one table a group, in the order of the months.
func seasonText(out io.Writer, s model.SeasonPlan) {
	fmt.Fprintf(out, "The year at %s\n", s.WaterName)
	if s.Demo {
		fmt.Fprintln(out, "INVENTED: this club, its waters, people, weather and catches do not exist.")
	}
	for i := range s.Months[0].Groups {
		fmt.Fprintf(out, "\n%s\n", s.Months[0].Groups[i].Group)
		fmt.Fprintln(out, "month water C     feed, g/h      size soak  hook cm day h bites/h (nine in ten)")
		for _, m := range s.Months {
			g := m.Groups[i]
			fmt.Fprintf(out, "%-5s %-11s %-14s %-4s %-5s %-7s %-5.1f %s (%s to %s)\n", m.Name[:3], degrees(m.WaterC),
				fmt.Sprintf("%s %.0f-%.0f", g.Level, g.RateGH.Low, g.RateGH.High), g.Step, fmt.Sprintf("%.0f-%.0f", g.SoakMin.Low, g.SoakMin.High),
				fmt.Sprintf("%.0f-%.0f", g.HookLengthCm.Low, g.HookLengthCm.High), m.Light.DayLengthH,
				bitesFigure(g.BitesPerH.Median), bitesFigure(g.BitesPerH.Low90), bitesFigure(g.BitesPerH.High90))
		}
	}
	if slices.ContainsFunc(s.Months, func(m model.SeasonMonth) bool { return m.WaterC.Basis == model.ByClimate }) {
		fmt.Fprintln(out, "* by the climate of the water alone")
	}
	fmt.Fprintln(out, "\nWinter against summer")
	for _, line := range s.Against {
		fmt.Fprintf(out, "  %s\n", line)
	}
	fmt.Fprintln(out, "\nMonth by month")
	for _, m := range s.Months {
		fmt.Fprintf(out, "  %s (%s by the water): %s\n", m.Name, m.Band, m.Light.WorthFishing)
		for _, c := range m.Cautions {
			if c.Level == model.NotChecked {
				continue // a note below says so once for the year
			}
			fmt.Fprintf(out, "    %s: %s\n", c.Level, c.Text)
		}
	}
	fmt.Fprintln(out)
	for _, n := range s.Notes {
		fmt.Fprintln(out, n)
	}
	for _, credit := range s.Credits {
		fmt.Fprintln(out, credit)
	}
	fmt.Fprintf(out, "\n%s\n", s.Deferral)
}

// degrees marks a month that rests on the climate alone.
func degrees(w model.SeasonWater) string {
	mark := ""
	if w.Basis == model.ByClimate {
		mark = "*"
	}
	return fmt.Sprintf("%.0f (%.0f-%.0f)%s", w.Middle, w.Low, w.High, mark)
}

func bitesFigure(v float64) string {
	if v < 10 {
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.0f", v)
}
