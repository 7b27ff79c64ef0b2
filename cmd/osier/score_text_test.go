package main

import (
	"bytes"
	"strings"
	"testing"

	"osier/jobs"
	"osier/model"
	"osier/model/activity"
)

func TestTheTableOfABacktestClaimsNoMoreThanItShows(t *testing.T) {
	logScore := 2.2
	rolling := activity.Evaluation{Sessions: 300, NoFish: 40, FishKnown: 290, Figures: &activity.EvaluationFigures{
		LogScore: &logScore, CRPS: 2.12, Cover50: 0.55, Cover90: 0.94, PITUniform: 0.3,
		Blanks: activity.Blanks{Sessions: 290, Observed: 40, Expected: 42.4},
		Skill: []activity.Skill{
			{Reference: activity.OneRate, Sessions: 300, LogScore: &activity.Comparison{Reference: 2.475, Gain: 0.275, Low95: 0.2, High95: 0.35, Verdict: activity.Better}, CRPS: &activity.Comparison{Reference: 2.717}},
			{Reference: activity.WaterMean, Sessions: 300, LogScore: &activity.Comparison{Reference: 2.21, Gain: 0.01, Low95: -0.02, High95: 0.04, Verdict: activity.NotToldApart}, CRPS: &activity.Comparison{Reference: 2.2}},
			{Reference: activity.PlainOLS, Sessions: 250, ImpossibleReference: 2, CRPS: &activity.Comparison{Reference: 2.38}},
			{Reference: activity.NoGroupsNB2},
		},
	}, Findings: []string{"blanks seem to go unrecorded"}}
	var out bytes.Buffer
	backtestText(&out, []jobs.GroupBacktest{{Group: model.Bream, Weather: jobs.BacktestWeather(0, 310), Records: 310, EnteredLater: 12, Rolling: rolling}})
	for _, want := range []string{
		"Backtest. Made with the weather as observed, which a forecast never had",
		"bream: 310 sessions, 12 of them entered over a month late",
		"the model                 300     2.200    2.120",
		"one rate                  300     2.475    2.717  +0.275 (+0.200 to +0.350), better",
		"water mean, shrunk        300     2.210    2.200  +0.010 (-0.020 to +0.040), cannot be told apart",
		"OLS log rate              250         -    2.380  no mean: 2 counts impossible for it, 0 for the model",
		"NB2 without groups          0         -        -  it could not forecast",
		"inside 90 %: 94 in 100",
		"without fish 40, expected 42",
		"blanks seem to go unrecorded",
		"Each water from the others: 0 sessions forecast",
	} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the table lacks %q:\n%s", want, &out)
		}
	}
}

func TestATrackRecordSaysBadFiguresPlainly(t *testing.T) {
	var out bytes.Buffer
	trackText(&out, model.TrackRecord{
		Water: "home", Group: model.Carp, Sessions: 140, NoFish: 3, FishKnown: 140, Impossible: 2,
		Figures: &model.TrackFigures{
			CRPS: 3, Cover50: 0.3, Cover90: 0.6, MeanRatio: model.Known(1.8), Blanks: model.TrackBlanks{Observed: 3, Expected: 30},
			Skill: []model.TrackSkill{
				{Reference: activity.OneRate, Sessions: 140},
				{Reference: activity.WaterMean, Sessions: 140, LogScore: &model.TrackComparison{Skill: -0.2, Gain: -0.4, Low95: -0.6, High95: -0.1, Verdict: activity.Worse}},
			},
		},
		Months: []model.TrackMonth{
			{Month: "2026-01", Sessions: 14, Bites: 33, Expected: &model.ExpectedBites{Mean: 266.4, Low90: 15, High90: 953}},
			{Month: "2026-02", Sessions: 3, Bites: 5},
		},
		Findings: []string{"the 90 % intervals hold only 60 in 100 counts: they are too narrow"},
	})
	for _, want := range []string{
		"Plans scored against what came at home for carp: 140 sessions.", "Their log score is infinite", "inside the 90 % interval: 60 in 100",
		"Mean log score infinite", "Bites expected for each that came: 1.80", "Against one rate: no comparison",
		"Against water mean, shrunk: worse, skill -20.0 in 100 (gain in log score -0.400, 95 % interval -0.600 to -0.100)", "too narrow",
		"month    sessions bites expected     nine in ten bites came\n2026-01        14            266       15 to 953         33\n2026-02         3              -               -          5\n",
	} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the text lacks %q:\n%s", want, &out)
		}
	}
}
