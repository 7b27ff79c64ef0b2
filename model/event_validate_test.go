package model_test

import (
	"strings"
	"testing"
	"time"

	"osier/model"
)

func TestEventsThatCannotBe(t *testing.T) {
	start := func(change func(*model.EventStartOf)) model.Event {
		return event("st", model.EventStart, "07:50:00", func(e *model.Event) { change(e.Start) })
	}
	for _, c := range []struct {
		name  string
		event model.Event
		field string // empty where it is right
	}{
		{"a cast", event("c1", model.EventCast, "08:00:00"), ""},
		{"a start", event("st", model.EventStart, "07:50:00"), ""},
		{"a withdrawal", event("w1", model.EventWithdraw, "08:00:00", replaces("c1")), ""},
		{"a correction with another kind", event("f2", model.EventFish, "08:00:00", replaces("b1")), ""},
		{"no name", event("", model.EventCast, "08:00:00"), "id"},
		{"a name with a space", event("c 1", model.EventCast, "08:00:00"), "id"},
		{"no kind", event("c1", "", "08:00:00"), "kind"},
		{"an unknown kind", event("c1", "splash", "08:00:00"), "kind"},
		{"no time", model.Event{ID: "c1", Kind: model.EventCast}, "at"},
		{"the year 0", model.Event{ID: "c1", Kind: model.EventCast, At: time.Date(0, 1, 2, 0, 0, 0, 0, time.UTC)}, "at"},
		{"written before it happened", event("c1", model.EventCast, "08:00:00", madeAt("07:50:00")), "made_at"},
		{"written a minute before the minute it was given", event("c1", model.EventCast, "08:00:00", madeAt("07:59:10")), ""},
		{"a withdrawal of nothing", event("w1", model.EventWithdraw, "08:00:00"), "replaces"},
		{"replacing itself", event("c1", model.EventCast, "08:00:00", replaces("c1")), "replaces"},
		{"replacing no name", event("c1", model.EventCast, "08:00:00", replaces("C 1")), "replaces"},
		{"a start without its account", model.Event{ID: "st", Kind: model.EventStart, At: bankside}, "start"},
		{"a cast with the account of a start", event("c1", model.EventCast, "08:00:00", func(e *model.Event) { e.Start = &model.EventStartOf{} }), "start"},
		{"a reading of nothing", model.Event{ID: "r1", Kind: model.EventReading, At: bankside}, "temp_c"},
		{"a reading of 60 C", event("r1", model.EventReading, "08:00:00", func(e *model.Event) { e.Temp = model.Known[model.Celsius](60) }), "temp_c"},
		{"a reading 90 m down", event("r1", model.EventReading, "08:00:00", func(e *model.Event) { e.DepthM = model.Known[model.Metres](90) }), "depth_m"},
		{"a temperature with a cast", event("c1", model.EventCast, "08:00:00", func(e *model.Event) { e.Temp = model.Known[model.Celsius](6) }), "temp_c"},
		{"a fish with a bite", event("b1", model.EventBite, "08:00:00", landed(model.Bream, 1000)), "group"},
		{"a fish of 70 kg", event("k1", model.EventFish, "08:00:00", landed(model.Carp, 70000)), "fish_g"},
		{"a fish of no group", event("k1", model.EventFish, "08:00:00", landed("pike", 1000)), "group"},
		{"a fill of 900 g", event("f1", model.EventFill, "08:00:00", filledWith(900)), "fill_g"},
		{"a top-up of 0 fills", event("u1", model.EventTopUp, "08:00:00", func(e *model.Event) { e.Fills = model.Known(0) }), "fills"},
		{"particles without a letter", event("f1", model.EventFill, "08:00:00", func(e *model.Event) { e.Particles = "a\x00b" }), "particles"},
		{"a clip at 400 m", event("h1", model.EventChange, "08:00:00", func(e *model.Event) { e.DistanceM = model.Known[model.Metres](400) }), "clip_distance_m"},
		{"a hook length of 4 m", event("h1", model.EventChange, "08:00:00", func(e *model.Event) { e.HookLengthCm = model.Known(400.0) }), "hook_length_cm"},
		{"a hook bait of 300 letters", event("h1", model.EventChange, "08:00:00", func(e *model.Event) { e.HookBait = strings.Repeat("a", 300) }), "hook_bait"},
		{"a feeder of no kind", event("h1", model.EventChange, "08:00:00", func(e *model.Event) { e.Feeder.Type = "bucket" }), "feeder.type"},
		{"a feeder of 2 l", event("f1", model.EventFill, "08:00:00", func(e *model.Event) { e.Feeder.CapacityMl = model.Known[model.Millilitres](2000) }), "feeder.capacity_ml"},
		{"a clock set by 60 years", event("c1", model.EventCast, "08:00:00", func(e *model.Event) { e.ClockSetS = 60 * 365 * 24 * 3600 }), ""},
		{"a clock set by two centuries", event("c1", model.EventCast, "08:00:00", func(e *model.Event) { e.ClockSetS = -200 * 366 * 24 * 3600 }), "clock_set_s"},
		{"no water", start(func(s *model.EventStartOf) { s.Water = "" }), "start.water"},
		{"no angler", start(func(s *model.EventStartOf) { s.Angler = "" }), "start.angler"},
		{"no group", start(func(s *model.EventStartOf) { s.Group = "" }), "start.group"},
		{"two rods", start(func(s *model.EventStartOf) { s.Rods = 2 }), "start.rods"},
		{"a plan of 9 kg/h", start(func(s *model.EventStartOf) { s.RateGH = model.Known[model.GramsPerHour](9000) }), "start.planned_rate_g_h"},
		{"a depth of 0", start(func(s *model.EventStartOf) { s.DepthM = model.Known[model.Metres](0) }), "start.depth_m"},
		{"an opening thrown in by hand", start(func(s *model.EventStartOf) { s.Opening.Release = "hand" }), "start.opening.release"},
		{"an opening of -1", start(func(s *model.EventStartOf) { s.Opening.Fills = model.Known(-1) }), "start.opening.fills"},
		{"a peg of 300 letters", start(func(s *model.EventStartOf) { s.Peg = strings.Repeat("7", 300) }), "start.peg"},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := c.event.Validate()
			if c.field == "" && err != nil || c.field != "" && (fieldOf(err) != c.field || model.CodeOf(err) != model.Invalid) {
				t.Errorf("error %v, want one about %q", err, c.field)
			}
		})
	}
}

