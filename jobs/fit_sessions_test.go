package jobs

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
	"osier/model/activity"
)

// counts is what a row of a fit says was counted.
type counts struct {
	bites, fish           int
	bitesKnown, fishKnown bool
	rodHours              float64
}

func countsOf(r activity.SessionRecord) []counts {
	var out []counts
	for _, i := range r.Intervals {
		out = append(out, counts{i.Bites, i.Fish, i.BitesKnown, i.FishKnown, i.RodHours})
	}
	return out
}

func TestHowASessionReachesAFit(t *testing.T) {
	weather := mereWeather(t)
	summary := morning(model.Summary, 6)
	summary.Fish = map[model.Group]int{model.Bream: 4}
	fishOnly := summary
	fishOnly.Bites, fishOnly.BitesText = model.Maybe[int]{}, "loads"
	bitesOnly := summary
	bitesOnly.Fish = nil
	twoRods := summary
	twoRods.Rods = 2
	nextDay, nextWeek, month, unsaid := summary, summary, summary, summary
	nextDay.WrittenAt = model.Known(summary.End.Add(25 * time.Hour))
	nextWeek.WrittenAt = model.Known(summary.End.Add(10 * 24 * time.Hour))
	month.WrittenAt = model.Known(summary.End.Add(30 * 24 * time.Hour))
	unsaid.WrittenAt, unsaid.EnteredAt = model.Maybe[time.Time]{}, summary.End.Add(30*24*time.Hour)
	pegDoubted := summary
	pegDoubted.Queries = []model.Query{{Field: "peg", Excludes: "field"}}
	whole := []counts{{6, 4, true, true, 4}}
	for _, c := range []struct {
		name    string
		session model.Session
		want    []counts
		weight  float64 // statistics pack 1.2
		peg     string
	}{
		{"a summary", summary, whole, 1, "4"},
		{"loads, with fish counted", fishOnly, []counts{{0, 4, false, true, 4}}, 1, "4"},
		{"bites alone", bitesOnly, []counts{{6, 0, true, false, 4}}, 1, "4"},
		{"two rods", twoRods, []counts{{6, 4, true, true, 8}}, 1, "4"},
		{"hours", tally(3, 0, 5, 2), []counts{{3, 3, true, true, 1}, {0, 0, true, true, 1}, {5, 5, true, true, 1}, {2, 2, true, true, 1}}, 1, "4"},
		{"written the day after", nextDay, whole, 0.7, "4"},
		{"written ten days later", nextWeek, whole, 0.4, "4"},
		{"written a month later", month, whole, 0.25, "4"},
		{"nobody said when it was written", unsaid, whole, 0.7, "4"},
		{"the peg is in doubt", pegDoubted, whole, 1, ""},
	} {
		r, err := sessionRecord(joinOne(t, c.session, weather))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if diff := cmp.Diff(c.want, countsOf(r), cmp.AllowUnexported(counts{})); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
		if r.ID != "s" || r.Water != "mere" || r.Angler != "VP" || r.Peg != c.peg || r.Weight != c.weight {
			t.Errorf("%s: %s at %q peg %q of %q weighs %v; want peg %q and weight %v", c.name, r.ID, r.Water, r.Peg, r.Angler, r.Weight, c.peg, c.weight)
		}
		if first := r.Intervals[0].Covariates; !first.Known.WaterC || !first.Known.Feed || !first.Known.LogCapacityRatio || first.Known.PegEffort7dRodHours {
			t.Errorf("%s: known %+v, want the water, the feed and the feeder, and nothing of other sessions", c.name, first.Known)
		}
	}
}

// pegSession is a session of one hour or more that began so many hours after
// noon of the first day.
func pegSession(id, water, peg string, startH, hours float64) fitSession {
	start := time.Date(2026, 2, 1, 12, 0, 0, 0, time.UTC).Add(time.Duration(startH * float64(time.Hour)))
	return fitSession{
		start: start, end: start.Add(time.Duration(hours * float64(time.Hour))), rodHours: hours,
		record: activity.SessionRecord{ID: id, Water: water, Peg: peg, Intervals: make([]activity.IntervalRecord, 2)},
	}
}

