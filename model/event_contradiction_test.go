package model_test

import (
	"strings"
	"testing"

	"osier/model"
)

// What contradicts is left out and asked about; the rest stands.
func TestContradictions(t *testing.T) {
	start, cast := event("st", model.EventStart, "07:50:00"), event("c1", model.EventCast, "08:00:00")
	end := event("en", model.EventEnd, "08:20:00")
	for _, c := range []struct {
		name   string
		events []model.Event
		casts  string // outcome, bite minute
		asks   string // a part of the query; empty for none
	}{
		{"nothing happened", nil, "none", ""},
		{"a second fish in a cast", []model.Event{event("k1", model.EventFish, "08:05:00"), event("k2", model.EventFish, "08:06:00")}, "fish", "landed already"},
		{"a bite after the fish", []model.Event{event("k1", model.EventFish, "08:05:00"), event("b1", model.EventBite, "08:06:00")}, "fish", "was a cast not logged"},
		{"a bite before any cast", []model.Event{event("b1", model.EventBite, "07:59:00")}, "none", "bite at 07:59:00 is left out: no cast is in the water"},
		{"a fish before any cast", []model.Event{event("k1", model.EventFish, "07:59:00")}, "none", "no cast is in the water"},
		{"a line bite after the wind-in", []model.Event{event("p1", model.EventPause, "08:05:00"), event("l1", model.EventLineBite, "08:06:00")}, "none", "no cast is in the water"},
		{"a bite after the wind-in", []model.Event{event("p1", model.EventPause, "08:05:00"), event("b1", model.EventBite, "08:06:00")}, "none", "no cast is in the water"},
		{"a bite at the wind-in", []model.Event{event("f1", model.EventFill, "08:05:00"), event("b1", model.EventBite, "08:05:00")}, "missed_bite 5", ""},
		{"a miss told after the wind-in", []model.Event{event("f1", model.EventFill, "08:05:00"), event("m1", model.EventMissed, "08:05:20")}, "missed_bite", ""},
		{"a fish told after the wind-in", []model.Event{event("b1", model.EventBite, "08:04:00"), event("f1", model.EventFill, "08:05:00"), event("k1", model.EventFish, "08:05:20")}, "fish 4", ""},
		{"an event after the end", []model.Event{event("b1", model.EventBite, "08:21:00")}, "none", "it comes after the end"},
		{"two ends", []model.Event{event("e2", model.EventEnd, "08:21:00")}, "none", "end at 08:21:00 is left out: it comes after the end"},
		{"two starts", []model.Event{event("s2", model.EventStart, "07:55:00", func(e *model.Event) { e.Start.Water = "elsewhere" })}, "none", "its first start holds"},
		{"settled twice", []model.Event{event("t1", model.EventSettled, "08:00:30"), event("t2", model.EventSettled, "08:01:00"), event("b1", model.EventBite, "08:05:30")}, "missed_bite 5", "the first time holds"},
		{"settled in no cast", []model.Event{event("t1", model.EventSettled, "07:58:00")}, "none", "no cast is in the water"},
		{"a bite on the drop", []model.Event{event("b1", model.EventBite, "08:00:15"), event("t1", model.EventSettled, "08:00:30")}, "missed_bite 0.25", "on the drop"},
		{"missed, then a fish", []model.Event{event("m1", model.EventMissed, "08:03:00"), event("k1", model.EventFish, "08:09:00")}, "fish 3", ""},
		{"a bite, then missed, are one", []model.Event{event("b1", model.EventBite, "08:03:00"), event("m1", model.EventMissed, "08:03:05")}, "missed_bite 3", ""},
		{"lost, then a bite", []model.Event{event("x1", model.EventLost, "08:03:00"), event("b1", model.EventBite, "08:06:00")}, "lost", ""},
		{"a fish that nobody timed", []model.Event{event("k1", model.EventFish, "08:09:00")}, "fish", ""},
		{"a bite beats line bites", []model.Event{event("l1", model.EventLineBite, "08:02:00"), event("b1", model.EventBite, "08:06:00")}, "missed_bite 6", ""},
		{"line bites alone", []model.Event{event("l1", model.EventLineBite, "08:02:00")}, "line_bite", ""},
		{"a second cast winds in the first", []model.Event{event("c2", model.EventCast, "08:10:00"), event("b1", model.EventBite, "08:12:00")}, "none, missed_bite 2", ""},
		{"two casts of one instant", []model.Event{event("c2", model.EventCast, "08:10:00"), event("c3", model.EventCast, "08:10:00")}, "none, none", "the cast at 08:10:00 was wound in as it settled"},
		{"fill and cast of one instant", []model.Event{event("f2", model.EventFill, "08:10:00"), event("c2", model.EventCast, "08:10:00")}, "none, none", ""},
		{"a second reading", []model.Event{event("r1", model.EventReading, "07:52:00"), event("r2", model.EventReading, "08:05:00")}, "none", "as a reading of the water"},
		{"a reading after the end", []model.Event{event("r1", model.EventReading, "08:25:00")}, "none", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := live(t, append([]model.Event{end, cast, start}, c.events...)...).Session
			var casts []string
			for _, one := range s.Casts {
				text := string(one.Outcome)
				if one.BiteMin.Known {
					text += " " + asJSON(t, one.BiteMin)
				}
				casts = append(casts, text)
			}
			if got := strings.Join(casts, ", "); got != c.casts {
				t.Errorf("casts %q, want %q", got, c.casts)
			}
			switch {
			case c.asks == "" && len(s.Queries) > 0:
				t.Errorf("it asks %+v", s.Queries)
			case c.asks != "" && (len(s.Queries) != 1 || s.Queries[0].Field != "events" || !strings.Contains(s.Queries[0].Text, c.asks)):
				t.Errorf("queries %+v, want one with %q", s.Queries, c.asks)
			}
			if err := s.Validate(pit); err != nil {
				t.Errorf("the record is refused: %v", err)
			}
		})
	}
}
