package main

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"osier/jobs"
	"osier/model"
	"osier/model/activity"
)

// trackText says how issued plans fared.
func trackText(out io.Writer, t model.TrackRecord) {
	inventedText(out, t.Demo)
	about := ""
	if t.Water != "" {
		about += " at " + t.Water
	}
	if t.Group != "" {
		about += " for " + string(t.Group)
	}
	fmt.Fprintf(out, "Plans scored against what came%s: %d sessions.\n", about, t.Sessions)
	if t.Sessions > 0 {
		fmt.Fprintf(out, "Without fish: %d of %d whose fish were counted.\n", t.NoFish, t.FishKnown)
	}
	if t.Impossible > 0 {
		fmt.Fprintf(out, "Given no chance by their plan: %d. Their log score is infinite.\n", t.Impossible)
	}
	if f := t.Figures; f != nil {
		fmt.Fprintf(out, "Inside the 50 %% interval: %.0f in 100; inside the 90 %% interval: %.0f in 100.\n", 100*f.Cover50, 100*f.Cover90)
		fmt.Fprintf(out, "Mean log score %s, mean CRPS %.3f bites; the smaller the better.\n", scoreFigure(f.LogScore), f.CRPS)
		if f.MeanRatio.Known {
			fmt.Fprintf(out, "Bites expected for each that came: %.2f.\n", f.MeanRatio.Value)
		}
		fmt.Fprintf(out, "Sessions without fish: %d, expected %.0f.\n", f.Blanks.Observed, f.Blanks.Expected)
		for _, s := range f.Skill {
			skillText(out, s.Reference, s.Sessions, s.LogScore)
		}
	}
	monthsText(out, t.Months)
	for _, line := range append(t.Findings, t.Notes...) {
		fmt.Fprintln(out, line)
	}
}

// monthsText sets what was expected against what came, month by month.
func monthsText(out io.Writer, months []model.TrackMonth) {
	if len(months) == 0 {
		return
	}
	fmt.Fprintf(out, "%-8s %8s %14s %15s %10s\n", "month", "sessions", "bites expected", "nine in ten", "bites came")
	for _, m := range months {
		mean, ends := "-", "-"
		if e := m.Expected; e != nil {
			mean, ends = fmt.Sprintf("%.0f", e.Mean), fmt.Sprintf("%d to %d", e.Low90, e.High90)
		}
		fmt.Fprintf(out, "%-8s %8d %14s %15s %10d\n", m.Month, m.Sessions, mean, ends, m.Bites)
	}
}

func scoreFigure(v model.Maybe[float64]) string {
	if !v.Known {
		return "infinite"
	}
	return fmt.Sprintf("%.3f", v.Value)
}

// skillText claims nothing where the interval holds 0.
func skillText(out io.Writer, reference string, sessions int, c *model.TrackComparison) {
	switch {
	case c == nil:
		fmt.Fprintf(out, "Against %s: no comparison, a score is infinite or there is none (%d sessions).\n", reference, sessions)
	case c.Verdict == activity.NotToldApart:
		fmt.Fprintf(out, "Against %s: cannot be told apart (gain in log score %.3f, 95 %% interval %.3f to %.3f).\n", reference, c.Gain, c.Low95, c.High95)
	default:
		fmt.Fprintf(out, "Against %s: %s, skill %.1f in 100 (gain in log score %.3f, 95 %% interval %.3f to %.3f).\n", reference, c.Verdict, 100*c.Skill, c.Gain, c.Low95, c.High95)
	}
}

// notScoredText says how many sessions were passed over, and why.
func notScoredText(out io.Writer, run model.JobRun) {
	for _, name := range slices.Sorted(maps.Keys(run.Counts)) {
		if why, ok := strings.CutPrefix(name, "not scored: "); ok {
			fmt.Fprintf(out, "Not scored, since %s: %d.\n", why, run.Counts[name])
		}
	}
}

