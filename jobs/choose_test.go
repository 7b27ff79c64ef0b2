package jobs_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/model"
	"osier/model/store"
)

// alder lies beside Reedmere and shares its forecast; olsza keeps the clocks of
// another zone.
var (
	alder = model.Water{
		ID: "alder-mere", Name: "Alder Mere", LatDeg: 52.203, LonDeg: -0.898, ElevationM: 70, MeanDepthM: 1.5, Bank: "earth", Colour: "clear",
		Zone: "Europe/London", Groups: model.Groups(),
	}
	olsza = model.Water{
		ID: "olsza", Name: "Olsza", LatDeg: 52.2, LonDeg: 21, ElevationM: 90, MeanDepthM: 2, Bank: "grass", Colour: "tinged",
		Zone: "Europe/Warsaw", Groups: []model.Group{model.Silver, model.Bream},
	}
)

func newChoiceBench(t *testing.T) *bench {
	t.Helper()
	b := newBench(t)
	done(t, errors.Join(b.db.PutWater(t.Context(), alder), b.db.PutWater(t.Context(), olsza)))
	return b
}

// weekend asks for four hours of bream fishing at two waters, tomorrow and the
// day after.
func weekend() model.ChoiceQuestion {
	return model.ChoiceQuestion{Waters: []string{"reedmere", "alder-mere"}, From: "2026-02-07", Days: 2, Hours: 4, Group: model.Bream, Angler: "VP"}
}

func (b *bench) choose(t *testing.T, q model.ChoiceQuestion) model.Choice {
	t.Helper()
	c, err := b.planner().Choose(t.Context(), q)
	done(t, err)
	return c
}

// outlines names the options in the order given.
func outlines(c model.Choice) (out []string) {
	for _, o := range c.Options {
		out = append(out, o.Water+" "+o.Start.Format(time.RFC3339))
	}
	return out
}

func wantOutlines(t *testing.T, c model.Choice, want ...string) {
	t.Helper()
	if diff := cmp.Diff(want, outlines(c)); diff != "" {
		t.Errorf("options (-want +got):\n%s", diff)
	}
}

func TestEachOptionIsWhatItsPlanSays(t *testing.T) {
	b := newChoiceBench(t)
	b.putWeather(t)
	b.addRecords(t, manyBites...)
	b.join(t)
	_, err := (&jobs.Fitter{Store: b.db, Now: b.clock}).Run(t.Context())
	done(t, err)
	c := b.choose(t, weekend())
	wantOutlines(t, c, "reedmere 2026-02-07T09:00:00Z", "alder-mere 2026-02-07T09:00:00Z", "reedmere 2026-02-08T09:00:00Z", "alder-mere 2026-02-08T09:00:00Z")
	if len(c.Comparisons) != 3 || c.Summary == "" || len(c.Refused) != 0 || c.Deferral != model.Deferral || c.Fit == "" || !c.IssuedAt.Equal(noon) || c.Question.StartTime != "09:00" {
		t.Errorf("%d comparisons, summary %q, refused %+v, fit %q, at %v, question %+v", len(c.Comparisons), c.Summary, c.Refused, c.Fit, c.IssuedAt, c.Question)
	}
	if len(c.Credits) != 2 {
		t.Errorf("credits %v, want those of the reports and of the forecast, once each", c.Credits)
	}
	for _, o := range c.Options {
		p := b.plan(t, o.Plan)
		if p.Fit != c.Fit {
			t.Errorf("the plan is by fit %s, the choice by %s", p.Fit, c.Fit)
		}
		if diff := cmp.Diff(p.Activity, o.Activity); diff != "" {
			t.Errorf("%s: activity of the plan (-) and of the option (+) differ:\n%s", o.Water, diff)
		}
		if p.Feed.RateGH != o.Feed.RateGH || p.Weather.Version != o.Weather.Version || p.Confidence.Level != o.Confidence.Level || !p.Start.Equal(o.Start) {
			t.Errorf("%s: plan of %v g/h on weather %s, option of %v on %s", o.Water, p.Feed.RateGH, p.Weather.Version, o.Feed.RateGH, o.Weather.Version)
		}
	}
}

