package plan_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"osier/model"
	"osier/model/plan"
	"osier/model/timing"
)

// banked is a session on the ordinary day's plan, whose events come at minutes
// from the first cast, asked about at nowMin.
func banked(t *testing.T, nowMin float64, events ...model.Event) plan.BankInput {
	t.Helper()
	p := build(t, input(t, series(ordinary)))
	at := func(min float64) time.Time { return start.Add(time.Duration(min * float64(time.Minute))) }
	all := append([]model.Event{{ID: "start", Kind: model.EventStart, At: start.Add(-time.Minute), Start: &model.EventStartOf{Water: "reedmere", Angler: "RJ", Group: model.Bream}}}, events...)
	var logged []model.LoggedEvent
	for i, e := range all {
		if e.ID == "" {
			e.ID = fmt.Sprintf("e%03d", i)
		}
		logged = append(logged, model.LoggedEvent{Event: e, Received: at(nowMin)})
	}
	live, err := model.BuildLive("s-1", logged)
	if err != nil {
		t.Fatal(err)
	}
	return plan.BankInput{
		Live: live, Events: model.InForce(logged), Plan: p, Issued: true, Now: at(nowMin), Cautions: p.Cautions, Feeding: timing.DefaultFeeding,
	}
}

// at is an event at a minute from the first cast.
func at(kind model.EventKind, min float64) model.Event {
	return model.Event{Kind: kind, At: start.Add(time.Duration(min * float64(time.Minute)))}
}

