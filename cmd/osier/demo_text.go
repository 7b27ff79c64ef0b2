package main

import (
	"fmt"
	"io"

	"osier/api/page"
	"osier/model"
)

// demoTrackText tells how the plans of the invented year fared, as far as anybody
// may be told.
func demoTrackText(out io.Writer, t model.TrackRecord) {
	fmt.Fprintf(out, "\nIts plans of that year against what came (all of it: /track-record): %d sessions may be told of, %d without fish.\n", t.Sessions, t.NoFish)
	if f := t.Figures; f != nil {
		fmt.Fprintf(out, "  %.0f in 100 counts fell inside the 90 %% interval", 100*f.Cover90)
		if f.MeanRatio.Known {
			fmt.Fprintf(out, "; %.2f bites were expected for each that came", f.MeanRatio.Value)
		}
		fmt.Fprintln(out, ".")
	} else {
		fmt.Fprintf(out, "  Figures are given from %d sessions on.\n", t.FewestFigures)
	}
	for _, finding := range t.Findings {
		fmt.Fprintf(out, "  Not good: %s.\n", finding)
	}
}

// demoNewcomerText sets beside RJ's plan what somebody without records is told.
func demoNewcomerText(out io.Writer, p model.Plan) {
	fmt.Fprintln(out, "\nThe same for a newcomer with no records:")
	line(out, "feed", "%s, %.0f g/h", p.Feed.Level, float64(p.Feed.RateGH))
	if p.Activity != nil {
		line(out, "bites", "%s", p.Activity.Sentence)
	}
}

// demoPages are those that show what there is to see.
func demoPages(club string, p, newcomer, frost, closed model.Plan) []page.Start {
	return []page.Start{
		{Title: "The club's outlook, and what it closed and why", Path: page.ClubPath(club)},
		{Title: "A plan for " + p.Question.Angler + ", with what to feed and why", Path: page.PlanPath(p.ID)},
		{Title: "The same plan for a newcomer with no records", Path: page.PlanPath(newcomer.ID)},
		{Title: "What the records can tell and cannot, and how each planted error was caught", Path: page.FindingsPath},
		{Title: "Plans against what came, the bad ones too", Path: page.TrackRecordPath},
		{Title: "A plan in the January frost: its cautions", Path: page.PlanPath(frost.ID)},
		{Title: "A plan in the July closure: nothing to fish", Path: page.PlanPath(closed.ID)},
		{Title: "Winter against summer", Path: page.SeasonPath(p.Water)},
	}
}

func demoPagesText(out io.Writer, pages []page.Start) {
	fmt.Fprintln(out, "\nPages to open at the address that follows; its front page links them all:")
	for _, one := range pages {
		fmt.Fprintf(out, "  %-30s %s\n", one.Path, one.Title)
	}
	fmt.Fprintln(out, "Stop with Ctrl-C.")
}
