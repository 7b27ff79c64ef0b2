package jobs_test

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/model"
)

func (b *bench) planner() *jobs.Planner { return &jobs.Planner{Store: b.db, Now: b.clock} }

// tomorrow asks for four hours of bream fishing the next morning.
func tomorrow() model.Question {
	return model.Question{Water: "reedmere", Start: time.Date(2026, 2, 7, 9, 0, 0, 0, time.UTC), Hours: 4, Group: model.Bream, Angler: "VP"}
}

func (b *bench) plan(t *testing.T, q model.Question) model.Plan {
	t.Helper()
	p, err := b.planner().Plan(t.Context(), q)
	done(t, err)
	return p
}

func TestTheSameQuestionInTheSameHourGetsThePlanIssuedFirst(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	first := b.plan(t, tomorrow())
	if first.ID == "" || !first.IssuedAt.Equal(noon) || first.Fit != jobs.FitZero || first.Demo {
		t.Errorf("plan %q issued at %v by %s", first.ID, first.IssuedAt, first.Fit)
	}
	before := b.revision(t)
	b.now = noon.Add(50 * time.Minute) // 12:55
	if diff := cmp.Diff(first, b.plan(t, tomorrow())); diff != "" {
		t.Errorf("the plan changed within the hour (-first +again):\n%s", diff)
	}
	if b.revision(t) != before {
		t.Error("issuing a plan counts as a change that plans depend on")
	}
	stored, err := b.db.Plan(t.Context(), first.ID)
	done(t, err)
	if diff := cmp.Diff(first, stored); diff != "" {
		t.Errorf("the plan kept is not the plan issued (-issued +kept):\n%s", diff)
	}
}

func TestWhatMakesANewPlan(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	seen := map[string]string{b.plan(t, tomorrow()).ID: "the first"}
	want := func(name string, p model.Plan) {
		t.Helper()
		if other, again := seen[p.ID]; again {
			t.Errorf("%s: the plan is that of %s", name, other)
		}
		seen[p.ID] = name
	}
	longer, bearing := tomorrow(), tomorrow()
	longer.Hours = 5
	bearing.BearingDeg = model.Known[model.Degrees](0) // north is not the same as not said
	want("more hours", b.plan(t, longer))
	want("a bearing", b.plan(t, bearing))

	amended := report(noon.Truncate(time.Hour))
	amended.AirC, amended.Raw = model.Known[model.Celsius](2), amended.Raw+" AMENDED"
	_, err := b.db.PutObservations(t.Context(), []model.Observation{amended})
	done(t, err)
	want("new weather", b.plan(t, tomorrow()))

	// What somebody saw, and what the water has become, must not wait for the hour.
	q := tomorrow()
	done(t, b.db.PutReport(t.Context(), model.Report{ID: "r-ice", Water: q.Water, Kind: model.SawIce, At: b.now}))
	iced := b.plan(t, q)
	want("ice was seen", iced)
	if iced.Activity != nil || iced.Cautions[0].ID != "ice" || iced.Cautions[0].Level != model.Stop {
		t.Errorf("with ice seen the plan says %+v, activity %+v", iced.Cautions, iced.Activity)
	}
	w, err := b.db.Water(t.Context(), q.Water)
	done(t, err)
	w.FeedLimitDryG = model.Known[model.Grams](100)
	done(t, b.db.PutWater(t.Context(), w))
	want("a feed limit", b.plan(t, q))

	// A fit of an older version is named, and made anew when fitting next.
	done(t, b.db.AddFit(t.Context(), model.FitRecord{ID: "fit-broken", Sessions: 10, Body: []byte("{}")}))
	if _, err := b.planner().Plan(t.Context(), tomorrow()); err == nil || !strings.Contains(err.Error(), "fit-broken cannot be read by this version; run osier fit") {
		t.Errorf("error %v, want it to name the fit that cannot be used", err)
	}
	b.fit(t)

	b.now = noon.Add(time.Hour)
	want("the next hour", b.plan(t, tomorrow()))
}

