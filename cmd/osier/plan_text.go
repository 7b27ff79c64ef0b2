package main

import (
	"fmt"
	"io"
	"strings"

	"osier/model"
)

// planText prints a plan to be read before leaving home: cautions first, then
// what to do, what to expect, why, and how sure.
func planText(out io.Writer, p model.Plan) {
	fmt.Fprintf(out, "Plan %s: %s for %s\n", p.ID, p.WaterName, p.Group)
	inventedText(out, p.Demo)
	fmt.Fprintf(out, "%s, %g hours, to %s\n", p.Start.Format("Monday 2 January 2006, 15:04 -0700"), p.Hours, p.Question.End().In(p.Start.Location()).Format("15:04"))
	if len(p.Cautions) > 0 {
		fmt.Fprintln(out, "\nCautions")
		cautionsText(out, p.Cautions)
	}
	doText(out, p)
	expectText(out, p)
	whyText(out, p)
	fmt.Fprintln(out, "\nThe hours")
	hoursText(out, p.Conditions)
	fmt.Fprintf(out, "Weather: %s%s\n", p.Weather.Source, ageText(p.Weather.AgeMin))
	for _, credit := range p.Weather.Credits {
		fmt.Fprintln(out, credit)
	}
	fmt.Fprintf(out, "\n%s\n", p.Deferral)
}

func doText(out io.Writer, p model.Plan) {
	f, d, r := p.Feed, p.Feeder, p.Rhythm
	fmt.Fprintln(out, "\nWhat to do")
	line(out, "feed", "%s, %.0f g/h damp; %d opening fills (%.0f g)%s; %.0f g damp in all, %.0f g dry", f.Level, float64(f.RateGH), f.OpeningFills, float64(f.OpeningG), release(f), float64(f.TotalDampG), float64(f.TotalDryG))
	if f.Cap != "" {
		line(out, "", "%s", f.Cap)
	}
	if d.NoSafeCast {
		line(out, "feeder", "no safe cast at that distance with that rod%s", longest(d.LongestM))
	} else {
		line(out, "feeder", "%s, %s, %.0f ml filled to %.2f, weight %.0f g, %.0f g loaded", strings.ReplaceAll(d.Type, "_", " "), d.Step, float64(d.CapacityMl), d.FillFactor, float64(d.WeightG.Value), float64(d.LoadedMassG.Value))
	}
	line(out, "rhythm", "soak %.1f min (%.0f to %.0f), a cast every %.1f min, %.1f fills an hour (%s)", r.SoakMin, r.SoakRange.Low, r.SoakRange.High, r.RecastMin, r.FillsPerH, r.Basis)
	line(out, "hook link", "%.0f to %.0f cm, %g to %g lb, hooks %s", p.HookLengthCm.Low, p.HookLengthCm.High, p.Tackle.HookLinkLb.Low, p.Tackle.HookLinkLb.High, p.Tackle.HookSizes)
	line(out, "rod", "%.1f to %.1f m, rated %.0f to %.0f g, tip %g to %g oz, line %s", p.Tackle.RodLengthM.Low, p.Tackle.RodLengthM.High, p.Tackle.RodRatingG.Low, p.Tackle.RodRatingG.High, p.Tackle.TipOz.Low, p.Tackle.TipOz.High, p.Tackle.LineText)
	line(out, "patience", "%.0f to %.0f min on a trusted spot before a large change", p.PatienceMin.Low, p.PatienceMin.High)
	for i, t := range p.Take {
		label := ""
		if i == 0 {
			label = "take"
		}
		line(out, label, "%s", t)
	}
	for _, n := range p.Notes {
		line(out, "note", "%s", n)
	}
}

func line(out io.Writer, label, format string, args ...any) {
	fmt.Fprintf(out, "  %-10s %s\n", label, fmt.Sprintf(format, args...))
}

func release(f model.FeedPlan) string {
	if f.OpeningFills == 0 || f.OpeningRelease == "" {
		return ""
	}
	return " emptied at the " + f.OpeningRelease
}

func longest(m model.Maybe[model.Metres]) string {
	if !m.Known || m.Value == 0 {
		return ""
	}
	return fmt.Sprintf("; %.0f m would work", float64(m.Value))
}

func expectText(out io.Writer, p model.Plan) {
	fmt.Fprintln(out, "\nWhat to expect")
	if p.Activity == nil {
		line(out, "bites", "nothing is shown: every hour is struck out by a caution")
		return
	}
	a := p.Activity
	line(out, "bites", "%s", a.Sentence)
	line(out, "count", "%d to %d bites in %g hours (nine in ten), fish %d to %d", a.Bites.Low90, a.Bites.High90, a.HoursCounted, a.Fish.Low90, a.Fish.High90)
	line(out, "hours", "%s", p.HoursText)
}

func whyText(out io.Writer, p model.Plan) {
	fmt.Fprintln(out, "\nWhy, and how sure")
	for _, r := range p.Reasons {
		line(out, "because", "%s", r.Text)
	}
	line(out, "feed", "%s", p.Feed.Choice.Text)
	line(out, "evidence", "%s", p.Evidence.Text)
	line(out, "confidence", "%s%s", p.Confidence.Level, because(p.Confidence.Because))
	for _, alt := range p.Alternatives {
		line(out, "instead", "%s", alt.Text)
	}
	for _, w := range p.WouldChange {
		line(out, "watch for", "%s", w)
	}
}

func because(reasons []string) string {
	if len(reasons) == 0 {
		return ""
	}
	return ": " + strings.Join(reasons, "; ")
}
