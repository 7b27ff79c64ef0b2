package caution_test

import (
	"strings"
	"testing"
	"time"

	"osier/model"
	"osier/model/caution"
)

// What somebody saw is passed on as a care for the whole outing, for as long as
// the report holds, and never strikes an hour out: only the fishery closes a
// water.
func TestWhatWasSeenIsPassedOn(t *testing.T) {
	const day = 24 * time.Hour
	for _, c := range []struct {
		name   string
		report model.Report
		id     string
		raised bool
	}{
		{"a bloom just before 14 days", model.Report{Kind: model.SawBloom, At: from.Add(-14*day + time.Second)}, "algae", true},
		{"a bloom 14 days ago", model.Report{Kind: model.SawBloom, At: from.Add(-14 * day)}, "algae", false},
		{"distress just before two days", model.Report{Kind: model.SawDistress, At: from.Add(-2*day + time.Second)}, "low_oxygen", true},
		{"distress two days ago", model.Report{Kind: model.SawDistress, At: from.Add(-2 * day)}, "low_oxygen", false},
		{"spawning just before a week", model.Report{Kind: model.SawSpawning, At: from.Add(-7*day + time.Second)}, "spawning", true},
		{"spawning a week ago", model.Report{Kind: model.SawSpawning, At: from.Add(-7 * day)}, "spawning", false},
		{"a report dated ahead of now", model.Report{Kind: model.SawBloom, At: now.Add(time.Second)}, "algae", false},
		{"a bloom at another water", model.Report{Kind: model.SawBloom, At: now, Water: "drovelow-mere"}, "algae", false},
	} {
		in := quiet()
		if c.report.Water == "" {
			c.report.Water = in.Water.ID
		}
		in.Reports = []model.Report{c.report}
		got := of(caution.Check(in), c.id)
		if (len(got) == 1) != c.raised {
			t.Errorf("%s: %+v, want raised: %v", c.name, got, c.raised)
			continue
		}
		if c.raised && (got[0].Level != model.Care || !got[0].From.Equal(from) || !got[0].Until.Equal(until) || !strings.Contains(got[0].Text, c.report.At.Format("2 "))) {
			t.Errorf("%s: %+v", c.name, got[0])
		}
	}
}