func TestQuestionsThatCannotBeAnswered(t *testing.T) {
	b := newBench(t)
	for _, c := range []struct {
		name string
		ask  func(q *model.Question)
		code model.Code
		says string
	}{
		{"no such water", func(q *model.Question) { q.Water = "nowhere" }, model.NotFound, `there is no water "nowhere"`},
		{"no such peg", func(q *model.Question) { q.Peg = "77" }, model.NotFound, `no peg "77"`},
		{"no such group", func(q *model.Question) { q.Group = "pike" }, model.Invalid, "group: "},
		{"a past of which no weather is stored", func(q *model.Question) { q.Start = noon.Add(-2 * time.Hour) }, model.Invalid, "pull that time's weather first"},
	} {
		t.Run(c.name, func(t *testing.T) {
			q := tomorrow()
			c.ask(&q)
			_, err := b.planner().Plan(t.Context(), q)
			wantCode(t, err, c.code)
			if !strings.Contains(err.Error(), c.says) {
				t.Errorf("error %q, want it to say %q", err, c.says)
			}
		})
	}
}

func TestAPlanWithoutAnyWeatherIsMadeAndSaysSo(t *testing.T) {
	b := newBench(t)
	p := b.plan(t, tomorrow())
	if p.Confidence.Level != "low" || p.Weather.MissingHours != 4 || !p.Weather.Stale || p.Activity == nil || p.Feed.TotalDampG <= 0 {
		t.Errorf("confidence %+v, weather %+v", p.Confidence, p.Weather)
	}
	b.putWeather(t)
	past := tomorrow()
	past.Start = noon.Add(-30 * time.Hour)
	if p := b.plan(t, past); p.Weather.MissingHours != 0 {
		t.Errorf("a plan for a past whose weather is stored misses %d hours", p.Weather.MissingHours)
	}
}

func TestThePlanReadsKitAndRecords(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	done(t, b.db.PutKit(t.Context(), model.Kit{Angler: "VP", Feeders: []model.OwnFeeder{{Type: "window", CapacityMl: 33, WeightG: 45}}}))
	first := b.plan(t, tomorrow())
	if first.Feeder.CapacityMl != 33 || first.Feeder.Type != "window" {
		t.Errorf("feeder %+v, want the one in the box", first.Feeder)
	}
	for i := range 3 {
		done(t, b.db.AddSession(t.Context(), record(i+1, "VP", 4)))
	}
	b.join(t)
	b.now = noon.Add(time.Hour)
	p := b.plan(t, tomorrow())
	if !strings.Contains(strings.Join(first.WouldChange, " "), "a water you do not know") || strings.Contains(strings.Join(p.WouldChange, " "), "a water you do not know") {
		t.Errorf("three sessions do not make the water known: %v", p.WouldChange)
	}
}

func TestConditionsOfAWater(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	done(t, b.db.PutReport(t.Context(), model.Report{ID: "r-1", Water: "reedmere", Kind: model.HeardThunder, At: noon.Add(-10 * time.Minute)}))
	c, err := b.planner().Conditions(t.Context(), "reedmere", noon, noon.Add(6*time.Hour))
	done(t, err)
	if len(c.Hours) != 7 || c.Stale || len(c.Credits) != 2 || c.Hours[0].Weather != model.Observed || c.Hours[6].Weather != model.Forecasted {
		t.Errorf("%d hours, stale %v, credits %v, from %s to %s", len(c.Hours), c.Stale, c.Credits, c.Hours[0].Weather, c.Hours[6].Weather)
	}
	if len(c.Cautions) == 0 || c.Cautions[0].Level != model.Stop || c.Cautions[0].ID != "lightning" {
		t.Errorf("cautions %+v, want the thunder that somebody heard first", c.Cautions)
	}
	_, err = b.planner().Conditions(t.Context(), "nowhere", noon, noon.Add(time.Hour))
	wantCode(t, err, model.NotFound)
}
