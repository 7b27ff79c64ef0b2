package model_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model"
)

// maybe draws a value that may be missing.
func maybe[T any](of *rapid.Generator[T]) *rapid.Generator[model.Maybe[T]] {
	return rapid.Custom(func(t *rapid.T) model.Maybe[T] {
		if rapid.Bool().Draw(t, "known") {
			return model.Known(of.Draw(t, "value"))
		}
		return model.Maybe[T]{}
	})
}

// measure draws a figure as people write it, to the thousandth.
func measure[N ~float64](low, high int) *rapid.Generator[N] {
	return rapid.Map(rapid.IntRange(low*1000, high*1000), func(n int) N { return N(float64(n) / 1000) })
}

var (
	words  = rapid.OneOf(rapid.Just(""), rapid.StringMatching(`[a-zé=+@'"-][a-z ,;"'\n=-]{0,20}[a-z0-9]`), rapid.SampledFrom([]string{"'", "=", "'=", "''", "\"", "yes", "0"}))
	counts = maybe(rapid.IntRange(0, 60))
	levels = rapid.SampledFrom([]string{"", "Trace", "Lean", "Even", "Ample", "Heavy"})
	groups = rapid.SampledFrom(model.Groups())
	grams  = measure[model.Grams](0, 300)
)

// validSession draws any valid record, totals and all.
func validSession(t *rapid.T) model.Session {
	zone := time.FixedZone("", rapid.SampledFrom([]int{0, 3600, -5 * 3600, 19800}).Draw(t, "offset"))
	start := time.Date(2024, 1, 1, 5, 0, 0, 0, zone).Add(time.Duration(rapid.IntRange(0, 700*24*60).Draw(t, "start")) * time.Minute)
	s := model.Session{
		Water: rapid.SampledFrom([]string{"quillmarsh-pit", "m2"}).Draw(t, "water"), Angler: rapid.SampledFrom([]string{"RJ", "sedge9", "a.b_c-d", "Örs"}).Draw(t, "angler"),
		Group: groups.Draw(t, "group"), Style: rapid.SampledFrom([]model.Style{model.FullLog, model.Hourly, model.Summary}).Draw(t, "style"),
		Start: start, End: start.Add(time.Duration(rapid.IntRange(60, 600).Draw(t, "length")) * time.Minute),
		BreaksMin: float64(rapid.IntRange(0, 118).Draw(t, "breaks")) / 2, Rods: rapid.IntRange(1, 4).Draw(t, "rods"),
		Peg: rapid.SampledFrom([]string{"", "7", "A-3"}).Draw(t, "peg"),
		Planned: model.PlannedFeed{
			RateGH: maybe(measure[model.GramsPerHour](0, 950)).Draw(t, "rate"), Level: levels.Draw(t, "level"), DecidedAt: maybe(rapid.Just(start.Add(-time.Hour))).Draw(t, "decided"),
		},
		Feeder:  model.FeederUsed{Type: rapid.SampledFrom([]string{"", "cage", "maggot"}).Draw(t, "feeder"), CapacityMl: maybe(measure[model.Millilitres](5, 90)).Draw(t, "ml"), WeightG: maybe(measure[model.Grams](3, 90)).Draw(t, "weight")},
		Opening: model.Opening{Fills: counts.Draw(t, "opening"), Release: rapid.SampledFrom([]string{"", "surface", "bottom"}).Draw(t, "release")},
		FeedUsed: model.FeedUsed{
			MixedDryG: maybe(measure[model.Grams](500, 900)).Draw(t, "mixed"), LeftDryG: maybe(grams).Draw(t, "left"), Fills: counts.Draw(t, "fills"),
		},
		RecastMin: maybe(measure[float64](1, 60)).Draw(t, "recast"), DistanceM: maybe(measure[model.Metres](1, 80)).Draw(t, "distance"),
		DepthM: maybe(measure[model.Metres](1, 20)).Draw(t, "depth"), HookLengthCm: maybe(measure[float64](1, 150)).Draw(t, "hook"),
		Groundbait: words.Draw(t, "groundbait"), Particles: words.Draw(t, "particles"), HookBait: words.Draw(t, "bait"), Ripple: words.Draw(t, "ripple"),
		WindFelt: words.Draw(t, "wind"), Neighbours: words.Draw(t, "neighbours"), Notes: words.Draw(t, "notes"), PlanID: words.Draw(t, "plan"),
		WaterColour: rapid.SampledFrom([]model.Colour{"", "clear", "coloured"}).Draw(t, "colour"), Demo: rapid.Bool().Draw(t, "demo"),
	}
	s.WrittenAt = maybe(rapid.Just(s.End.Add(90*time.Second))).Draw(t, "written")
	s.WaterTemp = maybe(rapid.Custom(func(t *rapid.T) model.WaterReading {
		return model.WaterReading{C: measure[model.Celsius](0, 30).Draw(t, "c"), DepthM: maybe(measure[model.Metres](0, 5)).Draw(t, "at depth"), At: maybe(rapid.Just(start.Add(time.Minute))).Draw(t, "when"), Instrument: rapid.Bool().Draw(t, "instrument")}
	})).Draw(t, "water temp")
	drawCatch(t, &s)
	s, err := s.Completed(model.Defaults{Now: testNow})
	if err != nil {
		t.Fatalf("the generator contradicts itself: %v", err)
	}
	if err := s.ValidateAt(model.Water{ID: s.Water}, testNow); err != nil {
		t.Fatalf("the generator makes a session that is not valid: %v", err)
	}
	return s
}