func bank(t *testing.T, in plan.BankInput) model.BankAdvice {
	t.Helper()
	b, err := plan.Bank(in)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestOnTheBankAStopComesBeforeAllElse(t *testing.T) {
	in := banked(t, 30, at(model.EventCast, 0), at(model.EventSettled, 1))
	thunder := model.Caution{ID: "lightning", Level: model.Stop, From: start, Until: start.Add(2 * time.Hour), Text: "Thunder near."}
	in.Cautions = append(slices.Clone(in.Cautions), thunder)
	b := bank(t, in)
	if len(b.Advice) != 1 || b.Advice[0].Act != "stop" || !strings.Contains(b.Advice[0].Text, "Thunder near") || b.State != nil {
		t.Errorf("advice %+v, state %+v; want to stop and nothing else", b.Advice, b.State)
	}
	if len(b.Cautions) == 0 || b.Cautions[0].ID != "lightning" {
		t.Errorf("cautions %+v, want the one that came up first", b.Cautions)
	}
}

func TestOnTheBankWhatCameUpSinceThePlanStandsFirst(t *testing.T) {
	in := banked(t, 30, at(model.EventCast, 0))
	fresh := model.Caution{ID: "wind_chill", Level: model.Care, From: start.Add(time.Hour), Until: start.Add(2 * time.Hour), Text: "Colder than planned."}
	past := model.Caution{ID: "gusts", Level: model.Care, From: start.Add(-time.Hour), Until: start, Text: "It blew."}
	far := model.Caution{ID: "heat", Level: model.Care, From: start.Add(5 * time.Hour), Until: start.Add(6 * time.Hour), Text: "Later."}
	note := model.Caution{ID: "bank_slip", Level: model.Note, From: start, Until: start.Add(time.Hour), Text: "Slick."}
	var had []string
	for _, c := range in.Plan.Cautions {
		if c.Level == model.Care || c.Level == model.Stop {
			had = append(had, c.ID)
		}
	}
	in.Cautions = append(append(slices.Clone(in.Plan.Cautions), past, far, note), fresh)
	b := bank(t, in)
	if len(b.Cautions) != 1+len(had) || b.Cautions[0].ID != "wind_chill" {
		t.Errorf("cautions %+v; want the new one, then the plan's %v", b.Cautions, had)
	}
}

func TestOnTheBankACapLowersTheFeedAtOnce(t *testing.T) {
	top := at(model.EventTopUp, 5)
	in := banked(t, 12, at(model.EventCast, 0), at(model.EventSettled, 1), top, at(model.EventCast, 10))
	in.Plan.Feed.Level = "Lean" // and one level more after the top-up
	in.Cautions = append(slices.Clone(in.Cautions), model.Caution{ID: "low_oxygen", Level: model.Care, From: start, Until: start.Add(5 * time.Hour), Text: "Oxygen may be low."})
	b := bank(t, in)
	if b.Advice[0].Act != "feed_down" || b.Advice[0].Reason != string(timing.AboveCap) {
		t.Errorf("advice %+v, want less feed under the cap", b.Advice[0])
	}
	changes := 0
	for _, p := range b.Advice {
		if slices.Contains([]string{"feed_up", "feed_down", "leave_longer", "recast_sooner", "change_place"}, p.Act) {
			changes++
		}
		if p.Text == "" || p.Why == "" {
			t.Errorf("a piece without words: %+v", p)
		}
	}
	if changes != 1 {
		t.Errorf("%d changes at once in %+v", changes, b.Advice)
	}
}

func TestOnTheBankFeedIsFollowedFromThePlansLevel(t *testing.T) {
	sized := func(kind model.EventKind, min, ml float64) model.Event {
		e := at(kind, min)
		e.Feeder.CapacityMl = model.Known(model.Millilitres(ml))
		return e
	}
	cap := model.Caution{ID: "low_oxygen", Level: model.Care, From: start, Until: start.Add(5 * time.Hour), Text: "Oxygen may be low."}
	for _, c := range []struct {
		name   string
		events []model.Event
		above  bool // of Lean, which the cap allows
	}{
		{"as planned", nil, false},
		{"the same size again", []model.Event{sized(model.EventFill, 5, 21)}, false},
		{"a larger feeder", []model.Event{sized(model.EventFill, 5, 35)}, true},
		{"larger and back", []model.Event{sized(model.EventFill, 5, 35), sized(model.EventFill, 9, 20)}, false},
		{"a smaller feeder", []model.Event{sized(model.EventChange, 5, 12)}, false},
		{"a top-up", []model.Event{at(model.EventTopUp, 5)}, true},
	} {
		in := banked(t, 12, append([]model.Event{at(model.EventCast, 0)}, c.events...)...)
		in.Plan.Feed.Level, in.Plan.Feeder.CapacityMl = "Lean", 20
		in.Cautions = append(slices.Clone(in.Cautions), cap)
		b := bank(t, in)
		if above := b.Advice[0].Reason == string(timing.AboveCap); above != c.above {
			t.Errorf("%s: above the cap is %v, want %v (%+v)", c.name, above, c.above, b.Advice[0])
		}
	}
}

func TestOnTheBankAChangeOfRhythmNamesTheFeederThatKeepsTheFeed(t *testing.T) {
	// Casts wound in after a minute or two, where the trade leaves them far longer.
	var events []model.Event
	for i := range 8 {
		events = append(events, at(model.EventCast, float64(4*i)), at(model.EventSettled, float64(4*i)+0.5), at(model.EventFill, float64(4*i)+2.5))
	}
	in := banked(t, 33, append(events, at(model.EventCast, 32))...)
	in.Plan.Feeder.CapacityMl, in.Plan.Feed.RateGH, in.Plan.Rhythm.FillsPerH = 12, 60, 10 // 6 g in 12 ml
	b := bank(t, in)
	i := slices.IndexFunc(b.Advice, func(p model.AdvicePiece) bool { return p.Act == "leave_longer" })
	if i < 0 {
		t.Fatalf("advice %+v, want longer soaks", b.Advice)
	}
	if text := b.Advice[i].Text; !strings.Contains(text, "ml filled to") || !strings.Contains(text, "60 g an hour") {
		t.Errorf("%q names no feeder that keeps 60 g/h", text)
	}
}

func TestOnTheBankNobodyMovesBeforeThePatience(t *testing.T) {
	moves, err := timing.NewMoveGrid(timing.DefaultFeeding, 10, 20, 300)
	if err != nil {
		t.Fatal(err)
	}
	moved := func(nowMin float64) bool {
		var events []model.Event
		for m := 0.0; m < nowMin; m += 12 {
			events = append(events, at(model.EventCast, m), at(model.EventSettled, m+0.5))
		}
		in := banked(t, nowMin, events...)
		in.Moves = moves
		in.Plan.Activity.Basis.LogRateMean = 1.6 // five an hour were expected: blank minutes tell much
		return slices.ContainsFunc(bank(t, in).Advice, func(p model.AdvicePiece) bool { return p.Act == "change_place" })
	}
	in := banked(t, 1, at(model.EventCast, 0))
	patience := in.Plan.PatienceMin.Low
	if moved(patience - 1) {
		t.Errorf("a change of line before %g min", patience)
	}
	if !moved(patience + 60) {
		t.Errorf("no change of line after %g blank min where five bites an hour were expected", patience+60)
	}
}

func TestOnTheBankNothingIsAdvisedAfterTheEndOrWithoutAnExpectation(t *testing.T) {
	b := bank(t, banked(t, 90, at(model.EventCast, 0), at(model.EventEnd, 80)))
	if !b.Ended || len(b.Advice) != 0 || b.State != nil {
		t.Errorf("after the end: %+v", b)
	}
	in := banked(t, 10, at(model.EventCast, 0))
	in.Plan.Activity = nil
	if b := bank(t, in); len(b.Advice) != 0 || b.State != nil || b.Deferral != model.Deferral {
		t.Errorf("with every hour struck out of the plan: %+v", b)
	}
}

func TestOnTheBankTheStateStartsAtThePlan(t *testing.T) {
	in := banked(t, 0, at(model.EventCast, 0))
	b := bank(t, in)
	want := in.Plan.Activity.BitesPerH.Mean
	if got := b.State.BitesPerH; got < 0.98*want || got > 1.02*want {
		t.Errorf("%v bites an hour before anything was learnt, the plan says %v", got, want)
	}
	after := bank(t, banked(t, 120, at(model.EventCast, 0), at(model.EventSettled, 1)))
	if after.State.BitesPerH >= b.State.BitesPerH || after.State.FeedingProbability >= b.State.FeedingProbability {
		t.Errorf("two blank hours left the rate at %v and the chance of feeding at %v", after.State.BitesPerH, after.State.FeedingProbability)
	}
}
