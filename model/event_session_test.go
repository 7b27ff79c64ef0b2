package model_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
)

// The record of a whole session, cast by cast.
func TestEventsMakeARecord(t *testing.T) {
	l := live(t, bankMorning()...)
	cast := func(in, out string, outcome model.Outcome) model.Cast {
		return model.Cast{In: clockAt(in), Out: clockAt(out), Outcome: outcome}
	}
	one, two, three, four := cast("08:00:30", "08:12:30", model.LineBite), cast("08:13:30", "08:25:00", model.FishLanded),
		cast("08:45:00", "08:55:00", model.MissedBite), cast("08:55:30", "09:05:00", model.FishLost)
	one.FillG, two.FillG = model.Known[model.Grams](38), model.Known[model.Grams](36)
	two.BiteMin, two.Group, two.FishG = model.Known(5.5), model.Bream, model.Known[model.Grams](1450)
	three.BiteMin = model.Known(8.0)
	want := model.Session{
		ID: "s-live", Water: "quillmarsh-pit", Angler: "VP", Group: model.Bream, Style: model.FullLog, Peg: "7",
		Start: clockAt("08:00:00"), End: clockAt("09:05:00"), BreaksMin: 20, Rods: 1, WrittenAt: model.Known(clockAt("09:05:00")),
		Bites: model.Known(3), LineBites: model.Known(2), Fish: map[model.Group]int{model.Bream: 1}, CastCount: model.Known(4),
		Planned:  model.PlannedFeed{RateGH: model.Known[model.GramsPerHour](90), DecidedAt: model.Known(clockAt("07:50:00"))},
		FeedUsed: model.FeedUsed{Fills: model.Known(5)}, Opening: model.Opening{Fills: model.Known(4), Release: "bottom"},
		Feeder:    model.FeederUsed{Type: "cage", CapacityMl: model.Known[model.Millilitres](55), WeightG: model.Known[model.Grams](40)},
		DistanceM: model.Known[model.Metres](30), DepthM: model.Known[model.Metres](2.5), HookBait: "two maggots", HookLengthCm: model.Known(75.0),
		Particles: "red maggots",
		WaterTemp: model.Known(model.WaterReading{C: 5.5, DepthM: model.Known[model.Metres](0.3), At: model.Known(clockAt("07:55:00")), Instrument: true}),
		Casts:     []model.Cast{one, two, three, four},
	}
	if diff := cmp.Diff(want, l.Session); diff != "" {
		t.Errorf("the record (-want +got):\n%s", diff)
	}
	soaks := []model.Soak{
		{From: clockAt("08:00:30"), Min: 12},
		{From: clockAt("08:13:30"), Min: 11.5, BiteMin: model.Known(5.5)},
		{From: clockAt("08:45:00"), Min: 10, BiteMin: model.Known(8.0)},
		{From: clockAt("08:55:30")}, // lost, and nobody said when it bit
	}
	if diff := cmp.Diff(soaks, l.Soaks); diff != "" {
		t.Errorf("the soaks (-want +got):\n%s", diff)
	}
	if !l.Ended || l.Open != nil || l.PausedAt.Known || !l.Changed.Value.Equal(clockAt("08:54:00")) {
		t.Errorf("ended %t, open %v, paused %v, changed %v", l.Ended, l.Open, l.PausedAt, l.Changed)
	}
}

// What is made of events is a record like any other: it is valid, survives JSON,
// and is the same session when it is sent as a file.
func TestARecordOfEventsIsLikeAnyOther(t *testing.T) {
	s := live(t, bankMorning()...).Session
	if err := s.ValidateAt(pit, testNow); err != nil {
		t.Fatalf("the record is refused: %v", err)
	}
	decoded, err := model.DecodeSession([]byte(asJSON(t, s)))
	if err != nil {
		t.Fatal(err)
	}
	if again := asJSON(t, decoded); again != asJSON(t, s) {
		t.Errorf("after JSON: %s\nbefore: %s", again, asJSON(t, s))
	}
	parsed, reports, err := model.ReadSessionsJSON(strings.NewReader(`{"sessions":[`+asJSON(t, s)+`]}`), model.Defaults{Now: testNow})
	if err != nil || len(parsed) != 1 {
		t.Fatalf("as a file: %+v, %v", reports, err)
	}
	if same, differs := model.Duplicate(s, parsed[0].Session); !same {
		t.Errorf("as a file it differs in %v", differs)
	}
	var file bytes.Buffer
	if err := model.WriteSessionsCSV(&file, []model.Session{s}); err != nil {
		t.Fatal(err)
	}
	parsed, reports, err = model.ReadSessionsCSV(&file, model.Defaults{Now: testNow})
	if err != nil || len(parsed) != 1 {
		t.Fatalf("as CSV: %+v, %v", reports, err)
	}
	if same, differs := model.Duplicate(s, parsed[0].Session); !same {
		t.Errorf("as CSV it differs in %v", differs)
	}
}

