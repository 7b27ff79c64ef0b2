package plan_test

import (
	"testing"
	"time"

	"osier/model"
	"osier/model/caution"
	"osier/model/plan"
)

// A fresh report for the first hour does not make the dead forecast behind it
// fresh.
func TestOneFreshHourDoesNotHideAStaleForecast(t *testing.T) {
	hours := series(ordinary)
	for i := range hours {
		h := &hours[i]
		if !h.At.After(now) {
			continue
		}
		h.AirC.From.ConfirmedMin = model.Known(20 * 60.0)
		h.WindMps.From.ConfirmedMin = model.Known(20 * 60.0)
	}
	c := conditions(t, hours, now, now.Add(8*time.Hour))
	if !c.Stale || c.AgeMin.Or(-1) != 0 {
		t.Errorf("stale %v, newest %v min old; want stale though the newest is just in", c.Stale, c.AgeMin)
	}
	if fresh := conditions(t, series(ordinary), now, now.Add(8*time.Hour)); fresh.Stale {
		t.Error("with a fresh forecast it is stale too")
	}
}

// Two runs of a forecast differ by more than the air changes between them.
func TestATrendStaysWithinOneIssue(t *testing.T) {
	hours := series(ordinary)
	cut := now.Add(6 * time.Hour)
	for i := range hours {
		if h := &hours[i]; h.At.After(now) && h.At.Before(cut) {
			h.SeaLevelHPa.Value -= 4
			h.SeaLevelHPa.From.At = model.Known(now.Add(-12 * time.Hour)) // an older issue
		}
	}
	for _, h := range conditions(t, hours, cut, cut.Add(5*time.Hour)).Hours {
		want := "unknown"
		if h.At.Sub(cut) >= 3*time.Hour {
			want = "steady"
		}
		if h.TendencyText != want {
			t.Errorf("%s: %s %v, want %s", h.At.Format("15:04"), h.TendencyText, h.Tendency3hHPa, want)
		}
	}
}

// Night that falls within the last hour is what somebody alone must know: on 7
// February at 52.2 N the sun is 6 degrees down some 35 minutes after five.
func TestDarknessWithinTheHourCounts(t *testing.T) {
	day := time.Date(2026, 2, 7, 0, 0, 0, 0, time.UTC)
	c, err := history(t, series(ordinary)).Conditions(day.Add(13*time.Hour), day.Add(18*time.Hour), plan.Surroundings{Around: caution.Around{Alone: true}})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range c.Cautions {
		if f.ID == "alone" && f.Level == model.Care && f.Until.Equal(day.Add(18*time.Hour)) {
			return
		}
	}
	t.Errorf("cautions %+v, want a care for being alone after dark", c.Cautions)
}

// The rain of a session is what fell between its first cast and its last: the
// depth at a whole hour fell in the hour before it.
func TestRainIsThatOfTheHoursFished(t *testing.T) {
	for _, c := range []struct {
		name   string
		fellBy time.Time
		want   float64
	}{
		{"before the first cast", start, 0},
		{"in the first hour", start.Add(time.Hour), 9},
		{"in the last hour", start.Add(4 * time.Hour), 9},
		{"after the last", start.Add(5 * time.Hour), 0},
	} {
		hours := series(ordinary)
		hourOf(hours, c.fellBy).RainMm.Value = 9
		d := history(t, hours).Drivers(plan.Outing{Start: start, End: start.Add(4 * time.Hour), Group: model.Bream})
		if got := float64(d.RainMm.Or(-1)); got != c.want {
			t.Errorf("%s: %v mm, want %v", c.name, got, c.want)
		}
	}
}

// A station that flags its own report lowers confidence, and the value says so.
func TestADoubtfulReportIsNamed(t *testing.T) {
	hours := series(ordinary)
	hourOf(hours, start).AirC.From.LowTrust = true
	in := input(t, hours)
	in.Evidence = model.Evidence{Basis: "both"}
	p := build(t, in)
	if p.Confidence.Level != "lowered" || len(p.Confidence.Because) != 1 || p.Confidence.Because[0] != "in 1 of 4 hours the station flags its report as doubtful" {
		t.Errorf("confidence %+v", p.Confidence)
	}
	if !p.Conditions[0].Provenance["air_temp_c"].LowTrust || p.Conditions[1].Provenance["air_temp_c"].LowTrust {
		t.Error("the flag does not go with the value")
	}
}
