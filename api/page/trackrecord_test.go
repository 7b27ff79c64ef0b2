package page_test

import (
	"strings"
	"testing"

	"osier/api/page"
	"osier/model"
)

func trackRecord() model.TrackRecord {
	return model.TrackRecord{
		AsOf: clubNow, Water: "pit", Group: model.Bream, Sessions: 61, FishKnown: 60, NoFish: 14, Impossible: 1, FewestFigures: 30,
		Figures: &model.TrackFigures{
			CRPS: 2.345, Cover50: 0.44, Cover90: 0.82, PITP: 0.031, MeanRatio: model.Known(1.21),
			Blanks: model.TrackBlanks{Sessions: 60, Observed: 14, Expected: 22.4, Missing: true},
			Skill: []model.TrackSkill{
				{Reference: "one rate", Sessions: 61, LogScore: &model.TrackComparison{Gain: 0.12, Low95: 0.02, High95: 0.2, Verdict: "better"}},
				{Reference: "water mean", Sessions: 61, LogScore: &model.TrackComparison{Gain: -0.02, Low95: -0.1, High95: 0.05, Verdict: "cannot be told apart"}},
				{Reference: "climate", Sessions: 3},
			},
		},
		Months: []model.TrackMonth{
			{Month: "2026-09", Sessions: 30, NoFish: 5, Bites: 121, Expected: &model.ExpectedBites{Mean: 240.4, Low90: 60, High90: 702}, LogScore: model.Known(2.1), CRPS: model.Known(2.0), Cover90: model.Known(0.9)},
			{Month: "2026-10", Sessions: 3, NoFish: 1, Bites: 44},
			{Month: "2026-11", Sessions: 28, NoFish: 8, Bites: 33, Expected: &model.ExpectedBites{Mean: 100, Low90: 35, High90: 230}, CRPS: model.Known(2.6), Cover90: model.Known(0.5)},
		},
		Waiting:  &model.TrackWaiting{Sessions: "5-9", Why: []string{"contributors"}},
		Findings: []string{"Fewer counts fall inside the 90 % interval than should."}, Notes: []string{"Only followed plans."}, Demo: true,
	}
}

func TestTheTrackRecordShowsTheBadOnesToo(t *testing.T) {
	body, err := page.TrackRecord(trackRecord(), clubWaters(), "")
	all := sound(t, body, err)
	holds(
		t, all, "INVENTED", "The Pit, bream: 61 sessions that followed a plan", "14 of 60 whose fish were counted were without", "Not told yet: 5-9 more scored sessions, since too few anglers.",
		"1 of them had been given no chance at all by their plan", "Fewer counts fall inside the 90 % interval than should.", "Predicted against happened", "Sep 2026 240 expected, 60 to 702, and 121 came; Oct 2026 44 came; Nov 2026 100 expected, 35 to 230, and 33 came. The table that follows", "one outside is a miss",
		"Sep 2026 90 of 100; Nov 2026 50 of 100; 90 should.",
		"infinite, the smaller the better", "2.35 bites", "1.21 bites for each that came", "14 of 60, 22 expected; so few that some may go unrecorded", "Only followed plans.",
	)
	rows := strings.Join(tableRows(all), "\n")
	for _, want := range []string{
		"Sep 2026|30|5|240|60 to 702|121|", "Oct 2026|3|1|\u2013|\u2013|44|", "Nov 2026|28|8|100|35 to 230|33|",
		"50 %|50|44|", "90 %|90|82|", "Sep 2026|90|2.10|2.00|", "Nov 2026|50|\u2013|2.60|",
		"one rate|61|better|+0.120 (+0.020 to +0.200)|", "water mean|61|cannot be told apart|-0.020 (-0.100 to +0.050)|", "climate|3|no comparison|\u2013|",
	} {
		if !strings.Contains(rows, want) {
			t.Errorf("no row %q in\n%s", want, rows)
		}
	}
	picked := 0
	for _, o := range named(all, "option") {
		if o.attr["selected"] != "" {
			picked++
			if o.attr["value"] != "pit" && o.attr["value"] != "bream" {
				t.Errorf("picked is %v", o.attr)
			}
		}
	}
	if picked != 2 {
		t.Errorf("%d options are picked, want water and group", picked)
	}
}

func TestATrackRecordOfNothing(t *testing.T) {
	body, err := page.TrackRecord(model.TrackRecord{AsOf: clubNow, Notes: []string{"Figures are given from 30 sessions on."}}, nil, "")
	all := sound(t, body, err)
	holds(t, all, "All waters: no session yet that followed a plan", "Figures are given from 30 sessions on.")
	if len(named(all, "svg")) != 0 {
		t.Error("there is a picture of nothing")
	}
}

