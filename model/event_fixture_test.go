package model_test

import (
	"encoding/json"
	"testing"
	"time"

	"osier/model"
)

// bankside is when the sessions of the tests begin.
var bankside = at("2026-01-17T08:00:00+00:00")

func clockAt(text string) time.Time { return at("2026-01-17T" + text + "+00:00") }

// event is one that happened at a time of day, named and described.
func event(id string, kind model.EventKind, clock string, more ...func(*model.Event)) model.Event {
	e := model.Event{ID: id, Kind: kind, At: clockAt(clock)}
	if kind == model.EventStart {
		e.Start = &model.EventStartOf{Water: "quillmarsh-pit", Angler: "VP", Group: model.Bream, Peg: "7", RateGH: model.Known[model.GramsPerHour](90)}
	}
	if kind == model.EventReading {
		e.Temp = model.Known[model.Celsius](5.5)
	}
	for _, m := range more {
		m(&e)
	}
	return e
}

func replaces(id string) func(*model.Event) { return func(e *model.Event) { e.Replaces = id } }

func madeAt(clock string) func(*model.Event) {
	return func(e *model.Event) { e.MadeAt = model.Known(clockAt(clock)) }
}

func landed(group model.Group, g model.Grams) func(*model.Event) {
	return func(e *model.Event) { e.Group, e.FishG = group, model.Known(g) }
}

func filledWith(g model.Grams) func(*model.Event) {
	return func(e *model.Event) { e.FillG = model.Known(g) }
}

// logged puts events as they are into the log of a device whose clock is right.
func logged(events ...model.Event) []model.LoggedEvent {
	var out []model.LoggedEvent
	for i, e := range events {
		out = append(out, model.LoggedEvent{Event: e, Received: bankside.Add(time.Duration(i) * time.Second)})
	}
	return out
}

func live(t testing.TB, events ...model.Event) model.Live {
	t.Helper()
	l, err := model.BuildLive("s-live", logged(events...))
	if err != nil {
		t.Fatalf("build the session: %v", err)
	}
	return l
}

func asJSON(t testing.TB, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// bankMorning is a whole session: four casts with every outcome, a pause, a
// top-up, a change and a reading.
func bankMorning() []model.Event {
	return []model.Event{
		event("st", model.EventStart, "07:50:00", func(e *model.Event) {
			e.Feeder = model.FeederUsed{Type: "cage", CapacityMl: model.Known[model.Millilitres](55), WeightG: model.Known[model.Grams](40)}
			e.DistanceM, e.HookBait, e.HookLengthCm = model.Known[model.Metres](30), "two maggots", model.Known(75.0)
			e.Start.Opening = model.Opening{Fills: model.Known(4), Release: "bottom"}
			e.Start.DepthM = model.Known[model.Metres](2.5)
		}),
		event("t1", model.EventReading, "07:55:00", func(e *model.Event) { e.DepthM = model.Known[model.Metres](0.3) }),
		event("f1", model.EventFill, "07:59:30", filledWith(38)),
		event("c1", model.EventCast, "08:00:00"),
		event("s1", model.EventSettled, "08:00:30"),
		event("l1", model.EventLineBite, "08:04:00"),
		event("l2", model.EventLineBite, "08:06:00"),
		event("f2", model.EventFill, "08:12:30", filledWith(36), func(e *model.Event) { e.Particles = "red maggots" }),
		event("c2", model.EventCast, "08:13:00"),
		event("s2", model.EventSettled, "08:13:30"),
		event("b2", model.EventBite, "08:19:00"),
		event("k2", model.EventFish, "08:21:00", landed(model.Bream, 1450)),
		event("u1", model.EventTopUp, "08:22:00", func(e *model.Event) { e.Fills = model.Known(3) }),
		event("p1", model.EventPause, "08:25:00"),
		event("c3", model.EventCast, "08:45:00"),
		event("m3", model.EventMissed, "08:53:00"),
		event("h1", model.EventChange, "08:54:00", func(e *model.Event) { e.HookBait = "worm" }),
		event("c4", model.EventCast, "08:55:00"),
		event("s4", model.EventSettled, "08:55:30"),
		event("x4", model.EventLost, "09:03:00"),
		event("en", model.EventEnd, "09:05:00"),
	}
}