func TestChoosingKeepsNothing(t *testing.T) {
	b := newChoiceBench(t)
	b.putWeather(t)
	before := b.revision(t)
	first := b.choose(t, weekend())
	if b.revision(t) != before {
		t.Error("choosing changed the store")
	}
	if diff := cmp.Diff(first, b.choose(t, weekend())); diff != "" {
		t.Errorf("the same question got another answer (-first +again):\n%s", diff)
	}
	// The plan is issued only when it is asked for.
	b.now = noon.Add(10 * time.Minute)
	if p := b.plan(t, first.Options[0].Plan); !p.IssuedAt.Equal(b.now) {
		t.Errorf("the plan was issued at %v, when the choice was made; want %v", p.IssuedAt, b.now)
	}
}

func TestOptionsStandInOrderOfTime(t *testing.T) {
	b := newChoiceBench(t)
	q := weekend()
	q.Waters = []string{"reedmere", "olsza", "alder-mere"}
	wantOutlines(t, b.choose(t, q),
		"olsza 2026-02-07T09:00:00+01:00", "reedmere 2026-02-07T09:00:00Z", "alder-mere 2026-02-07T09:00:00Z",
		"olsza 2026-02-08T09:00:00+01:00", "reedmere 2026-02-08T09:00:00Z", "alder-mere 2026-02-08T09:00:00Z")
}

func TestTheDayTheClocksGoForward(t *testing.T) {
	b := newChoiceBench(t)
	b.now = time.Date(2026, 3, 27, 12, 0, 0, 0, time.UTC)
	q := weekend()
	q.Waters, q.From = []string{"reedmere"}, "2026-03-28"
	wantOutlines(t, b.choose(t, q), "reedmere 2026-03-28T09:00:00Z", "reedmere 2026-03-29T09:00:00+01:00")
	q.StartTime = "01:30"
	c := b.choose(t, q)
	wantOutlines(t, c, "reedmere 2026-03-28T01:30:00Z")
	want := []model.ChoiceRefusal{{
		Water: "reedmere", WaterName: "Reedmere", Day: "2026-03-29", Field: "start_time",
		Wrong: "the clocks of Europe/London were put forward and never showed 2026-03-29 01:30", Right: "check the clock, or give the time with its offset",
	}}
	if diff := cmp.Diff(want, c.Refused); diff != "" {
		t.Errorf("refused (-want +got):\n%s", diff)
	}
}

func TestAWaterUnderIceIsStruckOutAndNotCompared(t *testing.T) {
	b := newChoiceBench(t)
	b.putWeather(t)
	done(t, b.db.PutReport(t.Context(), model.Report{ID: "r-ice", Water: "reedmere", Kind: model.SawIce, At: b.now}))
	c := b.choose(t, weekend())
	for _, o := range c.Options {
		if struck := o.Water == "reedmere"; o.Struck != struck || (o.Activity == nil) != struck {
			t.Errorf("%s: struck %v, activity %+v; want it struck: %v", o.Water, o.Struck, o.Activity, struck)
		}
	}
	if o := c.Options[0]; o.Cautions[0].ID != "ice" || o.Cautions[0].Level != model.Stop || o.Feed.RateGH != 0 {
		t.Errorf("cautions %+v, feed %+v; want the ice first and no feed", o.Cautions, o.Feed)
	}
	if len(c.Comparisons) != 1 || c.Comparisons[0].Water != "alder-mere" || c.Comparisons[0].Against.Water != "alder-mere" {
		t.Errorf("comparisons %+v, want the two days at Alder Mere", c.Comparisons)
	}
}

func TestByThePriorNothingIsToldApart(t *testing.T) {
	b := newChoiceBench(t)
	b.putWeather(t)
	c := b.choose(t, weekend())
	if c.Fit != jobs.FitZero || !strings.HasPrefix(c.Summary, "None of these 4 can be told apart") {
		t.Errorf("by %s: %q", c.Fit, c.Summary)
	}
	for _, k := range c.Comparisons {
		if k.ToldApart || !(k.RateRatio.Low90 <= k.RateRatio.Mean && k.RateRatio.Mean <= k.RateRatio.High90 && k.RateRatio.Mean <= 1) {
			t.Errorf("%+v, want it not told apart, and at most what it is held against", k)
		}
	}
}

func TestBeyondTheForecastConfidenceIsLowAndSaysWhy(t *testing.T) {
	b := newChoiceBench(t)
	b.putWeather(t) // two days of forecast
	q := weekend()
	q.Days = 6
	c := b.choose(t, q)
	last := c.Options[len(c.Options)-1]
	if last.Weather.MissingHours != 4 || last.Confidence.Level != "low" || len(last.Confidence.Because) == 0 || len(last.NotChecked) == 0 {
		t.Errorf("five days past the forecast: weather %+v, confidence %+v, not checked %v", last.Weather, last.Confidence, last.NotChecked)
	}
	if text := c.Comparisons[len(c.Comparisons)-1].Text; !strings.Contains(text, "weather is missing") {
		t.Errorf("comparison %q does not say that weather is missing", text)
	}
	if first := c.Options[0]; first.Weather.MissingHours != 0 {
		t.Errorf("tomorrow misses %d hours", first.Weather.MissingHours)
	}
}

