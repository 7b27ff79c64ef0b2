package model_test

import (
	"strings"
	"testing"
	"time"

	"osier/model"
)

// What was decided after an outlook was published is told with its end: one that
// was lifted meanwhile no longer stands.
func TestAClosureMadeSinceIsToldWithItsEnd(t *testing.T) {
	day := time.Date(2026, 2, 6, 8, 0, 0, 0, time.UTC)
	published := model.Outlook{State: model.OutlookPublished, Waters: []model.OutlookWater{{
		Water: "reedmere", Name: "Reedmere", Zone: "Europe/London",
		Days: []model.OutlookDay{{Date: "2026-02-06", From: day, Until: day.Add(9 * time.Hour)}},
	}}}
	made := model.Restriction{
		ID: "r-1", Club: "quill-club", Water: "reedmere", Kind: model.WaterClosed, From: day, Reason: "fish in distress", DecidedBy: "water-officer",
	}
	for _, c := range []struct {
		name          string
		until, lifted model.Maybe[time.Time]
		want          string
	}{
		{"open", model.Maybe[time.Time]{}, model.Maybe[time.Time]{}, "08:00 GMT until it is lifted: fish in distress"},
		{"with an end", model.Known(day.Add(4 * time.Hour)), model.Maybe[time.Time]{}, "until Friday 6 February 2026, 12:00 GMT: fish"},
		{"lifted", model.Maybe[time.Time]{}, model.Known(day.Add(2 * time.Hour)), "until it was lifted on Friday 6 February 2026, 10:00 GMT: fish"},
		{"lifted before its end", model.Known(day.Add(4 * time.Hour)), model.Known(day.Add(2 * time.Hour)), "until it was lifted on Friday 6 February 2026, 10:00 GMT: fish"},
	} {
		r := made
		r.Until, r.LiftedAt = c.until, c.lifted
		since := published.Since([]model.Restriction{r})
		if len(since) != 1 || !strings.Contains(since[0].Text, c.want) {
			t.Errorf("%s: told %+v, want %q", c.name, since, c.want)
		}
	}
}
