package model_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"osier/model"
)

func goodChoice() model.ChoiceQuestion {
	return model.ChoiceQuestion{
		Waters: []string{"reedmere", "alder-mere"}, From: testNow.AddDate(0, 0, 1).Format(time.DateOnly), Days: 3, StartTime: "07:30",
		Hours: 4, Group: model.Bream, Angler: "VP", Mode: "match",
		DistanceM: model.Known[model.Metres](30), DepthM: model.Known[model.Metres](2), RodMaxG: model.Known[model.Grams](90),
	}
}

func TestChoiceQuestionRefusals(t *testing.T) {
	type q = model.ChoiceQuestion
	waters := func(n int) (ids []string) {
		for i := range n {
			ids = append(ids, fmt.Sprintf("pit-%d", i))
		}
		return ids
	}
	validate := func(v q) error { return v.Validate(testNow) }
	wantRefusals(t, goodChoice, validate, []refusal[q]{
		{"no water", func(v *q) { v.Waters = nil }, "waters", "name 1 to 20 waters"},
		{"more waters than are taken", func(v *q) { v.Waters = waters(21) }, "waters", "name 1 to 20 waters"},
		{"a name that is no identifier", func(v *q) { v.Waters[1] = "Alder Mere" }, "waters", "small letters"},
		{"a water twice", func(v *q) { v.Waters[1] = "reedmere" }, "waters", "name each water once"},
		{"no first day", func(v *q) { v.From = "" }, "from", "such as 2026-11-28"},
		{"a first day with a time", func(v *q) { v.From += "T09:00:00Z" }, "from", "such as 2026-11-28"},
		{"a day that the month has not", func(v *q) { v.From = "2026-02-30" }, "from", "such as 2026-11-28"},
		{"last month", func(v *q) { v.From = testNow.AddDate(0, -1, 0).Format(time.DateOnly) }, "from", "from today on"},
		{"next year but one", func(v *q) { v.From = testNow.AddDate(2, 0, 0).Format(time.DateOnly) }, "from", "within a year"},
		{"no days", func(v *q) { v.Days = 0 }, "days", "give 1 to 14"},
		{"days backwards", func(v *q) { v.Days = -1 }, "days", "give 1 to 14"},
		{"more days than are taken", func(v *q) { v.Days = 15 }, "days", "give 1 to 14"},
		{"a time of day that is none", func(v *q) { v.StartTime = "25:00" }, "start_time", "such as 07:30"},
		{"a time of day in words", func(v *q) { v.StartTime = "dawn" }, "start_time", "such as 07:30"},
		{"no hours", func(v *q) { v.Hours = 0 }, "hours", "0.5 to 24"},
		{"no number of hours", func(v *q) { v.Hours = math.NaN() }, "hours", "0.5 to 24"},
		{"another fish", func(v *q) { v.Group = "pike" }, "group", "silver, bream or carp"},
		{"a mode nobody knows", func(v *q) { v.Mode = "serious" }, "mode", "match or pleasure"},
		{"out of sight", func(v *q) { v.DistanceM = model.Known[model.Metres](151) }, "distance_m", "give 1 to 150 m"},
		{"a peg of two waters", func(v *q) { v.Peg = "4" }, "peg", "name that water alone"},
		{"a bearing at two waters", func(v *q) { v.BearingDeg = model.Known[model.Degrees](0) }, "cast_bearing_deg", "name that water alone"},
	})
}

func TestTheMostThatOneChoiceTakes(t *testing.T) {
	q := goodChoice()
	q.Waters = nil
	for i := range 20 {
		q.Waters = append(q.Waters, fmt.Sprintf("pit-%d", i))
	}
	q.Days = 14
	if err := q.Validate(testNow); err != nil {
		t.Errorf("20 waters on 14 days were refused: %v", err)
	}
	one := goodChoice()
	one.Waters, one.Peg, one.BearingDeg = []string{"reedmere"}, "4", model.Known[model.Degrees](90)
	if err := one.Validate(testNow); err != nil {
		t.Errorf("a peg and a bearing at one water were refused: %v", err)
	}
}

// The same clock on every day, whatever the clocks were put to in between.
func TestAnOptionBeginsByTheClockAtItsWater(t *testing.T) {
	for _, c := range []struct {
		name, zone, from, clock string
		day                     int
		want                    string // the instant, or what the refusal says
	}{
		{"before the clocks go forward", "Europe/London", "2026-03-28", "", 0, "2026-03-28T09:00:00Z"},
		{"the day they do", "Europe/London", "2026-03-28", "", 1, "2026-03-29T09:00:00+01:00"},
		{"the day they go back", "Europe/London", "2026-10-24", "07:30", 1, "2026-10-25T07:30:00Z"},
		{"another zone", "Europe/Warsaw", "2026-03-28", "07:30", 1, "2026-03-29T07:30:00+02:00"},
		{"over the end of a year", "Europe/London", "2026-12-31", "", 1, "2027-01-01T09:00:00Z"},
		{"a clock that never was", "Europe/London", "2026-03-28", "01:30", 1, "were put forward and never showed 2026-03-29 01:30"},
		{"a clock that was twice", "Europe/London", "2026-10-24", "01:30", 1, "were put back and showed 2026-10-25 01:30 twice"},
	} {
		t.Run(c.name, func(t *testing.T) {
			q := goodChoice()
			q.From, q.StartTime = c.from, c.clock
			got, err := q.At(model.Water{ID: "reedmere", Zone: c.zone}, c.day)
			if err != nil {
				if fieldOf(err) != "start_time" || !strings.Contains(err.Error(), c.want) {
					t.Errorf("error %v, want %q", err, c.want)
				}
				return
			}
			if text := got.Start.Format(time.RFC3339); text != c.want || got.Water != "reedmere" || got.Hours != 4 {
				t.Errorf("%s at %s for %v h, want %s at reedmere for 4", text, got.Water, got.Hours, c.want)
			}
		})
	}
}
