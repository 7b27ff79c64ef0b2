package jobs_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/model"
	"osier/model/activity"
)

func (b *bench) summary(t *testing.T, id string) model.SessionSummary {
	t.Helper()
	s, err := (&jobs.Summarizer{Store: b.db, Live: b.live()}).Summary(t.Context(), id)
	done(t, err)
	return s
}

// logOf is a log of casts that were all left for ten minutes, with a bite at the
// minutes given; 0 is a cast without one. Two minutes lie between.
func logOf(id, angler string, start time.Time, bitesMin ...float64) model.Session {
	s := model.Session{
		ID: id, Water: "reedmere", Angler: angler, Group: model.Bream, Style: model.FullLog, Start: start, Rods: 1,
		Planned: model.PlannedFeed{RateGH: model.Known[model.GramsPerHour](90)}, HookLengthCm: model.Known(80.0),
		WaterTemp: model.Known(model.WaterReading{C: 7, Instrument: true}),
	}
	at := start
	for _, b := range bitesMin {
		c := model.Cast{In: at, Out: at.Add(10 * time.Minute), Outcome: model.NoBite, FillG: model.Known[model.Grams](18)}
		if b > 0 {
			c.Outcome, c.BiteMin, c.Group = model.FishLanded, model.Known(b), model.Bream
		}
		s.Casts = append(s.Casts, c)
		at = c.Out.Add(2 * time.Minute)
	}
	s.End = at.Add(-2 * time.Minute)
	s.WrittenAt = model.Known(s.End)
	return s
}

func (b *bench) record(t *testing.T, s model.Session) model.Session {
	t.Helper()
	s, _, err := b.recorder().Record(t.Context(), s)
	done(t, err)
	return s
}

// A plan is issued, the session fished and recorded: its summary holds one
// against the other by the plan's own figures.
func TestASessionIsHeldAgainstItsPlan(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	planner := &jobs.Planner{Store: b.db, Now: b.clock}
	plan, err := planner.Plan(t.Context(), model.Question{Water: "reedmere", Start: noon.Add(time.Hour), Hours: 4, Group: model.Bream, Angler: "RJ"})
	done(t, err)
	b.now = noon.Add(6 * time.Hour)
	s := logOf("s-plan", "RJ", noon.Add(time.Hour), 4.5, 0, 0, 6.2, 0, 0, 2.7, 0, 0, 0, 0, 0)
	s.PlanID = plan.ID
	b.record(t, s)
	got := b.summary(t, "s-plan")
	if got.Plan == nil {
		t.Fatalf("no plan: %s", got.PlanText)
	}
	basis := activity.ForecastBasis(plan.Activity.Basis)
	bites, err := basis.Bites(s.RodHours())
	done(t, err)
	low, err := bites.Quantile(0.05)
	done(t, err)
	high, err := bites.Quantile(0.95)
	done(t, err)
	blank, err := basis.Blank(s.RodHours())
	done(t, err)
	p := got.Plan
	if p.PlanID != plan.ID || p.BitesLow90 != low || p.BitesHigh90 != high || p.Bites != model.Known(3) || p.Fish != model.Known(3) ||
		p.BlankProbability != blank || p.Verdict != model.InsideInterval || got.PlanText != p.Text {
		t.Errorf("plan %+v, want the interval %d to %d for %.2f rod-hours", p, low, high, s.RodHours())
	}
	for _, c := range got.Cautions {
		if c.From.After(s.End) || c.Until.Before(s.Start) {
			t.Errorf("caution %s of %v to %v was not of these hours", c.ID, c.From, c.Until)
		}
	}
	if len(got.Cautions) == 0 || got.WaterName != "Reedmere" || got.Deferral != model.Deferral {
		t.Errorf("cautions %v, water %q", got.Cautions, got.WaterName)
	}
	// Twelve fills of 18 g in 142 min.
	if fed := float64(got.Feed.FedGH.Value); math.Abs(fed-12*18/(142.0/60)) > 1e-9 || got.Feed.PlannedGH != model.Known[model.GramsPerHour](90) {
		t.Errorf("feed %+v", got.Feed)
	}
	if len(got.Casts) != 12 || got.Casts[0].SoakMin != 10 || got.Casts[0].BiteMin != model.Known(4.5) {
		t.Errorf("casts %+v", got.Casts)
	}
}

