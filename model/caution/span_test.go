package caution_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
	"osier/model/caution"
)

func TestOneCautionForEachStretchOfALevel(t *testing.T) {
	in := each(quiet(), 0, 4, windAndGust(9, 10))
	in = each(in, 1, 2, windAndGust(9, 15))
	in = each(in, 2, 3, windAndGust(9, 18))
	got := of(caution.Check(in), "wind")
	want := []string{"care 08:00-10:00", "note 07:00-08:00", "note 10:00-11:00"}
	if diff := cmp.Diff(want, levels(got)); diff != "" {
		t.Fatalf("(-want +got):\n%s", diff)
	}
	// The worst hour of the stretch speaks for it.
	if diff := cmp.Diff(map[string]float64{"wind_mps": 9, "gust_mps": 18}, got[0].Inputs); diff != "" {
		t.Errorf("inputs (-want +got):\n%s", diff)
	}
	if want := "Gusts to 18 m/s from 08:00 to 10:00. No umbrella, stay out from under trees, expect short casts."; got[0].Text != want {
		t.Errorf("text:\n got %s\nwant %s", got[0].Text, want)
	}
	if got[0].Threshold != "gust 14 m/s" || got[0].Source == "" {
		t.Errorf("threshold %q, source %q", got[0].Threshold, got[0].Source)
	}
}

func TestSpansEndWithTheOuting(t *testing.T) {
	in := each(quiet(), -1, 6, airC(29))
	in.From, in.Until = from.Add(30*time.Minute), until.Add(-15*time.Minute)
	if got, want := levels(of(caution.Check(in), "heat")), []string{"care 07:30-10:45"}; !cmp.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestOrderOfCautions(t *testing.T) {
	in := each(quiet(), 0, 5, airC(29))     // care: heat
	in = each(in, 0, 5, windAndGust(9, 22)) // stop: wind
	in = each(in, 0, 5, water(2, 4))        // note: ice
	in = each(in, 0, 1, func(h *model.ConditionHour) { h.AirC = model.Maybe[model.Celsius]{} })
	in.Reports = []model.Report{report(model.HeardThunder, from)}
	var got []string
	for _, c := range caution.Check(in) {
		got = append(got, string(c.Level)+" "+c.ID)
	}
	want := []string{
		"stop lightning", "stop wind",
		"care cold_water", "care heat", "care lightning",
		"not checked cold_exposure", "not checked fish_cold", "not checked heat", "not checked slippery_bank",
		"note ice",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestTextsAreOneLineWithFigureAndSpan(t *testing.T) {
	for _, c := range []struct {
		id   string
		in   caution.Input
		want string
	}{
		{"cold_exposure", each(quiet(), 0, 4, airAndWind(-3.04, 0)), "Feels like -3 C from 07:00 to 11:00. You will be sitting still: wear a windproof layer, keep spare gloves dry, and set a time to stop."},
		{"cold_exposure", each(quiet(), 0, 4, airAndWind(-0.04, 0)), "Feels like 0 C from 07:00 to 11:00. You will be sitting still: wear a windproof layer, keep spare gloves dry, and set a time to stop."},
		{"cold_exposure", each(quiet(), 0, 4, airAndWind(-21, 0)), "Feels like -21 C from 07:00 to 11:00. Too cold to sit still: do not fish."},
		{"heat", each(quiet(), 1, 3, airC(29.26)), "Up to 29.3 C from 08:00 to 10:00. Shade, water, a hat; rest between 11 and 3."},
		{"ice", each(quiet(), 0, 4, water(0.5, 2)), "Ice is likely from 07:00 to 11:00: the water may be down to 0.5 C. Never step on it; if it is there, go home."},
		{"wind", each(quiet(), 0, 4, windAndGust(9, 10)), "Mean wind up to 9 m/s from 07:00 to 11:00. Expect a bow in the line and short casts."},
	} {
		if got := only(t, c.in, c.id).Text; got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.id, got, c.want)
		}
	}
}

func TestTimesAreTheWaters(t *testing.T) {
	in := each(quiet(), 0, 4, airC(29))
	in.Water.Zone = "Asia/Kolkata"
	if got, want := only(t, in, "heat").Text, "Up to 29 C from 11:30 to 15:30. Shade, water, a hat; rest between 11 and 3."; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	in.Water.Zone = "nowhere"
	if got, want := only(t, in, "heat").Text, "Up to 29 C from 06:00 UTC to 10:00 UTC. Shade, water, a hat; rest between 11 and 3."; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	in.Water.Zone = "Pacific/Auckland" // the outing runs from 18:00 to 22:00
	in.Until = from.Add(7 * time.Hour) // and now past midnight
	in = each(in, 0, 8, airC(29))
	if got, want := only(t, in, "heat").Text, "Up to 29 C from Wed 18:00 to Thu 01:00. Shade, water, a hat; rest between 11 and 3."; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestAnOutingThatEndsBeforeItBeginsHasNone(t *testing.T) {
	in := each(quiet(), 0, 4, airC(36))
	in.From, in.Until = until, from
	if got := caution.Check(in); got != nil {
		t.Errorf("got %+v", got)
	}
}

func TestStruckHours(t *testing.T) {
	in := each(quiet(), 1, 2, windAndGust(10, 22))
	in.Reports = []model.Report{report(model.HeardThunder, from.Add(165*time.Minute))} // 09:45
	cautions := caution.Check(in)
	var struck []bool
	for at := from; at.Before(until); at = at.Add(time.Hour) {
		struck = append(struck, caution.Struck(cautions, at))
	}
	// Wind strikes 08:00; thunder, from 09:45 to 10:15, strikes two hours whole.
	// Care, on every hour, strikes none.
	if want := []bool{false, true, true, true}; !cmp.Equal(struck, want) {
		t.Errorf("struck %v, want %v", struck, want)
	}
}
