package model_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"osier/model"
)

func TestValidSessionsOfEachStyle(t *testing.T) {
	for _, s := range []model.Session{summaryDay(), hourlyDay(), fullDay()} {
		if err := s.ValidateAt(pit, testNow); err != nil {
			t.Errorf("%s: %v", s.Style, err)
		}
	}
}

func TestSessionRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name  string
		base  func() model.Session
		spoil func(*model.Session)
		field string
		says  string
	}{
		{"no identifier", summaryDay, func(s *model.Session) { s.ID = "" }, "id", "missing"},
		{"identifier with a slash", summaryDay, func(s *model.Session) { s.ID = "../x" }, "id", "letters"},
		{"no water", summaryDay, func(s *model.Session) { s.Water = "" }, "water", "missing"},
		{"other water", summaryDay, func(s *model.Session) { s.Water = "drovelow-mere" }, "water", "quillmarsh-pit"},
		{"no angler", summaryDay, func(s *model.Session) { s.Angler = "" }, "angler", "handle"},
		{"handle with a bar", summaryDay, func(s *model.Session) { s.Angler = "R|J" }, "angler", "handle"},
		{"handle like a formula", summaryDay, func(s *model.Session) { s.Angler = "-RJ" }, "angler", "letter or digit"},
		{"unknown group", summaryDay, func(s *model.Session) { s.Group = "perch" }, "group", "silver, bream or carp"},
		{"unknown style", summaryDay, func(s *model.Session) { s.Style = "diary" }, "style", "full_log, hourly or summary"},
		{"no start", summaryDay, func(s *model.Session) { s.Start = time.Time{} }, "start", "missing"},
		{"year 25", summaryDay, func(s *model.Session) { s.Start = s.Start.AddDate(-2000, 0, 0) }, "start", "four figures"},
		{"end before start", summaryDay, func(s *model.Session) { s.End = s.Start.Add(-time.Hour) }, "end", "later than the first cast"},
		{"zero hours", summaryDay, func(s *model.Session) { s.End = s.Start }, "end", "not after"},
		{"25 hours", summaryDay, func(s *model.Session) { s.End = s.Start.Add(25 * time.Hour) }, "end", "25.0 h"},
		{"negative break", summaryDay, func(s *model.Session) { s.BreaksMin = -1 }, "breaks_min", "0 to 1440"},
		{"break of NaN", summaryDay, func(s *model.Session) { s.BreaksMin = nan }, "breaks_min", "finite"},
		{"nothing but break", summaryDay, func(s *model.Session) { s.BreaksMin = 300 }, "breaks_min", "nothing"},
		{"no rods", summaryDay, func(s *model.Session) { s.Rods = 0 }, "rods", "1 to 4"},
		{"five rods", summaryDay, func(s *model.Session) { s.Rods = 5 }, "rods", "1 to 4"},
		{"negative bites", summaryDay, func(s *model.Session) { s.Bites.Value = -1 }, "bites", "0 to 5000"},
		{"absurd bites", summaryDay, func(s *model.Session) { s.Bites.Value = 5001 }, "bites", "0 to 5000"},
		{"count and words", summaryDay, func(s *model.Session) { s.BitesText = "loads" }, "bites_text", "not both"},
		{"words that are a number", summaryDay, func(s *model.Session) { s.Bites = model.Maybe[int]{}; s.BitesText = "12" }, "bites_text", "no word"},
		{"no zero typed", summaryDay, func(s *model.Session) { s.Fish = nil }, "fish", "a zero must be typed"},
		{"blank with fish", summaryDay, func(s *model.Session) { s.Blank = true }, "blank", "no fish"},
		{"negative fish", summaryDay, func(s *model.Session) { s.Fish[model.Bream] = -2 }, "fish.bream", "whole number"},
		{"fish of no group", summaryDay, func(s *model.Session) { s.Fish["pike"] = 1 }, "fish", "target group"},
		{"weight of a blank", summaryDay, func(s *model.Session) { s.Fish = nil; s.Blank = true }, "weight", "no fish is counted"},
		{"infinite weight", summaryDay, func(s *model.Session) { s.Weight.Value.G = model.Grams(inf) }, "weight.g", "finite"},
		{"weight by guess", summaryDay, func(s *model.Session) { s.Weight.Value.How = "guessed" }, "weight.how", "weighed or estimated"},
		{"more left than mixed", summaryDay, func(s *model.Session) {
			s.FeedUsed.MixedDryG, s.FeedUsed.LeftDryG = model.Known(model.Grams(500)), model.Known(model.Grams(600))
		}, "feed_used.left_dry_g", "left of"},
		{"planned rate NaN", summaryDay, func(s *model.Session) { s.Planned.RateGH = model.Known(model.GramsPerHour(nan)) }, "planned_feed.rate_g_h", "finite"},
		{"unknown level", summaryDay, func(s *model.Session) { s.Planned.Level = "Plenty" }, "planned_feed.level", "Trace, Lean, Even, Ample or Heavy"},
		{"unknown feeder", summaryDay, func(s *model.Session) { s.Feeder.Type = "bucket" }, "feeder.type", "cage"},
		{"capacity 0", summaryDay, func(s *model.Session) { s.Feeder.CapacityMl = model.Known(model.Millilitres(0)) }, "feeder.capacity_ml", "5 to 300"},
		{"water at 60 C", summaryDay, func(s *model.Session) { s.WaterTemp = model.Known(model.WaterReading{C: 60}) }, "water_temp.c", "-0.5 to 40"},
		{"depth of 0", summaryDay, func(s *model.Session) { s.DepthM = model.Known(model.Metres(0)) }, "depth_m", "0.1 to 60"},
		{"unknown colour", summaryDay, func(s *model.Session) { s.WaterColour = "brown" }, "water_colour", "clear, tinged or coloured"},
		{"endless notes", summaryDay, func(s *model.Session) { s.Notes = strings.Repeat("x", 2001) }, "notes", "2000"},
		{"bell in the notes", summaryDay, func(s *model.Session) { s.Notes = "a\ab" }, "notes", "control character"},
		{"hours in a summary", summaryDay, func(s *model.Session) { s.Intervals = hourlyDay().Intervals }, "intervals", "summary cannot have"},
		{"tally without hours", hourlyDay, func(s *model.Session) { s.Intervals = nil }, "intervals", "needs them"},
		{"log without casts", fullDay, func(s *model.Session) { s.Casts = nil }, "casts", "needs them"},
		{"casts in a tally", hourlyDay, func(s *model.Session) { s.Casts = fullDay().Casts }, "casts", "cannot have"},
		{"hour before the start", hourlyDay, func(s *model.Session) { s.Intervals[0].Start = s.Start.Add(-time.Minute) }, "intervals[0].start", "outside the session"},
		{"hour after the end", hourlyDay, func(s *model.Session) { s.End = s.End.Add(-time.Minute) }, "intervals[2].end", "outside the session"},
		{"hours that overlap", hourlyDay, func(s *model.Session) { s.Intervals[1].Start = s.Intervals[1].Start.Add(-time.Minute) }, "intervals[1].end", "61 min"},
		{"hour twice", hourlyDay, func(s *model.Session) { s.Intervals[1] = s.Intervals[0] }, "intervals[1].start", "in order"},
		{"hour of no length", hourlyDay, func(s *model.Session) { s.Intervals[1].End = s.Intervals[1].Start }, "intervals[1].end", "not after"},
		{"hours against total", hourlyDay, func(s *model.Session) { s.Bites.Value = 9 }, "bites", "add up to 6"},
		{"total below what hours hold", hourlyDay, func(s *model.Session) { s.Intervals[0].Bites = model.Maybe[int]{}; s.Bites.Value = 4 }, "bites", "add up to 5"},
		{"cast wound in before it was made", fullDay, func(s *model.Session) { s.Casts[1].Out = s.Casts[1].In.Add(-time.Second) }, "casts[1].out", "not after"},
		{"two casts on one rod", fullDay, func(s *model.Session) { s.Casts[0].Out = s.Casts[1].In.Add(time.Minute) }, "casts[1].in", "2 casts"},
		{"casts out of order", fullDay, func(s *model.Session) { s.Casts[1], s.Casts[2] = s.Casts[2], s.Casts[1] }, "casts[2].in", "order"},
		{"unknown outcome", fullDay, func(s *model.Session) { s.Casts[0].Outcome = "snag" }, "casts[0].outcome", "line_bite"},
		{"bite timed past the cast", fullDay, func(s *model.Session) { s.Casts[1].BiteMin.Value = 14 }, "casts[1].bite_min", "0 to 13"},
		{"bite timed without a bite", fullDay, func(s *model.Session) { s.Casts[0].BiteMin = model.Known(3.0) }, "casts[0].bite_min", "no true bite"},
		{"fish without landing", fullDay, func(s *model.Session) { s.Casts[0].FishG = model.Known(model.Grams(100)) }, "casts[0].outcome", "fish is described"},
		{"casts against fish by group", fullDay, func(s *model.Session) {
			s.Casts[1].Group = model.Silver
		}, "fish.silver", "add up to 1"},
		{"casts against bites", fullDay, func(s *model.Session) { s.Bites.Value = 2 }, "bites", "add up to 1"},
		{"dated next month", summaryDay, func(s *model.Session) {
			s.Start, s.End = testNow.AddDate(0, 1, 0), testNow.AddDate(0, 1, 0).Add(time.Hour)
			s.BreaksMin = 0
		}, "start", "still to come"},
		{"not over yet", summaryDay, func(s *model.Session) { s.Start, s.End = testNow.Add(-time.Hour), testNow.Add(time.Hour) }, "end", "still to come"},
		{"written in the future", summaryDay, func(s *model.Session) { s.WrittenAt = model.Known(testNow.Add(time.Hour)) }, "written_at", "still to come"},
	} {
		s := c.base()
		c.spoil(&s)
		err := s.ValidateAt(pit, testNow)
		if err == nil {
			t.Errorf("%s: not refused", c.name)
			continue
		}
		if got := fieldOf(err); got != c.field || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got field %q and %q, want field %q and %q in it", c.name, got, err, c.field, c.says)
		}
		if model.CodeOf(err) != model.Invalid {
			t.Errorf("%s: code %s", c.name, model.CodeOf(err))
		}
	}
}