// drawCatch draws what the style promises; totals follow from it.
func drawCatch(t *rapid.T, s *model.Session) {
	n := rapid.IntRange(1, 6).Draw(t, "parts")
	slot := s.End.Sub(s.Start) / 10
	for i := range n {
		from := s.Start.Add(time.Duration(i) * slot)
		switch s.Style {
		case model.Hourly:
			s.Intervals = append(s.Intervals, model.Interval{
				Start: from, End: from.Add(slot), Casts: counts.Draw(t, "casts"), Bites: counts.Draw(t, "bites"), LineBites: counts.Draw(t, "liners"),
				Fish: model.Known(rapid.IntRange(0, 3).Draw(t, "fish")), Level: levels.Draw(t, "level"), RateGH: maybe(measure[model.GramsPerHour](0, 950)).Draw(t, "rate"),
			})
		case model.FullLog:
			c := model.Cast{In: from, Out: from.Add(slot - time.Second), FillG: maybe(grams).Draw(t, "fill"), Outcome: rapid.SampledFrom([]model.Outcome{model.NoBite, model.LineBite, model.MissedBite, model.FishLanded, model.FishLost}).Draw(t, "outcome")}
			if c.Outcome.TrueBite() {
				c.BiteMin = maybe(measure[float64](0, 5)).Draw(t, "bite")
			}
			if c.Outcome == model.FishLanded {
				c.Group, c.FishG = rapid.OneOf(rapid.Just(model.Group("")), groups).Draw(t, "fish group"), maybe(grams).Draw(t, "fish g")
			}
			s.Casts = append(s.Casts, c)
		}
	}
	if s.Style != model.Summary {
		return
	}
	s.Bites, s.LineBites, s.CastCount = counts.Draw(t, "bites"), counts.Draw(t, "liners"), counts.Draw(t, "casts")
	if !s.Bites.Known {
		s.BitesText = rapid.SampledFrom([]string{"", "loads", "a few", "=lots", "'some", "10 or so"}).Draw(t, "bites text")
	}
	if s.Blank = rapid.Bool().Draw(t, "blank"); !s.Blank {
		s.Fish = map[model.Group]int{groups.Draw(t, "fish group"): rapid.IntRange(0, 9).Draw(t, "fish")}
		if s.FishLanded().Value > 0 {
			s.Weight = maybe(rapid.Map(grams, func(g model.Grams) model.Weight { return model.Weight{G: g, How: model.Weighed} })).Draw(t, "weight")
		}
	}
}

// distinct keeps the first of the sessions that share an identifier.
func distinct(sessions []model.Session) []model.Session {
	seen := map[string]bool{}
	var kept []model.Session
	for _, s := range sessions {
		if !seen[s.ID] {
			kept = append(kept, s)
		}
		seen[s.ID] = true
	}
	return kept
}

func TestReadingWhatWasWrittenGivesItBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := distinct(rapid.SliceOfN(rapid.Custom(validSession), 1, 4).Draw(t, "sessions"))
		var file bytes.Buffer
		if err := model.WriteSessionsCSV(&file, want); err != nil {
			t.Fatal(err)
		}
		text := file.String()
		parsed, reports, err := model.ReadSessionsCSV(&file, model.Defaults{Now: testNow})
		if err != nil {
			t.Fatal(err)
		}
		checkEqual(t, want, parsed, fmt.Sprintf("%+v\n%s", reports, text))

		body, err := json.Marshal(map[string]any{"sessions": want})
		if err != nil {
			t.Fatal(err)
		}
		parsed, reports, err = model.ReadSessionsJSON(bytes.NewReader(body), model.Defaults{Now: testNow})
		if err != nil {
			t.Fatal(err)
		}
		checkEqual(t, want, parsed, fmt.Sprintf("%+v\n%s", reports, body))
	})
}

