package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"osier/model"
)

// outlookText prints an outlook: what was decided since first, then each water
// with a paragraph and a table a day.
func outlookText(out io.Writer, o model.Outlook) {
	fmt.Fprintf(out, "Outlook %s of %s: %d days from %s\n", o.ID, o.ClubName, o.Days, o.From)
	inventedText(out, o.Demo)
	fmt.Fprintln(out, stateText(o))
	for _, s := range o.SincePublished {
		fmt.Fprintln(out, s.Text)
	}
	if o.Note != "" {
		fmt.Fprintf(out, "The club says: %s\n", o.Note)
	}
	for _, w := range o.AsNow().Waters {
		fmt.Fprintf(out, "\n%s\n", w.Name)
		if w.Note != "" {
			fmt.Fprintf(out, "  The club says: %s\n", w.Note)
		}
		for _, d := range w.Days {
			outlookDayText(out, d)
		}
	}
	outlookEndText(out, o.Notes, o.Credits, o.Deferral)
}

func outlookEndText(out io.Writer, notes, credits []string, deferral string) {
	fmt.Fprintln(out)
	for _, text := range append(append(append([]string{}, notes...), credits...), deferral) {
		fmt.Fprintln(out, text)
	}
}

func stateText(o model.Outlook) string {
	text := "A draft, built " + o.BuiltAt.Format(time.RFC3339) + "."
	if o.Publish != nil {
		text = fmt.Sprintf("Published %s by %s.", o.Publish.At.Format(time.RFC3339), o.Publish.By)
	}
	if o.Follows != "" {
		text += " It supersedes " + o.Follows + "."
	}
	if o.SupersededBy != "" {
		text += " Superseded by " + o.SupersededBy + "."
	}
	if o.NewerDraft != "" {
		text += " There are newer figures: " + o.NewerDraft + "."
	}
	return text
}

func outlookDayText(out io.Writer, d model.OutlookDay) {
	fmt.Fprintf(out, "\n  %s\n  %s\n", dayText(d.From), d.Paragraph)
	for _, g := range d.Groups {
		if g.Activity == nil {
			continue
		}
		r := g.Activity.BitesPerH
		fmt.Fprintf(out, "    %-7s %-6s %4.0f g/h  %-2s %3.0f ml  %g bites/h, nine in ten between %g and %g\n",
			g.Group, g.Level, float64(g.RateGH), g.FeederStep, float64(g.CapacityMl), r.Median, r.Low90, r.High90)
	}
	hoursComparedText(out, d.Groups)
}

// hoursComparedText is the table of the hours in clock order, with a column for
// each group.
func hoursComparedText(out io.Writer, groups []model.OutlookGroup) {
	if len(groups) == 0 || len(groups[0].HoursCompared) == 0 {
		return
	}
	names := make([]string, len(groups))
	for i, g := range groups {
		names[i] = fmt.Sprintf("%-18s", g.Group)
	}
	fmt.Fprintf(out, "    hour   %s\n", strings.TrimRight(strings.Join(names, ""), " "))
	for i, h := range groups[0].HoursCompared {
		cells := make([]string, len(groups))
		for j, g := range groups {
			cells[j] = "struck out"
			if r := g.HoursCompared[i].BitesPerH; r != nil {
				cells[j] = fmt.Sprintf("%g (%g to %g)", r.Median, r.Low90, r.High90)
			}
			cells[j] = fmt.Sprintf("%-18s", cells[j])
		}
		fmt.Fprintf(out, "    %s  %s\n", h.At.Format("15:04"), strings.TrimRight(strings.Join(cells, ""), " "))
	}
}

func dayText(t time.Time) string { return t.Format("Monday 2 January 2006") }

func waterOutlookText(out io.Writer, w model.WaterOutlook) {
	fmt.Fprintf(out, "%s (%s)\n", w.Name, w.Water)
	inventedText(out, w.Demo)
	for _, d := range w.Days {
		if d.Published {
			fmt.Fprintf(out, "\n  Published by %s of %s (%s)\n", d.Publish.By, d.ClubName, d.Outlook)
		} else {
			fmt.Fprintln(out, "\n  Not published: built now from what is known")
		}
		for _, s := range d.Since {
			fmt.Fprintf(out, "  %s\n", s.Text)
		}
		for _, note := range []string{d.Note, d.WaterNote} {
			if note != "" {
				fmt.Fprintf(out, "  The club says: %s\n", note)
			}
		}
		outlookDayText(out, d.Day)
	}
	outlookEndText(out, w.Notes, w.Credits, w.Deferral)
}

func entryText(e model.OutlookEntry) string {
	text := fmt.Sprintf("%s  %-9s  %d days from %s, built %s", e.ID, e.State, e.Days, e.From, e.BuiltAt.Format(time.RFC3339))
	if e.Publish != nil {
		text += ", published " + e.Publish.At.Format(time.RFC3339) + " by " + e.Publish.By
	}
	if e.Edited {
		text += ", edited"
	}
	if e.SupersededBy != "" {
		text += ", superseded by " + e.SupersededBy
	}
	return text
}

func outlookScoreText(s model.OutlookScore) string {
	of := "all groups"
	if s.Group != "" {
		of = string(s.Group)
	}
	text := fmt.Sprintf("%-10s  %s, %s: %s sessions", s.Date, s.Water, of, s.Sessions)
	if !s.Expected.Known {
		return text + "; figures are withheld: " + strings.Join(s.Withheld, ", ")
	}
	return fmt.Sprintf("%s; expected %g bites/h, recorded %g; %.0f in 100 counts inside the interval", text, s.Expected.Value, s.Observed.Value, 100*s.Inside90.Value)
}