// backtestText prints one table for each group and way of testing.
func backtestText(out io.Writer, tests []jobs.GroupBacktest) {
	if len(tests) == 0 {
		fmt.Fprintln(out, "\nBacktest: no session on record can be forecast.")
		return
	}
	fmt.Fprintf(out, "\nBacktest. %s\n", tests[len(tests)-1].Weather)
	for _, g := range tests {
		fmt.Fprintf(out, "\n%s: %d sessions", cmp.Or(string(g.Group), "all groups"), g.Records)
		if g.EnteredLater > 0 {
			fmt.Fprintf(out, ", %d of them entered over a month late and taken as known from their end", g.EnteredLater)
		}
		fmt.Fprintln(out)
		evaluationText(out, "Each month from what was known when it began", g.Rolling)
		evaluationText(out, "Each water from the others", g.WaterOut)
		evaluationText(out, "Each angler from the others", g.AnglerOut)
	}
}

func evaluationText(out io.Writer, title string, e activity.Evaluation) {
	fmt.Fprintf(out, "\n  %s: %d sessions forecast, %d of %d without fish\n", title, e.Sessions, e.NoFish, e.FishKnown)
	if e.Figures == nil {
		fmt.Fprintf(out, "  Figures are given from %d sessions on.\n", activity.FewestScored)
		return
	}
	f := e.Figures
	fmt.Fprintf(out, "  %-20s %8s %9s %8s  %s\n", "", "sessions", "log score", "CRPS", "log score gained by the model (95 % interval)")
	fmt.Fprintf(out, "  %-20s %8d %9s %8.3f\n", "the model", e.Sessions, pointerFigure(f.LogScore), f.CRPS)
	for _, s := range f.Skill {
		fmt.Fprintf(out, "  %-20s %8d %s\n", s.Reference, s.Sessions, comparisonText(s))
	}
	fmt.Fprintf(out, "  inside 50 %%: %.0f in 100, inside 90 %%: %.0f in 100; PIT p %.2g; without fish %d, expected %.0f\n", 100*f.Cover50, 100*f.Cover90, f.PITUniform, f.Blanks.Observed, f.Blanks.Expected)
	for _, finding := range e.Findings {
		fmt.Fprintf(out, "  %s\n", finding)
	}
}

func comparisonText(s activity.Skill) string {
	if s.CRPS == nil {
		return fmt.Sprintf("%9s %8s  it could not forecast", "-", "-")
	}
	if s.LogScore == nil {
		return fmt.Sprintf("%9s %8.3f  no mean: %d counts impossible for it, %d for the model", "-", s.CRPS.Reference, s.ImpossibleReference, s.ImpossibleModel)
	}
	c := s.LogScore
	return fmt.Sprintf("%9.3f %8.3f  %+.3f (%+.3f to %+.3f), %s", c.Reference, s.CRPS.Reference, c.Gain, c.Low95, c.High95, c.Verdict)
}

func pointerFigure(v *float64) string {
	if v == nil {
		return "infinite"
	}
	return fmt.Sprintf("%.3f", *v)
}

// trialsText says what came of the feed levels that plans drew at random.
func trialsText(out io.Writer, trials []jobs.FeedTrials) {
	for _, t := range trials {
		fmt.Fprintf(out, "\nFeed levels drawn at random for %s, over %d sessions that followed such a plan:\n", t.Group, t.Sessions)
		for _, arm := range t.Arms {
			fmt.Fprintf(out, "  %s: %d sessions, %.2f bites an hour", armWords[arm.HalfSteps], arm.Sessions, arm.RatePerH)
			if arm.Compared {
				fmt.Fprintf(out, "; %+.2f against the usual level, standard error %.2f", arm.Difference, arm.DifferenceSE)
			}
			fmt.Fprintln(out)
		}
	}
}

// blanksText says whose blanks seem not to have been written down.
func blanksText(out io.Writer, missing []jobs.AnglerBlanks) {
	for _, m := range missing {
		fmt.Fprintf(out, "Blanks of %s: %s.\n", m.Angler, m.Text)
	}
}

var armWords = map[int]string{
	-2: "one step less than usual", -1: "half a step less", 0: "the usual level", 1: "half a step more", 2: "one step more than usual",
}
