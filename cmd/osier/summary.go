package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"osier/jobs"
	"osier/model"
)

type summaryCmd struct {
	Session string `required:"" help:"The session that has ended." placeholder:"ID"`
}

func (c *summaryCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	live := &jobs.Live{Store: db, Recorder: &jobs.Recorder{Store: db, Now: a.now}, Now: a.now}
	summarizer := jobs.Summarizer{Store: db, Live: live}
	s, err := summarizer.Summary(a.ctx, c.Session)
	if err != nil {
		return err
	}
	a.print(s, func(out io.Writer) { summaryText(out, s) })
	return nil
}

// summaryText prints what a session came to, the one thing to try first.
func summaryText(out io.Writer, s model.SessionSummary) {
	fmt.Fprintf(out, "Session %s: %s for %s\n", s.Session, s.WaterName, s.Group)
	inventedText(out, s.Demo)
	fmt.Fprintf(out, "%s to %s, %s, %.1f rod-hours\n", s.Start.Format("Monday 2 January 2006, 15:04 -0700"), clockAt(s.End, s.Start), s.Angler, s.RodHours)
	fmt.Fprintf(out, "True bites %s, line bites %s, fish %s\n", counted(s.Bites), counted(s.LineBites), counted(s.Fish))

	fmt.Fprintf(out, "\nOne thing to try next time\n  %s\n  %s\n", s.TryNext.Text, s.TryNext.Reason)
	if s.TryNext.Rule != model.TryNothing && len(s.TryNext.NotJudged) > 0 {
		fmt.Fprintf(out, "  Not judged before it: %s.\n", strings.Join(s.TryNext.NotJudged, "; "))
	}
	fmt.Fprintf(out, "\nThe plan against what happened\n  %s\n  %s\n", s.PlanText, s.Feed.Text)
	fmt.Fprintf(out, "\nHow long the casts waited\n  %s\n", s.WaitingText)
	if s.Waiting != nil {
		waitingText(out, *s.Waiting)
	}
	if len(s.Casts) > 0 {
		fmt.Fprintf(out, "\nCasts\n  %-8s %8s %8s  %s\n", "settled", "soak min", "bite at", "what came")
		for _, c := range s.Casts {
			fmt.Fprintf(out, "  %-8s %8.1f %8s  %s\n", clockAt(c.At, s.Start), c.SoakMin, tenths(c.BiteMin), c.Words())
		}
	}
	fmt.Fprintf(out, "\nCautions then\n  %s\n", s.CautionsText)
	cautionsText(out, s.Cautions)
	if record := append(s.Queries, s.CannotSay...); len(record) > 0 {
		fmt.Fprintln(out, "\nAbout the record")
		for _, l := range record {
			fmt.Fprintf(out, "  %s\n", l)
		}
	}
	fmt.Fprintf(out, "\n%s\n", s.Deferral)
}

// waitingText prints the curves at the minutes that brought something in this
// session, each as casts of 100 that still wait.
func waitingText(out io.Writer, w model.SummaryWaiting) {
	if w.Soak != nil {
		fmt.Fprintf(out, "  %s\n", w.Soak.Text)
	}
	if len(w.Typical) > 0 {
		fmt.Fprintf(out, "  Typical: a session of yours here, from %d casts logged; sessions: %d.\n", w.TypicalCasts, w.TypicalSessions)
	}
	fmt.Fprintf(out, "  Of 100 casts, those that still wait:\n  %6s %18s %18s\n", "minute", "this session", "typical")
	for _, p := range w.Survival {
		here, typical := fmt.Sprintf("%.0f", 100*p.Waiting), "-"
		if p.Low95.Known && p.High95.Known {
			here += fmt.Sprintf(" (%.0f to %.0f)", 100*p.Low95.Value, 100*p.High95.Value)
		}
		if i := int(p.TimeMin); i < len(w.Typical) {
			t := w.Typical[i]
			typical = fmt.Sprintf("%.0f (%.0f to %.0f)", 100*t.Waiting, 100*t.Low90, 100*t.High90)
		}
		fmt.Fprintf(out, "  %6.0f %18s %18s\n", p.TimeMin, here, typical)
	}
}

func clockAt(at, like time.Time) string { return at.In(like.Location()).Format("15:04") }

func counted(n model.Maybe[int]) string {
	if !n.Known {
		return "not counted"
	}
	return fmt.Sprint(n.Value)
}