// The same session, typed as a table from paper by hand.
const paperMorning = `session,water,angler,group,style,start,end,breaks_min,peg,planned_rate_g_h,line_bites,feeder_type,cast_in,cast_out,cast_fill_g,cast_outcome,cast_bite_min,cast_fish_group,cast_fish_g
p-1,quillmarsh-pit,VP,bream,full_log,2026-01-17T08:00:00Z,09:05,20,7,90,2,cage,08:00:30,08:12:30,38,line_bite,,,
p-1,,,,,,,,,,,,08:13:30,08:25,36,fish,5.5,bream,1450
p-1,,,,,,,,,,,,08:45,08:55,,missed_bite,8,,
p-1,,,,,,,,,,,,08:55:30,09:05,,lost,,,
`

func TestEventsAgreeWithTheSameSessionTypedFromPaper(t *testing.T) {
	parsed, reports, err := model.ReadSessionsCSV(strings.NewReader(paperMorning), model.Defaults{Now: testNow})
	if err != nil || len(parsed) != 1 {
		t.Fatalf("%+v, %v", reports, err)
	}
	paper, told := parsed[0].Session, live(t, bankMorning()...).Session
	if diff := cmp.Diff(asJSON(t, paper.Casts), asJSON(t, told.Casts)); diff != "" {
		t.Errorf("the casts on paper (-) and told (+):\n%s", diff)
	}
	for _, c := range []struct {
		what        string
		paper, told any
	}{
		{"bites", paper.Bites, told.Bites},
		{"line bites", paper.LineBites, told.LineBites},
		{"fish", paper.Fish, told.Fish},
		{"casts", paper.CastCount, told.CastCount},
		{"rod-hours", paper.RodHours(), told.RodHours()},
		{"planned", paper.Planned.RateGH, told.Planned.RateGH},
		{"identity", paper.IdentityKey(), told.IdentityKey()},
		{"feeder", paper.Feeder.Type, told.Feeder.Type},
	} {
		if diff := cmp.Diff(c.paper, c.told); diff != "" {
			t.Errorf("%s on paper (-) and told (+):\n%s", c.what, diff)
		}
	}
}

// A pause runs to the next cast or the end; one before the first cast is none of
// the session's.
func TestPausesAreBreaks(t *testing.T) {
	start, cast, end := event("st", model.EventStart, "07:00:00"), event("c1", model.EventCast, "08:00:00"), event("en", model.EventEnd, "10:00:00")
	for _, c := range []struct {
		name     string
		events   []model.Event
		breakMin float64
	}{
		{"none", nil, 0},
		{"before the first cast", []model.Event{event("p1", model.EventPause, "07:30:00")}, 0},
		{"to the next cast", []model.Event{event("p1", model.EventPause, "08:30:00"), event("c2", model.EventCast, "08:50:00")}, 20},
		{"to the end", []model.Event{event("p1", model.EventPause, "09:15:00")}, 45},
		{"paused twice", []model.Event{event("p1", model.EventPause, "08:30:00"), event("p2", model.EventPause, "08:40:00"), event("c2", model.EventCast, "08:50:00")}, 20},
		{"two pauses", []model.Event{
			event("p1", model.EventPause, "08:30:00"), event("c2", model.EventCast, "08:50:00"),
			event("p2", model.EventPause, "09:00:00"), event("c3", model.EventCast, "09:05:00"),
		}, 25},
		{"filled while paused", []model.Event{event("p1", model.EventPause, "08:30:00"), event("f1", model.EventFill, "08:49:00"), event("c2", model.EventCast, "08:50:00")}, 20},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := live(t, append([]model.Event{start, cast, end}, c.events...)...).Session
			if s.BreaksMin != c.breakMin || s.Validate(pit) != nil {
				t.Errorf("%v min of breaks, want %v; %v", s.BreaksMin, c.breakMin, s.Validate(pit))
			}
		})
	}
}