// Twelve casts of ten minutes: bites at 3, 5 and 7 when rounded up to minutes.
func TestHowLongTheCastsWaited(t *testing.T) {
	b := newBench(t)
	b.record(t, logOf("s-1", "RJ", noon.Add(-5*time.Hour), 4.5, 0, 0, 6.2, 0, 0, 2.7, 0, 0, 0, 0, 0))
	w := b.summary(t, "s-1").Waiting
	if w == nil || w.Casts != 12 || w.Bites != 3 || w.NotTimed != 0 || w.TypicalCasts != 12 || w.TypicalSessions != 1 {
		t.Fatalf("waiting %+v", w)
	}
	type step struct {
		min  float64
		left int
		s    float64
	}
	var got []step
	for _, p := range w.Survival {
		got = append(got, step{p.TimeMin, p.AtRisk, math.Round(p.Waiting*1e4) / 1e4})
	}
	if diff := cmp.Diff([]step{{3, 12, 0.9167}, {5, 11, 0.8333}, {7, 10, 0.75}, {10, 9, 0.75}}, got, cmp.AllowUnexported(step{})); diff != "" {
		t.Errorf("survival (-want +got):\n%s", diff)
	}
	// Greenwood on the log(-log) scale at 7 min: var log S = 3/(12 x 9) = 1/36.
	half := 1.959963984540054 * (1.0 / 6) / -math.Log(0.75)
	if high := math.Exp(-math.Exp(math.Log(-math.Log(0.75)) - half)); math.Abs(w.Survival[2].High95.Value-high) > 1e-9 {
		t.Errorf("upper limit %v, want %v", w.Survival[2].High95.Value, high)
	}
	if len(w.Typical) != 11 || w.Typical[0] != (model.TypicalPoint{TimeMin: 0, Waiting: 1, Low90: 1, High90: 1}) {
		t.Fatalf("typical %+v: want minutes 0 to 10", w.Typical)
	}
	for i, p := range w.Typical[1:] {
		before := w.Typical[i]
		if !(p.Low90 < p.Waiting && p.Waiting < p.High90 && p.Waiting < before.Waiting && p.TimeMin == before.TimeMin+1) {
			t.Errorf("typical %+v after %+v", p, before)
		}
	}
	// 7 C: the trade leaves bream 6 to 20 min, and three bites move nothing.
	if w.Soak == nil || w.Soak.Verdict != model.TradeSoak || w.Soak.LowMin != 6 || w.Soak.HighMin != 20 {
		t.Errorf("soak %+v", w.Soak)
	}
}

// Nobody else's sessions show, nor what the angler fished later, nor another
// season or group.
func TestASummaryRestsOnOnesOwnSessionsUpToIt(t *testing.T) {
	b := newBench(t)
	start := noon.AddDate(0, 0, -10)
	casts := []float64{4.5, 0, 0, 6.2, 0, 0, 2.7, 0, 0, 0}
	b.record(t, logOf("s-1", "RJ", start, casts...))
	before := b.summary(t, "s-1")
	b.record(t, logOf("s-other", "VP", start.AddDate(0, 0, -1), 1.1, 1.2, 1.3, 1.4, 1.5))
	b.record(t, logOf("s-later", "RJ", start.AddDate(0, 0, 3), 1.1, 1.2, 1.3, 1.4, 1.5))
	b.record(t, logOf("s-autumn", "RJ", start.AddDate(0, 0, -120), 1.1, 1.2, 1.3))
	silver := logOf("s-silver", "RJ", start.AddDate(0, 0, -2), 1.1, 1.2)
	silver.Group = model.Silver
	b.record(t, silver)
	if diff := cmp.Diff(before, b.summary(t, "s-1")); diff != "" {
		t.Errorf("another session changed it (-before +after):\n%s", diff)
	}
	b.record(t, logOf("s-own", "RJ", start.AddDate(0, 0, -3), 1.1, 1.2, 1.3, 1.4, 1.5))
	if w := b.summary(t, "s-1").Waiting; w.TypicalSessions != 2 || w.TypicalCasts != 15 || w.Casts != 10 {
		t.Errorf("with an earlier one of one's own: %+v", w)
	}
}

