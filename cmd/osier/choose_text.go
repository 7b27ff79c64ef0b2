package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"osier/model"
)

// choiceText prints the options in order of time and in no other, each as a
// paragraph: a table of them would be read as a ranking.
func choiceText(out io.Writer, c model.Choice) {
	q := c.Question
	fmt.Fprintf(out, "Which water, which day: %s for %g hours from %s\n", q.Group, q.Hours, q.StartTime)
	inventedText(out, c.Demo)
	fmt.Fprintf(out, "\n%s\n", c.Summary)
	for _, o := range c.Options {
		fmt.Fprintf(out, "\n%s, %s to %s\n", o.WaterName, o.Start.Format("Monday 2 January 2006, 15:04"), o.Plan.End().In(o.Start.Location()).Format("15:04 -0700"))
		optionText(out, o)
		if i := slices.IndexFunc(c.Comparisons, func(p model.ChoiceComparison) bool { return p.Water == o.Water && p.Start.Equal(o.Start) }); i >= 0 {
			line(out, "compared", "%s", c.Comparisons[i].Text)
		}
	}
	if len(c.Refused) > 0 {
		fmt.Fprintln(out, "\nNothing can be said about")
	}
	for _, r := range c.Refused {
		fmt.Fprintf(out, "  %s on %s: %s: %s; %s\n", r.WaterName, r.Day, r.Field, r.Wrong, r.Right)
	}
	fmt.Fprintln(out)
	for _, n := range append(slices.Clone(c.Notes), c.Credits...) {
		fmt.Fprintln(out, n)
	}
	fmt.Fprintf(out, "\n%s\n", c.Deferral)
}

func optionText(out io.Writer, o model.ChoiceOption) {
	for _, k := range o.Cautions {
		line(out, string(k.Level), "%s", k.Text)
	}
	if len(o.NotChecked) > 0 {
		line(out, "unchecked", "%s", strings.ReplaceAll(strings.Join(o.NotChecked, ", "), "_", " "))
	}
	if o.Struck {
		line(out, "bites", "nothing is shown: every hour is struck out by a caution")
		return
	}
	line(out, "water", "%.1f C (%.1f to %.1f)", o.WaterC.Value, o.WaterC.Low, o.WaterC.High)
	line(out, "feed", "%s, %.0f g/h damp; a feeder of %.0f ml, %s", o.Feed.Level, float64(o.Feed.RateGH), float64(o.Feeder.CapacityMl), o.Feeder.Step)
	line(out, "bites", "%s", o.Activity.Sentence)
	if o.Activity.HoursCounted < o.Hours {
		line(out, "", "over %g of %g hours; the others are struck out by a caution", o.Activity.HoursCounted, o.Hours)
	}
	line(out, "confidence", "%s%s", o.Confidence.Level, because(o.Confidence.Because))
}