func TestASessionThatGoesOn(t *testing.T) {
	start := event("st", model.EventStart, "07:50:00")
	for _, c := range []struct {
		name   string
		events []model.Event
		open   *model.OpenCast
		paused string
		soaks  []model.Soak
	}{
		{"just cast", []model.Event{event("c1", model.EventCast, "08:00:00")}, &model.OpenCast{Cast: clockAt("08:00:00")}, "", []model.Soak{{From: clockAt("08:00:00"), Open: true}}},
		{
			"settled, and a line bite",
			[]model.Event{event("c1", model.EventCast, "08:00:00"), event("t1", model.EventSettled, "08:01:00"), event("l1", model.EventLineBite, "08:04:00")},
			&model.OpenCast{Cast: clockAt("08:00:00"), Settled: model.Known(clockAt("08:01:00"))}, "",
			[]model.Soak{{From: clockAt("08:01:00"), Min: 3, Open: true}},
		},
		{
			"a bite",
			[]model.Event{event("c1", model.EventCast, "08:00:00"), event("b1", model.EventBite, "08:04:00")},
			&model.OpenCast{Cast: clockAt("08:00:00"), Bitten: true}, "",
			[]model.Soak{{From: clockAt("08:00:00"), Min: 4, BiteMin: model.Known(4.0), Open: true}},
		},
		{"paused", []model.Event{event("c1", model.EventCast, "08:00:00"), event("p1", model.EventPause, "08:10:00")}, nil, "08:10:00", []model.Soak{{From: clockAt("08:00:00"), Min: 10}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := live(t, append(c.events, start)...)
			if diff := cmp.Diff(c.open, l.Open); diff != "" {
				t.Errorf("open (-want +got):\n%s", diff)
			}
			if diff := cmp.Diff(c.soaks, l.Soaks); diff != "" {
				t.Errorf("soaks (-want +got):\n%s", diff)
			}
			if l.Ended || l.Session.Blank || l.PausedAt.Known != (c.paused != "") || l.PausedAt.Known && !l.PausedAt.Value.Equal(clockAt(c.paused)) {
				t.Errorf("ended %t, blank %t, paused %v", l.Ended, l.Session.Blank, l.PausedAt)
			}
		})
	}
}

// A log kept at the water stays one when a slip is mended next day; a log from
// memory does not become one by its times.
func TestWhenALogWasWritten(t *testing.T) {
	late := func(clock string) func(*model.Event) {
		return func(e *model.Event) { e.MadeAt = model.Known(clockAt(clock)) }
	}
	casts := func(more ...func(*model.Event)) []model.Event {
		out := []model.Event{event("st", model.EventStart, "07:50:00"), event("en", model.EventEnd, "09:00:00")}
		for _, c := range []string{"08:00:00", "08:15:00", "08:30:00", "08:45:00"} {
			out = append(out, event("c"+strings.ReplaceAll(c, ":", ""), model.EventCast, c, more...))
		}
		return out
	}
	mended := append(casts(), event("m1", model.EventCast, "08:14:00", replaces("c081500"), late("23:00:00")))
	for _, c := range []struct {
		name   string
		events []model.Event
		want   string
	}{
		{"at the water", casts(), "09:00:00"},
		{"a slip mended at night", mended, "09:00:00"},
		{"all of it from memory", casts(late("23:30:00")), "23:30:00"},
	} {
		s := live(t, c.events...).Session
		if !s.WrittenAt.Value.Equal(clockAt(c.want)) {
			t.Errorf("%s: written at %s, want %s", c.name, s.WrittenAt.Value.Format(time.TimeOnly), c.want)
		}
	}
	if s := live(t, casts(late("23:30:00"))...).Session; s.LearnAs() != model.Summary {
		t.Errorf("a log from memory is learnt from as %s", s.LearnAs())
	}
}

func TestWithoutStartOrCastThereIsNoSession(t *testing.T) {
	for _, c := range []struct {
		name   string
		events []model.Event
		says   string
	}{
		{"nothing", nil, "has no start"},
		{"no start", []model.Event{event("c1", model.EventCast, "08:00:00")}, "has no start"},
		{"no cast", []model.Event{event("st", model.EventStart, "07:50:00")}, "has no cast yet"},
		{"start taken back", []model.Event{event("st", model.EventStart, "07:50:00"), event("c1", model.EventCast, "08:00:00"), event("w1", model.EventWithdraw, "08:01:00", replaces("st"))}, "has no start"},
		{"every cast after the end", []model.Event{event("st", model.EventStart, "07:50:00"), event("en", model.EventEnd, "07:55:00"), event("c1", model.EventCast, "08:00:00")}, "has no cast yet"},
	} {
		_, err := model.BuildLive("s-live", logged(c.events...))
		if model.CodeOf(err) != model.Invalid || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want one that says %q", c.name, err, c.says)
		}
	}
}

