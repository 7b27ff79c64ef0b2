package plan_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"osier/model"
	"osier/model/feeder"
)

func hot(at time.Time) values {
	v := ordinary(at)
	v.air, v.dew, v.wind, v.gust = 33, 26, 1, 2
	return v
}

// A caution comes before the plan: low oxygen holds the feed at Lean, names
// itself, and is followed by what it says of the feed.
func TestLowOxygenCapsTheFeed(t *testing.T) {
	in := input(t, series(hot))
	in.Around.Keepnet, in.Around.Officer = true, false
	p := build(t, in)
	if p.Feed.Cap != "capped at Lean (low_oxygen: oxygen may be low)" {
		t.Errorf("cap %q", p.Feed.Cap)
	}
	_, upperGH, _ := feeder.LevelRangeGH(feeder.Bream, feeder.Lean)
	if rate := float64(p.Feed.RateGH); rate > 0.95*upperGH+0.1 {
		t.Errorf("%v g/h, over Lean", rate)
	}
	have := map[string]model.CautionLevel{}
	for _, c := range p.Cautions {
		if _, seen := have[c.ID]; !seen {
			have[c.ID] = c.Level
		}
	}
	for _, id := range []string{"low_oxygen", "fish_heat", "keepnet", "overfeeding"} {
		if have[id] != model.Care {
			t.Errorf("%s is %q, want care", id, have[id])
		}
	}
	if p.Deferral != model.Deferral {
		t.Errorf("deferral %q", p.Deferral)
	}
	if b, err := json.Marshal(p); err != nil || strings.Contains(string(b), "advise_closure") {
		t.Errorf("a plan tells of advice to close, or cannot be written: %v", err)
	}
}

func TestAnOfficialStopLeavesNothingToFeed(t *testing.T) {
	in := input(t, series(ordinary))
	in.Around.WarningsKnown = true
	in.Around.Warnings = []model.OfficialWarning{{
		Sender: "The weather service", Headline: "Storm", Hazard: model.HazardWind, Severity: model.Extreme,
		From: start.Add(-time.Hour), Until: model.Known(start.Add(5 * time.Hour)),
	}}
	p := build(t, in)
	if p.Activity != nil || p.Feed.TotalDryG != 0 || p.Cautions[0].ID != "official_warning" {
		t.Errorf("activity %v, %v g dry, first %+v", p.Activity, p.Feed.TotalDryG, p.Cautions[0])
	}
}

func BenchmarkCautions(b *testing.B) {
	h := history(b, series(hot))
	around := input(b, series(hot)).Around
	for b.Loop() {
		if _, err := h.Conditions(start, start.Add(8*time.Hour), around); err != nil {
			b.Fatal(err)
		}
	}
}

// A closure of every hour leaves nothing to feed and nothing to expect; one of the
// last two leaves those hours without activity.
func TestAClosureStrikesItsHoursFromThePlan(t *testing.T) {
	closed := model.Restriction{ID: "r-1", Club: "quill-club", Water: "reedmere", Kind: model.WaterClosed, From: start.Add(-time.Hour), Reason: "ice", DecidedBy: "officer"}
	in := input(t, series(ordinary))
	in.Around.WarningsKnown, in.Around.Restrictions = true, []model.Restriction{closed}
	p := build(t, in)
	if p.Activity != nil || p.Feed.TotalDryG != 0 || p.Cautions[0].ID != "closed" {
		t.Errorf("activity %v, %v g dry, first %+v", p.Activity, p.Feed.TotalDryG, p.Cautions[0])
	}
	in.Around.Restrictions[0].From = start.Add(2 * time.Hour)
	p = build(t, in)
	for i, h := range p.HoursCompared {
		if h.Struck != (i >= 2) || (h.BitesPerH == nil) != (i >= 2) {
			t.Errorf("hour %d: struck %v, %v", i, h.Struck, h.BitesPerH)
		}
	}
	if p.Activity == nil || p.Activity.HoursCounted != 2 {
		t.Errorf("activity %+v", p.Activity)
	}
}

func TestAClubsFeedLimitCapsTheMix(t *testing.T) {
	in := input(t, series(ordinary))
	free := build(t, in)
	in.Around.Restrictions = []model.Restriction{{
		ID: "r-1", Club: "quill-club", Water: "reedmere", Kind: model.FeedLimit, FeedLimitDryG: model.Known[model.Grams](50), From: start, Reason: "warm", DecidedBy: "officer",
	}}
	p := build(t, in)
	if free.Feed.MixDryG <= 50 || p.Feed.MixDryG != 50 {
		t.Errorf("%v g to mix without the limit, %v with it", free.Feed.MixDryG, p.Feed.MixDryG)
	}
	var ids []string
	for _, c := range p.Cautions {
		if c.ID == "club_feed_limit" || c.ID == "overfeeding" {
			ids = append(ids, c.ID+" "+string(c.Level))
		}
	}
	if got := strings.Join(ids, ", "); got != "club_feed_limit care, overfeeding note" {
		t.Errorf("cautions %s", got)
	}
}