func TestTheEffortOnAPegIsOnesOwnInTheSessionsRead(t *testing.T) {
	const day, week = 24, 7 * 24
	somebody := pegSession("somebody else", "mere", "4", day, 6)
	somebody.record.Angler = "MK"
	given := []fitSession{
		pegSession("first", "mere", "4", 0, 5),
		pegSession("other peg", "mere", "5", 1, 3),
		pegSession("other water", "pool", "4", 1, 3),
		pegSession("no peg", "mere", "", 1, 3),
		somebody,
		pegSession("still fished", "mere", "4", 2*day, 10),
		pegSession("while that goes on", "mere", "4", 2*day+1, 2),
		pegSession("in the week", "mere", "4", week+4.9, 1),
		pegSession("just past the week", "mere", "4", week+6, 1),
		pegSession("long after", "mere", "4", 30*day, 1),
	}
	want := map[string]model.Maybe[float64]{
		"first": model.Known(0.0), "somebody else": model.Known(0.0), "other peg": model.Known(0.0), "other water": model.Known(0.0), "no peg": {},
		"still fished": model.Known(5.0), "while that goes on": model.Known(5.0),
		"in the week": model.Known(17.0), "just past the week": model.Known(13.0), "long after": model.Known(0.0),
	}
	for _, s := range withEffort(given) {
		for _, i := range s.record.Intervals {
			got := model.Maybe[float64]{Value: i.Covariates.PegEffort7dRodHours, Known: i.Covariates.Known.PegEffort7dRodHours}
			if got != want[s.record.ID] {
				t.Errorf("%s: effort %+v, want %+v", s.record.ID, got, want[s.record.ID])
			}
		}
	}
	for _, s := range given {
		if s.record.Intervals[0].Covariates.Known.PegEffort7dRodHours {
			t.Errorf("%s was changed where it stood", s.record.ID)
		}
	}
	// Without the first, the others have less before them.
	if e := withEffort(given[1:])[4].record.Intervals[0].Covariates.PegEffort7dRodHours; e != 0 {
		t.Errorf("effort %v with the session before it not read, want 0", e)
	}
}

func TestAPegFewFishedHasNoEffectOfItsOwnInOtherPeoplesFits(t *testing.T) {
	var given []fitSession
	for i, angler := range []string{"a", "b", "c", "d", "e"} {
		s := pegSession("s"+angler, "mere", "4", float64(24*i), 1)
		s.record.Angler = angler
		given = append(given, s)
	}
	lone := pegSession("lone", "mere", "9", 1, 1)
	lone.record.Angler = "a"
	for _, c := range []struct {
		name, own, peg, lonePeg string
		sessions                []fitSession
	}{
		{"five anglers, public", "", "4", "", append(slices.Clone(given), lone)},
		{"four anglers, public", "", "", "", append(slices.Clone(given[1:]), lone)},
		{"the angler's own fit", "a", "4", "9", append(slices.Clone(given), lone)},
	} {
		for _, s := range withoutLonePegs(c.sessions, c.own) {
			want := c.peg
			if s.record.ID == "lone" {
				want = c.lonePeg
			}
			if s.record.Peg != want {
				t.Errorf("%s: session %s on peg %q, want %q", c.name, s.record.ID, s.record.Peg, want)
			}
		}
	}
}

func TestABacktestReadsSessionsAsFitsDo(t *testing.T) {
	day := time.Date(2026, 2, 1, 8, 0, 0, 0, time.UTC)
	joined := func(id string, days int, hours ...model.JoinedInterval) model.JoinedSession {
		start := day.AddDate(0, 0, days)
		return model.JoinedSession{
			Session: id, Water: "mere", Peg: "4", Angler: "VP", Group: model.Bream, Use: true, Weight: 1,
			Start: start, End: start.Add(4 * time.Hour), RodHours: 4, Bites: model.Known(3), Drivers: model.Drivers{DayOfYear: 40, MidHour: 10}, Intervals: hours,
		}
	}
	hour := model.JoinedInterval{RodHours: 2, Bites: model.Known(1), Drivers: model.Drivers{DayOfYear: 40, MidHour: 9}}
	late := hour
	late.Bites = model.Known(2)
	unread := joined("unread", 2)
	unread.Use = false
	got, err := datedRecords([]model.JoinedSession{joined("second", 1, hour, late), unread, joined("first", 0)})
	if err != nil {
		t.Fatal(err)
	}
	records := got[model.Bream]
	if len(records) != 2 || records[0].Record.ID != "first" || records[1].Record.ID != "second" {
		t.Fatalf("%d records, want the two that fits may read, by start: %+v", len(records), records)
	}
	second := records[1]
	if len(second.Record.Intervals) != 2 || second.Whole.Bites != 3 || second.Whole.RodHours != 4 {
		t.Errorf("%d intervals, in all %d bites in %g rod-hours; want 2, 3 and 4", len(second.Record.Intervals), second.Whole.Bites, second.Whole.RodHours)
	}
	for _, i := range append(second.Record.Intervals, second.Whole) {
		if c := i.Covariates; !c.Known.PegEffort7dRodHours || c.PegEffort7dRodHours != 4 {
			t.Errorf("effort on the peg %g (known %v), want the 4 rod-hours of the day before", c.PegEffort7dRodHours, c.Known.PegEffort7dRodHours)
		}
	}
}