func TestTwoRodsMayBeInTheWaterAtOnce(t *testing.T) {
	s := fullDay()
	s.Rods = 2
	s.Casts[0].Out = s.Casts[1].In.Add(time.Minute)
	if err := s.Validate(pit); err != nil {
		t.Error(err)
	}
	s.Casts[0].Out, s.Casts[1].Out = s.End, s.End
	if err := s.Validate(pit); fieldOf(err) != "casts[2].in" {
		t.Errorf("three casts on two rods: %v", err)
	}
}

func TestCompletedAddsUpOnlyWhatWasCounted(t *testing.T) {
	d := model.Defaults{Water: "quillmarsh-pit", Angler: "RJ", Now: testNow}
	s := hourlyDay()
	s.ID, s.Water, s.Angler = "", "", ""
	s.Bites, s.LineBites, s.Fish = model.Maybe[int]{}, model.Maybe[int]{}, nil
	s.Intervals[1].LineBites = model.Maybe[int]{}
	got, err := s.Completed(d)
	if err != nil {
		t.Fatal(err)
	}
	if got.Bites != model.Known(6) || got.LineBites.Known || got.Fish[model.Bream] != 3 || got.CastCount != model.Known(18) {
		t.Errorf("totals: bites %v, line bites %v, fish %v, casts %v", got.Bites, got.LineBites, got.Fish, got.CastCount)
	}
	if got.Water != "quillmarsh-pit" || got.Angler != "RJ" || got.ID != got.DerivedID() || !got.EnteredAt.Equal(testNow) {
		t.Errorf("not completed: %q %q %q %v", got.Water, got.Angler, got.ID, got.EnteredAt)
	}
	for i := range s.Intervals {
		s.Intervals[i].Fish = model.Known(0)
	}
	if got, _ = s.Completed(d); !got.Blank || got.Fish != nil {
		t.Error("a tally with typed zeros is a blank")
	}
	s.Intervals[0].Fish = model.Maybe[int]{}
	if got, _ = s.Completed(d); got.FishLanded().Known {
		t.Error("an hour that was not counted is no zero")
	}
}