// Each month has its ring, and its hatched bar where it is known what was
// expected, all of them inside the picture, on a scale from nothing on.
func TestExpectedAgainstObservedIsDrawnWhole(t *testing.T) {
	for _, months := range [][]model.TrackMonth{
		trackRecord().Months,
		{{Month: "2026-09", Sessions: 12, Bites: 4000, Expected: &model.ExpectedBites{Mean: 90, Low90: 0, High90: 300}}},
		{{Month: "2026-09", Sessions: 12, Expected: &model.ExpectedBites{}}},
	} {
		record := trackRecord()
		record.Months = months
		body, err := page.TrackRecord(record, nil, "")
		var expected, bars, rings int
		for _, m := range months {
			if m.Expected != nil {
				expected++
			}
		}
		inAgainst := false
		for _, e := range sound(t, body, err) {
			if e.name == "svg" {
				inAgainst = e.attr["aria-labelledby"] == "against-title against-text"
			}
			switch {
			case inAgainst && e.name == "rect" && e.attr["fill"] == "url(#against-hatch)":
				bars++
			case inAgainst && e.name == "circle":
				rings++
			}
		}
		if bars != expected || rings != len(months) {
			t.Errorf("%+v: %d bars and %d rings", months, bars, rings)
		}
	}
}

func findings() model.Findings {
	return model.Findings{
		AsOf: clubNow, Fit: "fit-abc", MadeAt: clubNow, Sessions: "50 or more", Anglers: "5-9", CheckedBefore: clubNow, Checked: "50 or more", Notes: []string{"In bands."}, Demo: true,
		Groups: []model.GroupFindings{{
			Group: model.Bream, Sessions: "50 or more", Notes: []string{"Spells last."},
			Drivers: []model.Finding{
				{Driver: "appetite at the water temperature fished", Unit: "2.7-fold appetite", Learnt: true, Found: true, Change: 0.81, Low90: 0.4, High90: 1.3},
				{Driver: "pressure change over 3 h", Unit: "1.2 hPa", Learnt: true, Change: -0.01, Low90: -0.07, High90: 0.05},
				{Driver: "rain", Unit: "unit of ln(1 + mm)"},
			},
			Feed: []model.FeedFinding{
				{WaterC: 5, RateGH: 147, AgainstGH: 73, Ratio: &model.RatioRange{Mean: 0.7, Low90: 0.5, High90: 0.95}, EValue: model.Known(2.2), EValueOfBound: model.Known(1.3), Text: "fewer bites. Something unrecorded could explain this away."},
				{WaterC: 18, RateGH: 190, AgainstGH: 380, Text: "not tried often enough to say"},
			},
		}},
		Checks: []model.RecordCheck{{Field: "planned_feed", Sessions: "10-19"}, {Field: "bites", Withheld: []string{"contributors", "sessions"}}, {Field: "<b>new</b>", Sessions: "5-9"}},
		Planted: &model.PlantedTruth{
			Truths: []model.PlantedEffect{{What: "pressure: no effect", Found: "no effect found"}},
			Flaws:  []model.PlantedFlaw{{Kind: "sent twice", Example: "s-1 was sent in twice", CaughtBy: "duplicate", Planted: 2, Caught: 2}},
		},
	}
}

func TestFindingsSayWhatIsFoundAndWhatIsNot(t *testing.T) {
	body, err := page.Findings(findings(), "")
	all := sound(t, body, err)
	holds(
		t, all, "From the public fit fit-abc, made Saturday 28 November 2026: 50 or more sessions of 5-9 anglers.", "Bream", "Found: goes with more or fewer bites", "appetite", "Looked for: no effect found", "pressure change over 3 h",
		"the records say too little yet, and the prior stands: rain.", "records and prior together", "Spells last.", "Checks on the records", "What was planted", "In bands.",
	)
	rows := strings.Join(tableRows(all), "\n")
	for _, want := range []string{
		"appetite at the water temperature fished|+81 % bites|+40 to +130 % for each 2.7-fold appetite|", "pressure change over 3 h|-7 to +5 % for each 1.2 hPa|",
		"5 C|147 against 73|0.70 (0.50 to 0.95)|", "Fewer bites. Something unrecorded could explain this away.|", "18 C|190 against 380|not tried often enough to say|",
		"planned feed|10-19|", "bites|not shown: too few anglers, too few sessions|", "<b>new</b>|5-9|",
		"pressure: no effect|no effect found|", "sent twice|2|2|duplicate|", "For example: s-1 was sent in twice|",
	} {
		if !strings.Contains(rows, want) {
			t.Errorf("no row %q in\n%s", want, rows)
		}
	}
}

func TestFindingsWithoutRecordsSayWhatSpeaksInstead(t *testing.T) {
	body, err := page.Findings(model.Findings{Checked: "under 5", CheckedBefore: clubNow}, "")
	all := sound(t, body, err)
	holds(t, all, "The public fit holds no session yet", "None was queried.")
	lacks(t, all, "planted", "INVENTED")
}
