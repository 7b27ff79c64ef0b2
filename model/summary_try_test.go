package model_test

import (
	"slices"
	"strings"
	"testing"

	"osier/model"
)

// times is n copies of a figure.
func times(n int, v float64) []float64 { return slices.Repeat([]float64{v}, n) }

// unremarkable is a session of which nothing stands out.
func unremarkable() model.SessionFigures {
	return model.SessionFigures{
		EmptySoaksMin: times(12, 9), EmptyCyclesMin: times(12, 10.5), Soak: &model.SummarySoak{Verdict: model.BestSoak, LowMin: 8, HighMin: 14},
		PlanRecastMin: model.Known(10.5), Bites: 8, Missed: 2, HookLengthCm: model.Known(80.0), LeastHookCm: model.Known(60.0),
		PlannedGH: model.Known[model.GramsPerHour](90), FedGH: model.Known[model.GramsPerHour](85),
	}
}

// The first rule that holds wins; each row changes what it names.
func TestOneThingToTry(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*model.SessionFigures)
		rule   model.TryRule
		text   string
		reason string
		judged string // what is said not to have been judged
	}{
		{"nothing", func(*model.SessionFigures) {}, model.TryNothing, "Nothing stands out: do as you did.", "within what was meant", ""},
		{"soaks too short", func(f *model.SessionFigures) { f.EmptySoaksMin = times(12, 5) }, model.TrySoak, "longer: 8 to 14 min", "after 5.0 min", ""},
		{"soaks too long", func(f *model.SessionFigures) { f.EmptySoaksMin = times(12, 15) }, model.TrySoak, "shorter: 8 to 14 min", "your own casts", ""},
		{"the end of the range is inside", func(f *model.SessionFigures) { f.EmptySoaksMin = times(12, 14) }, model.TryNothing, "", "", ""},
		{"by the trade's range", func(f *model.SessionFigures) {
			f.EmptySoaksMin = times(12, 5)
			f.Soak.Verdict = model.TradeSoak
		}, model.TrySoak, "longer", "the trade's usual range", ""},
		{"no best soak: the feed decides", func(f *model.SessionFigures) {
			f.EmptySoaksMin = times(12, 5)
			f.Soak.Verdict = model.NoBestSoak
		}, model.TryNothing, "", "within what was meant", ""},
		{"too few soaks", func(f *model.SessionFigures) { f.EmptySoaksMin = times(4, 5) }, model.TryNothing, "do as you did", "4 casts without a bite, 5 are needed", "the soak"},
		{"the middle counts, not one long wait", func(f *model.SessionFigures) { f.EmptySoaksMin = append(times(11, 9), 60) }, model.TryNothing, "", "", ""},
		{"soak before rhythm", func(f *model.SessionFigures) {
			f.EmptySoaksMin, f.EmptyCyclesMin = times(12, 5), times(12, 6.5)
		}, model.TrySoak, "", "", ""},
		{"rhythm too quick", func(f *model.SessionFigures) { f.EmptyCyclesMin = times(12, 8.3) }, model.TryRhythm, "every 10.5 min", "more feed", ""},
		{"rhythm too slow", func(f *model.SessionFigures) { f.EmptyCyclesMin = times(12, 13.2) }, model.TryRhythm, "every 10.5 min", "less feed", ""},
		{"rhythm within a quarter", func(f *model.SessionFigures) { f.EmptyCyclesMin = times(12, 13.1) }, model.TryNothing, "", "", ""},
		{"no plan for the rhythm", func(f *model.SessionFigures) { f.PlanRecastMin = model.Maybe[float64]{} }, model.TryNothing, "", "no plan to hold it against", "the rhythm"},
		{"rhythm before missed bites", func(f *model.SessionFigures) {
			f.EmptyCyclesMin, f.Missed = times(12, 20), 8
		}, model.TryRhythm, "", "", ""},
		{"half of the bites missed", func(f *model.SessionFigures) { f.Missed = 4 }, model.TryHookLength, "from 80 to about 60 cm", "4 of 8 true bites", ""},
		{"fewer than half", func(f *model.SessionFigures) { f.Missed = 3 }, model.TryNothing, "", "", ""},
		{"never under the plan's shortest", func(f *model.SessionFigures) {
			f.Missed, f.HookLengthCm = 6, model.Known(70.0)
		}, model.TryHookLength, "from 70 to about 60 cm", "", ""},
		{"short already", func(f *model.SessionFigures) {
			f.Missed, f.HookLengthCm = 6, model.Known(62.0)
		}, model.TryHookLength, "smaller hook bait", "at the short end already", ""},
		{"the length not known", func(f *model.SessionFigures) {
			f.Missed, f.HookLengthCm = 6, model.Maybe[float64]{}
		}, model.TryHookLength, "by a quarter", "", ""},
		{"three bites prove nothing", func(f *model.SessionFigures) { f.Bites, f.Missed = 3, 3 }, model.TryNothing, "", "3 true bites in the casts, 4 are needed", "missed bites"},
		{"missed bites before feed", func(f *model.SessionFigures) {
			f.Missed, f.FedGH = 8, model.Known[model.GramsPerHour](300)
		}, model.TryHookLength, "", "", ""},
		{"fed over the plan", func(f *model.SessionFigures) { f.FedGH = model.Known[model.GramsPerHour](140) }, model.TryFeed, "Feed what was planned", "cannot be taken back", ""},
		{"fed under the plan: never told to feed more", func(f *model.SessionFigures) { f.FedGH = model.Known[model.GramsPerHour](50) }, model.TryFeed, "Plan the feed that you mean to give: about 50 g/h", "50 of 90 g/h", ""},
		{"feed within half a level", func(f *model.SessionFigures) { f.FedGH = model.Known[model.GramsPerHour](134) }, model.TryNothing, "", "", ""},
		{"feed not known", func(f *model.SessionFigures) { f.FedGH = model.Maybe[model.GramsPerHour]{} }, model.TryNothing, "", "what was fed is not known", "feed"},
		{"what comes before is said", func(f *model.SessionFigures) {
			f.Soak, f.FedGH = nil, model.Known[model.GramsPerHour](300)
		}, model.TryFeed, "", "", "the soak"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := unremarkable()
			c.change(&f)
			got := model.ChooseTryNext(f)
			if got.Rule != c.rule || !strings.Contains(got.Text, c.text) || !strings.Contains(got.Reason, c.reason) {
				t.Errorf("%+v\nwant rule %s, text with %q, reason with %q", got, c.rule, c.text, c.reason)
			}
			if got.NotJudged == nil || c.judged == "" != (len(got.NotJudged) == 0) || !strings.Contains(strings.Join(got.NotJudged, "; "), c.judged) {
				t.Errorf("not judged: %q, want %q", got.NotJudged, c.judged)
			}
		})
	}
}

func TestNothingRecordedAsksForNothing(t *testing.T) {
	got := model.ChooseTryNext(model.SessionFigures{})
	if got.Rule != model.TryNothing || len(got.NotJudged) != 4 {
		t.Errorf("%+v: want all four rules not judged", got)
	}
}
