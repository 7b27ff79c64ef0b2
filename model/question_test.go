package model_test

import (
	"math"
	"testing"
	"time"

	"osier/model"
)

func goodQuestion() model.Question {
	return model.Question{
		Water: "reedmere", Start: testNow.Add(20 * time.Hour), Hours: 4.5, Group: model.Bream, Angler: "VP", Mode: "match",
		BearingDeg: model.Known[model.Degrees](0), DistanceM: model.Known[model.Metres](30), DepthM: model.Known[model.Metres](2), RodMaxG: model.Known[model.Grams](90),
	}
}

func TestQuestionRefusals(t *testing.T) {
	type q = model.Question
	validate := func(v q) error { return v.Validate(testNow) }
	wantRefusals(t, goodQuestion, validate, []refusal[q]{
		{"no water", func(v *q) { v.Water = "" }, "water", "small letters, digits and hyphens"},
		{"no group", func(v *q) { v.Group = "" }, "group", "silver, bream or carp"},
		{"another fish", func(v *q) { v.Group = "pike" }, "group", "silver, bream or carp"},
		{"no start", func(v *q) { v.Start = time.Time{} }, "start", "a time with its offset, such as 2026-11-28T08:00:00Z"},
		{"next year but one", func(v *q) { v.Start = testNow.AddDate(2, 0, 0) }, "start", "within a year from now"},
		{"no time", func(v *q) { v.Hours = 0 }, "hours", "0.5 to 24"},
		{"a moment", func(v *q) { v.Hours = 0.4 }, "hours", "0.5 to 24"},
		{"a weekend", func(v *q) { v.Hours = 25 }, "hours", "0.5 to 24"},
		{"no number of hours", func(v *q) { v.Hours = math.NaN() }, "hours", "0.5 to 24"},
		{"hours without end", func(v *q) { v.Hours = math.Inf(1) }, "hours", "0.5 to 24"},
		{"a mode nobody knows", func(v *q) { v.Mode = "serious" }, "mode", "match or pleasure"},
		{"a cast all round", func(v *q) { v.BearingDeg = model.Known[model.Degrees](360) }, "cast_bearing_deg", "from 0 up to but not including 360"},
		{"a cast backwards", func(v *q) { v.BearingDeg = model.Known[model.Degrees](-10) }, "cast_bearing_deg", "from 0 up to but not including 360"},
		{"a cast nowhere", func(v *q) { v.BearingDeg = model.Known(model.Degrees(math.NaN())) }, "cast_bearing_deg", "from 0 up to but not including 360"},
		{"at the feet", func(v *q) { v.DistanceM = model.Known[model.Metres](0) }, "distance_m", "give 1 to 150 m"},
		{"out of sight", func(v *q) { v.DistanceM = model.Known[model.Metres](151) }, "distance_m", "give 1 to 150 m"},
		{"on the grass", func(v *q) { v.DepthM = model.Known[model.Metres](0.1) }, "depth_m", "give 0.2 to 60 m"},
		{"a twig", func(v *q) { v.RodMaxG = model.Known[model.Grams](4) }, "rod_max_g", "give 5 to 300 g"},
	})
}

func TestWhatMayBeLeftOutOfAQuestion(t *testing.T) {
	q := model.Question{Water: "reedmere", Start: testNow, Hours: 0.5, Group: model.Carp}
	if err := q.Validate(testNow); err != nil {
		t.Errorf("a question of the least was refused: %v", err)
	}
	q.Start = testNow.AddDate(-3, 0, 0) // whether the past can be answered is for those who hold the weather
	if err := q.Validate(testNow); err != nil {
		t.Errorf("a question about the past was refused: %v", err)
	}
}

func TestTheEndOfTheHoursAskedFor(t *testing.T) {
	q := goodQuestion()
	if want := q.Start.Add(4*time.Hour + 30*time.Minute); !q.End().Equal(want) {
		t.Errorf("end %v, want %v", q.End(), want)
	}
}

func TestTheSameQuestionInOtherWords(t *testing.T) {
	zone, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	summer := time.Date(2026, 7, 21, 8, 0, 0, 0, zone)
	a := model.Question{Water: "pit", Start: summer, Hours: 4, Group: model.Bream}
	b := model.Question{Water: "pit", Start: summer.UTC(), Hours: 4, Group: model.Bream, Mode: "pleasure"}
	if got, want := a.Plainly(zone), b.Plainly(zone); got != want {
		t.Errorf("%+v and %+v are one question", got, want)
	}
}