func TestAPlanThatIsNotTheSessionsOwn(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	planner := &jobs.Planner{Store: b.db, Now: b.clock}
	plan, err := planner.Plan(t.Context(), model.Question{Water: "reedmere", Start: noon.Add(time.Hour), Hours: 4, Group: model.Bream, Angler: "VP"})
	done(t, err)
	b.now = noon.Add(6 * time.Hour)
	for _, c := range []struct{ name, plan, says string }{
		{"none", "", "names no plan"},
		{"unknown", "p-unknown", "no such plan was issued"},
		{"another's", plan.ID, "another water, group or angler"},
	} {
		s := logOf("s-"+strings.ReplaceAll(c.name, "'", ""), "RJ", noon.Add(time.Hour), 4.5, 0, 0)
		s.PlanID = c.plan
		done(t, b.db.AddSession(t.Context(), s))
		got := b.summary(t, s.ID)
		if got.Plan != nil || !strings.Contains(got.PlanText, c.says) || len(got.Cautions) != 0 || !strings.Contains(got.CautionsText, "not known") {
			t.Errorf("%s: plan %+v, %q, %q", c.name, got.Plan, got.PlanText, got.CautionsText)
		}
		done(t, b.db.DeleteSession(t.Context(), s.ID))
	}
}

func TestOtherStylesSayWhatTheyCannot(t *testing.T) {
	b := newBench(t)
	summary := record(3, "RJ", 6)
	hourly := record(4, "RJ", 6)
	hourly.Style, hourly.Bites, hourly.Fish, hourly.Planned = model.Hourly, model.Maybe[int]{}, nil, model.PlannedFeed{}
	for h := range 4 {
		at := hourly.Start.Add(time.Duration(h) * time.Hour)
		hourly.Intervals = append(hourly.Intervals, model.Interval{Start: at, End: at.Add(time.Hour), Bites: model.Known(1), Fish: model.Known(0)})
	}
	for _, s := range []model.Session{summary, hourly} {
		s = b.record(t, s)
		got := b.summary(t, s.ID)
		if got.Waiting != nil || len(got.Casts) != 0 || len(got.CannotSay) == 0 || got.TryNext.Rule != model.TryNothing || got.Feed.FedGH.Known || !got.Bites.Known {
			t.Errorf("%s: %+v", s.Style, got)
		}
	}
}

func TestASessionByItsEvents(t *testing.T) {
	b := newBench(t)
	summarizer := &jobs.Summarizer{Store: b.db, Live: b.live()}
	_, err := summarizer.Summary(t.Context(), "s-live")
	wantCode(t, err, model.NotFound)
	told := outing()
	b.take(t, told[:7]...)
	_, err = summarizer.Summary(t.Context(), "s-live")
	wantCode(t, err, model.NotFound)
	if !strings.Contains(err.Error(), "goes on") {
		t.Errorf("while it goes on: %v", err)
	}
	b.take(t, told[7])
	got := b.summary(t, "s-live")
	if len(got.Casts) != 3 || got.Bites != model.Known(1) || got.Fish != model.Known(1) || got.Waiting == nil || got.Waiting.Casts != 3 {
		t.Errorf("after the end: %+v", got)
	}
}

// A session that has ended and whose record was refused is summed up from its
// events.
func TestAnEndedSessionWithoutARecord(t *testing.T) {
	b := newBench(t)
	s := logOf("s-refused", "RJ", noon.Add(-4*time.Hour), 4.5, 0, 0, 0)
	live := ended{s}
	got, err := (&jobs.Summarizer{Store: b.db, Live: live}).Summary(t.Context(), "s-refused")
	done(t, err)
	if got.Waiting == nil || got.Waiting.TypicalCasts != 4 {
		t.Errorf("summary %+v", got)
	}
}

type ended struct{ session model.Session }

func (e ended) LiveSession(_ context.Context, id string) (model.Live, error) {
	if id != e.session.ID {
		return model.Live{}, fmt.Errorf("asked for %s", id)
	}
	return model.Live{Session: e.session, Ended: true}, nil
}

func TestUntimedBitesAreTold(t *testing.T) {
	b := newBench(t)
	s := logOf("s-1", "RJ", noon.Add(-5*time.Hour), 4.5, 3.3, 0, 0)
	s.Casts[0].BiteMin = model.Maybe[float64]{}
	b.record(t, s)
	got := b.summary(t, "s-1")
	if got.Waiting.NotTimed != 1 || got.Waiting.Bites != 2 || !strings.Contains(got.WaitingText, "Nobody timed 1 of the bites") || got.Waiting.Survival[1].TimeMin != 5 {
		t.Errorf("%q, %+v", got.WaitingText, got.Waiting)
	}
}