func TestWhatIsRefusedIsListedAndTheRestAnswered(t *testing.T) {
	b := newChoiceBench(t)
	q := weekend()
	q.Waters, q.Group, q.From = []string{"olsza", "reedmere"}, model.Carp, "2026-02-06" // noon is past nine o'clock
	c := b.choose(t, q)
	wantOutlines(t, c, "reedmere 2026-02-07T09:00:00Z")
	var why []string
	for _, r := range c.Refused {
		why = append(why, r.Water+" "+r.Day+" "+r.Field+": "+r.Wrong)
	}
	want := []string{
		"olsza 2026-02-06 group: carp is not recorded at olsza",
		"reedmere 2026-02-06 start_time: 09:00 on Friday 6 February is past",
		"olsza 2026-02-07 group: carp is not recorded at olsza",
	}
	if diff := cmp.Diff(want, why); diff != "" {
		t.Errorf("refused (-want +got):\n%s", diff)
	}
	q.Waters = []string{"olsza"}
	if c := b.choose(t, q); len(c.Options) != 0 || c.Options == nil || len(c.Refused) != 2 || c.Summary != "Nothing can be said about any of these; each refusal says why." {
		t.Errorf("options %v, refused %+v, summary %q", c.Options, c.Refused, c.Summary)
	}
}

func TestChoicesThatFailWhole(t *testing.T) {
	b := newChoiceBench(t)
	for _, c := range []struct {
		name string
		ask  func(q *model.ChoiceQuestion)
		code model.Code
		says string
	}{
		{"a water that is not known", func(q *model.ChoiceQuestion) { q.Waters[1] = "nowhere" }, model.NotFound, `there is no water "nowhere"`},
		{"a peg that is not there", func(q *model.ChoiceQuestion) { q.Waters, q.Peg = q.Waters[:1], "77" }, model.NotFound, `no peg "77"`},
		{"more days than are taken", func(q *model.ChoiceQuestion) { q.Days = 15 }, model.Invalid, "give 1 to 14"},
	} {
		t.Run(c.name, func(t *testing.T) {
			q := weekend()
			c.ask(&q)
			_, err := b.planner().Choose(t.Context(), q)
			wantCode(t, err, c.code)
			if !strings.Contains(err.Error(), c.says) {
				t.Errorf("error %q, want it to say %q", err, c.says)
			}
		})
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := b.planner().Choose(ctx, weekend()); err == nil {
		t.Error("a choice that nobody waits for was made")
	}
}

// counted is a store that counts how often all records are read, and can be down.
type counted struct {
	*store.DB
	joined int
	down   error
}

func (c *counted) Joined(ctx context.Context) ([]model.JoinedSession, error) {
	c.joined++
	if c.down != nil {
		return nil, c.down
	}
	return c.DB.Joined(ctx)
}

func TestRecordsAreReadOnceForAllOptions(t *testing.T) {
	b := newChoiceBench(t)
	b.addRecords(t, manyBites...)
	b.join(t)
	kept := &counted{DB: b.db}
	planner := jobs.Planner{Store: kept, Now: b.clock}
	c, err := planner.Choose(t.Context(), weekend())
	done(t, err)
	if kept.joined != 1 || len(c.Options) != 4 {
		t.Errorf("all records were read %d times for %d options, want once for 4", kept.joined, len(c.Options))
	}
	// One option's sifting of the records leaves the next one's whole.
	for _, o := range c.Options {
		if diff := cmp.Diff(b.plan(t, o.Plan).Evidence, o.Evidence); diff != "" {
			t.Errorf("%s: evidence of the plan (-) and of the option (+) differ:\n%s", o.Water, diff)
		}
	}
}

func TestAStoreThatIsDownFailsTheChoice(t *testing.T) {
	b := newChoiceBench(t)
	down := &model.Error{Code: model.Unavailable, Wrong: "the store does not answer"}
	planner := jobs.Planner{Store: &counted{DB: b.db, down: down}, Now: b.clock}
	_, err := planner.Choose(t.Context(), weekend())
	wantCode(t, err, model.Unavailable)
}