func checkEqual(t *rapid.T, want []model.Session, parsed []model.ParsedSession, context string) {
	var got []model.Session
	for _, p := range parsed {
		got = append(got, p.Session)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Fatalf("%s\n%s", diff, context)
	}
	for i := range got {
		if got[i].Start.Format(time.RFC3339) != want[i].Start.Format(time.RFC3339) {
			t.Fatalf("the offset was lost: %s became %s", want[i].Start, got[i].Start)
		}
	}
}

// Every row of a file, however bad, is in the report once, and every session
// returned is made of rows that are not reported as refused.
func TestEveryRowIsAccountedFor(t *testing.T) {
	header := strings.Split("session,group,style,start,end,bites,fish_bream,blank,hour_start,hour_end,hour_fish,cast_in,cast_out,cast_outcome,weight_lb", ",")
	likely := map[string][]string{
		"session": {"a", "b", ""}, "group": {"bream", "bream", "eel"}, "style": {"summary", "hourly", "full_log", ""},
		"start": {"2025-06-14T07:00:00Z", "2025-06-15T07:00:00Z"}, "end": {"12:00", "06:00", "x"}, "hour_start": {"07:00", "08:00"}, "hour_end": {"08:00", "09:00"},
		"cast_in": {"07:00"}, "cast_out": {"07:10"}, "cast_outcome": {"fish", "none"}, "weight_lb": {"4", "4.12"}, "blank": {"yes", "no"},
	}
	rapid.Check(t, func(t *rapid.T) {
		lines := []string{strings.Join(header, ",")}
		var told []int
		for i := range rapid.IntRange(1, 8).Draw(t, "rows") {
			cells := make([]string, rapid.SampledFrom([]int{len(header), len(header), len(header), 3, 17}).Draw(t, "cells"))
			for j := range cells {
				if j < len(header) && rapid.Bool().Draw(t, "filled") {
					cells[j] = rapid.SampledFrom(append(likely[header[j]], "", "1", "loads", "\"")).Draw(t, "cell")
				}
			}
			lines = append(lines, strings.Join(cells, ","))
			if strings.Trim(lines[i+1], ",") != "" {
				told = append(told, i+2)
			}
		}
		parsed, reports, err := model.ReadSessionsCSV(strings.NewReader(strings.Join(lines, "\n")), model.Defaults{Water: "w", Angler: "a", Now: testNow})
		if err != nil && len(told) > 0 {
			t.Fatal(err)
		}
		if strings.Contains(strings.Join(lines, ""), `"`) {
			checkReports(t, parsed, reports) // an open mark joins lines into one row
			return
		}
		var rows []int
		for _, r := range reports {
			rows = append(rows, r.Row)
		}
		if diff := cmp.Diff(told, rows); diff != "" {
			t.Fatalf("%s\n%s", diff, strings.Join(lines, "\n"))
		}
		checkReports(t, parsed, reports)
	})
}

// checkReports checks what holds of any answer of the readers.
func checkReports(t interface{ Fatalf(string, ...any) }, parsed []model.ParsedSession, reports []model.RowReport) {
	status := map[int]model.RowStatus{}
	for _, r := range reports {
		if _, twice := status[r.Row]; twice {
			t.Fatalf("row %d is reported twice", r.Row)
		}
		if status[r.Row] = r.Status; (r.Status == model.RowRefused) != (len(r.Problems) > 0) && r.Status != model.RowDuplicate {
			t.Fatalf("row %d: status %q with problems %q", r.Row, r.Status, r.Problems)
		}
	}
	used := map[int]bool{}
	for _, p := range parsed {
		s := p.Session
		if err := s.ValidateAt(model.Water{ID: s.Water}, testNow); err != nil {
			t.Fatalf("a session that is not valid got through: %v", err)
		}
		model.Guards(s, model.Water{ID: s.Water}, model.Surroundings{})
		for _, row := range p.Rows {
			if used[row] || status[row] == model.RowRefused || status[row] == "" {
				t.Fatalf("row %d of session %s: used before %v, status %q", row, s.ID, used[row], status[row])
			}
			used[row] = true
		}
	}
	for row, st := range status {
		if st != model.RowRefused && !used[row] {
			t.Fatalf("row %d is said to be stored, and no session has it", row)
		}
	}
}