// Late and future events, by the server's clock.
func TestEventsOutOfTime(t *testing.T) {
	for _, c := range []struct {
		name     string
		at       time.Duration // from receipt, by the device's clock
		madeAt   time.Duration
		skew     time.Duration
		field    string
		aboutHow string
	}{
		{"now", 0, 0, 0, "", ""},
		{"a minute ahead", time.Minute, time.Minute, 0, "", ""},
		{"three minutes ahead", 3 * time.Minute, 3 * time.Minute, 0, "at", "future"},
		{"an hour ahead by a clock that is", time.Hour, time.Hour, -time.Hour, "", ""},
		{"now, by a clock an hour behind", 0, 0, time.Hour, "at", "future"},
		{"written in the future", -time.Hour, time.Hour, 0, "made_at", "future"},
		{"a month late", -30 * 24 * time.Hour, -30 * 24 * time.Hour, 0, "", ""},
		{"two months late", -60 * 24 * time.Hour, 0, 0, "at", "too long ago"},
	} {
		t.Run(c.name, func(t *testing.T) {
			e := event("c1", model.EventCast, "08:00:00")
			e.At, e.MadeAt = bankside.Add(c.at), model.Known(bankside.Add(c.madeAt))
			err := e.ValidateAt(bankside, c.skew)
			if c.field == "" && err != nil || c.field != "" && (fieldOf(err) != c.field || !strings.Contains(err.Error(), c.aboutHow)) {
				t.Errorf("error %v, want one about %q that says %q", err, c.field, c.aboutHow)
			}
		})
	}
}

func TestReadingAnEvent(t *testing.T) {
	for _, c := range []struct{ body, field string }{
		{`{"id":"k1","kind":"fish","at":"2026-01-17T08:00:00Z","group":"bream","fish_g":1450}`, ""},
		{`{"id":"k1","kind":"fish","at":"eight"}`, "at"},
		{`{"id":"k1","kind":"fish","at":"2026-01-17T08:00:00Z","weight":3}`, "weight"},
		{`{"id":"k1","kind":"fish","at":"2026-01-17T08:00:00Z","fish_g":"heavy"}`, "fish_g"},
		{`{"id":7}`, "id"},
	} {
		e, err := model.DecodeEvent([]byte(c.body))
		switch {
		case c.field == "" && (err != nil || e.FishG.Value != 1450 || !e.At.Equal(bankside)):
			t.Errorf("%s: read %+v, %v", c.body, e, err)
		case c.field != "" && fieldOf(err) != c.field:
			t.Errorf("%s: error %v, want one about %s", c.body, err, c.field)
		}
	}
}

func TestWhetherTwoEventsAreTheSame(t *testing.T) {
	one := event("st", model.EventStart, "07:50:00")
	elsewhere := event("st", model.EventStart, "07:50:00")
	elsewhere.At = elsewhere.At.In(time.FixedZone("", 3600))
	if !model.SameEvent(one, elsewhere) {
		t.Error("the same instant in another zone is another event")
	}
	elsewhere.Start.Peg = "9"
	if model.SameEvent(one, elsewhere) {
		t.Error("another peg is the same event")
	}
}