// Who fills in the start after the first cast loses nothing but the plan's place
// before it; what is changed later is no part of the record.
func TestWhatIsOnTheLineAtTheFirstCast(t *testing.T) {
	cage := model.FeederUsed{Type: "cage", CapacityMl: model.Known[model.Millilitres](55)}
	window := model.FeederUsed{Type: "window"}
	with := func(f model.FeederUsed, bait string) func(*model.Event) {
		return func(e *model.Event) { e.Feeder, e.HookBait = f, bait }
	}
	filled := func(f model.FeederUsed) func(*model.Event) { return func(e *model.Event) { e.Feeder = f } }
	cast := event("c1", model.EventCast, "08:00:00")
	for _, c := range []struct {
		name    string
		events  []model.Event
		feeder  model.FeederUsed
		bait    string
		changed string
	}{
		{"said at the start", []model.Event{event("st", model.EventStart, "07:50:00", with(cage, "corn"))}, cage, "corn", ""},
		{"start filled in after the cast", []model.Event{event("st", model.EventStart, "08:03:00", with(cage, "corn"))}, cage, "corn", ""},
		{"changed before the cast", []model.Event{event("st", model.EventStart, "07:50:00", with(cage, "corn")), event("h1", model.EventChange, "07:55:00", with(window, "worm"))}, window, "worm", ""},
		{"changed after it", []model.Event{event("st", model.EventStart, "07:50:00", with(cage, "corn")), event("h1", model.EventChange, "08:10:00", with(window, "worm"))}, cage, "corn", "08:10:00"},
		{"filled as before", []model.Event{event("st", model.EventStart, "07:50:00", with(cage, "corn")), event("f1", model.EventFill, "08:10:00", filled(cage))}, cage, "corn", ""},
		{"another feeder filled", []model.Event{event("st", model.EventStart, "07:50:00", with(cage, "corn")), event("f1", model.EventFill, "08:10:00", filled(window))}, cage, "corn", "08:10:00"},
	} {
		l := live(t, append(c.events, cast)...)
		if l.Session.Feeder != c.feeder || l.Session.HookBait != c.bait || l.Changed.Known != (c.changed != "") || l.Changed.Known && !l.Changed.Value.Equal(clockAt(c.changed)) {
			t.Errorf("%s: %+v with %q, changed %v", c.name, l.Session.Feeder, l.Session.HookBait, l.Changed)
		}
	}
}

// Fills that nobody logged are not known to be none.
func TestFillsAreCountedWhereTheyAreLogged(t *testing.T) {
	base := []model.Event{event("st", model.EventStart, "07:50:00"), event("c1", model.EventCast, "08:00:00"), event("en", model.EventEnd, "09:00:00")}
	if used := live(t, base...).Session.FeedUsed; used.Fills.Known {
		t.Errorf("fills %v, and nobody logged one", used.Fills)
	}
	fed := append(base, event("f1", model.EventFill, "07:59:00"), event("u1", model.EventTopUp, "08:30:00"), event("u2", model.EventTopUp, "08:40:00", func(e *model.Event) { e.Fills = model.Known(4) }))
	if used := live(t, fed...).Session.FeedUsed; used.Fills != model.Known(6) {
		t.Errorf("fills %v, want 6", used.Fills)
	}
}

func TestALiveSessionIsJSONBothWays(t *testing.T) {
	l := live(t, bankMorning()...)
	var again model.Live
	if err := json.Unmarshal([]byte(asJSON(t, l)), &again); err != nil {
		t.Fatal(err)
	}
	if asJSON(t, again) != asJSON(t, l) {
		t.Errorf("after JSON %s\nbefore %s", asJSON(t, again), asJSON(t, l))
	}
}

// BenchmarkBuildLive is a long day of 200 events.
func BenchmarkBuildLive(b *testing.B) {
	events := []model.Event{event("st", model.EventStart, "07:50:00")}
	for i := 0; len(events) < 200; i++ {
		begun := bankside.Add(time.Duration(i) * 10 * time.Minute)
		for n, kind := range []model.EventKind{model.EventFill, model.EventCast, model.EventSettled, model.EventBite} {
			e := event(fmt.Sprintf("e%d-%d", i, n), kind, "08:00:00")
			e.At = begun.Add(time.Duration(n) * time.Minute)
			events = append(events, e)
		}
	}
	log := logged(events...)
	for b.Loop() {
		if _, err := model.BuildLive("s-live", log); err != nil {
			b.Fatal(err)
		}
	}
}
