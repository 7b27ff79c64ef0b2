package jobs_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/model"
	"osier/model/activity"
)

// issued is a plan of four hours from 8 o'clock on the day before the tests
// begin, out the evening before.
func issued(id string) model.Plan {
	start := time.Date(2026, 2, 5, 8, 0, 0, 0, time.UTC)
	return model.Plan{
		ID: id, Water: "reedmere", Group: model.Bream, Start: start, Hours: 4, IssuedAt: start.Add(-12 * time.Hour), Fit: "fit-x",
		Activity: &model.Activity{Basis: model.ForecastBasis{LogRateMean: math.Log(2), LogRateVariance: 0.3, Alpha: 0.6, LandedLogitMean: 0.5, LandedLogitVariance: 0.2}},
	}
}

// followed is the record of who fished by it: six bites, three fish.
func followed(id string) model.Session {
	s := record(1, "VP", 6)
	s.PlanID = id
	return s
}

func (b *bench) score(t *testing.T) map[string]int {
	t.Helper()
	counts, err := (&jobs.Scorer{Store: b.db, Now: b.clock}).Run(t.Context())
	done(t, err)
	return counts
}

func (b *bench) scores(t *testing.T) []model.Score {
	t.Helper()
	found, err := b.db.Scores(t.Context(), "", "")
	done(t, err)
	return found
}

func TestWhichSessionsAreScoredAgainstWhichPlan(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(p *model.Plan, s *model.Session)
		why    string // empty where it is scored
	}{
		{"it followed the plan", func(*model.Plan, *model.Session) {}, ""},
		{"it began an hour late", func(_ *model.Plan, s *model.Session) { s.Start, s.End = s.Start.Add(time.Hour), s.End.Add(time.Hour) }, ""},
		{"the plan was for the same angler", func(p *model.Plan, _ *model.Session) { p.Question.Angler = "VP" }, ""},
		{"the plan was out a second before the first cast", func(p *model.Plan, s *model.Session) { p.IssuedAt = s.Start.Add(-time.Second) }, ""},
		{"the plan was issued at the first cast", func(p *model.Plan, s *model.Session) { p.IssuedAt = s.Start }, "the plan was issued after the first cast"},
		{"the plan was issued in the session", func(p *model.Plan, s *model.Session) { p.IssuedAt = s.Start.Add(time.Hour) }, "the plan was issued after the first cast"},
		{"no plan is named", func(_ *model.Plan, s *model.Session) { s.PlanID = "" }, "it followed no plan"},
		{"the plan named was never issued", func(_ *model.Plan, s *model.Session) { s.PlanID = "p-none" }, "no such plan was issued"},
		{"the plan was for another water", func(p *model.Plan, _ *model.Session) { p.Water = "carr" }, "the plan was for another water, group or angler"},
		{"the plan was for another group", func(p *model.Plan, _ *model.Session) { p.Group = model.Carp }, "the plan was for another water, group or angler"},
		{"the plan was for another angler", func(p *model.Plan, _ *model.Session) { p.Question.Angler = "RJ" }, "the plan was for another water, group or angler"},
		{"the plan was for the week before", func(p *model.Plan, _ *model.Session) {
			p.Start, p.IssuedAt = p.Start.AddDate(0, 0, -7), p.IssuedAt.AddDate(0, 0, -7)
		}, "the plan was for another time"},
		{"the plan was for hours that begin as it ends", func(p *model.Plan, s *model.Session) { p.Start = s.End }, "the plan was for another time"},
		{"every hour was struck out", func(p *model.Plan, _ *model.Session) { p.Activity = nil }, "the plan expected nothing"},
		{"the plan is of before the basis was kept", func(p *model.Plan, _ *model.Session) { p.Activity.Basis = model.ForecastBasis{} }, "the plan expected nothing"},
		{"the bites were not counted", func(_ *model.Plan, s *model.Session) { s.Bites = model.Maybe[int]{} }, "its bites were not counted"},
		{"the bites are in doubt", func(_ *model.Plan, s *model.Session) {
			s.Queries = []model.Query{{Field: "bites", Text: "?", Excludes: "field"}}
		}, "its bites were not counted"},
		{"the record is in doubt", func(_ *model.Plan, s *model.Session) {
			s.Queries = []model.Query{{Field: "end", Text: "?", Excludes: "session"}}
		}, "a query about the record keeps it out"},
		{"nothing but breaks", func(_ *model.Plan, s *model.Session) { s.BreaksMin = 240 }, "no time fished"},
		{"the fish were not counted", func(_ *model.Plan, s *model.Session) { s.Fish = nil }, ""},
		{"a blank", func(_ *model.Plan, s *model.Session) {
			s.Bites, s.Fish = model.Known(0), map[model.Group]int{model.Bream: 0}
		}, ""},
	} {
		b := newBench(t)
		p, s := issued("p-1"), followed("p-1")
		c.change(&p, &s)
		done(t, b.db.AddPlan(t.Context(), p))
		done(t, b.db.AddSession(t.Context(), s))
		counts, scores := b.score(t), b.scores(t)
		if c.why != "" {
			if len(scores) != 0 || counts["not scored: "+c.why] != 1 {
				t.Errorf("%s: %d scores and %v, want none since %s", c.name, len(scores), counts, c.why)
			}
			continue
		}
		if len(scores) != 1 || counts["scored"] != 1 {
			t.Errorf("%s: %d scores and %v", c.name, len(scores), counts)
		}
	}
}

func TestAScoreIsOfThePlanAsIssuedForTheHoursFished(t *testing.T) {
	b := newBench(t)
	p, s := issued("p-1"), followed("p-1")
	s.End = s.Start.Add(6 * time.Hour) // they stayed on
	s.BreaksMin = 60
	s.Rods = 2
	done(t, b.db.AddPlan(t.Context(), p))
	done(t, b.db.AddSession(t.Context(), s))
	b.score(t)
	got := b.scores(t)[0]
	basis := activity.ForecastBasis(p.Activity.Basis)
	want, err := basis.Score(10, 6)
	done(t, err)
	blank, err := basis.Blank(10)
	done(t, err)
	if got.RodHours != 10 || got.Plan != "p-1" || got.Fit != "fit-x" || got.Fish != model.Known(3) || got.BlankProbability != blank || !got.IssuedAt.Equal(p.IssuedAt) {
		t.Errorf("score %+v", got)
	}
	if got.Forecast.LogScore != model.Known(want.LogScore) || got.Forecast.CRPS != want.CRPS || got.Forecast.PITHigh != want.PIT.Upper || got.Forecast.Mean != want.Mean {
		t.Errorf("forecast scored %+v, want %+v", got.Forecast, want)
	}
	if len(got.References) != 2 || got.References[activity.OneRate].CRPS <= 0 {
		t.Errorf("references %+v", got.References)
	}
}

func TestScoringAgainDoesNothingAndACorrectionIsScoredAnew(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	done(t, b.db.AddPlan(ctx, issued("p-1")))
	done(t, b.db.AddPlan(ctx, issued("p-2")))
	s := followed("p-1")
	done(t, b.db.AddSession(ctx, s))
	b.score(t)
	first, revision := b.scores(t), b.revision(t)
	b.now = b.now.Add(time.Hour)
	if counts := b.score(t); counts["scored"] != 0 || b.revision(t) != revision {
		t.Errorf("scoring again did %v", counts)
	}
	b.now = b.now.AddDate(0, 0, -30)
	if counts := b.score(t); counts["taken away"] != 0 {
		t.Errorf("a run over the month before did %v", counts)
	}
	b.now = b.now.AddDate(0, 0, 30)
	if diff := cmp.Diff(first, b.scores(t)); diff != "" {
		t.Errorf("scoring again changed the score:\n%s", diff)
	}

	version := 1
	change := func(name string, edit func(*model.Session), want func([]model.Score) bool) {
		t.Helper()
		edit(&s)
		done(t, b.db.ReplaceSession(ctx, s, version))
		version++
		b.score(t)
		if got := b.scores(t); !want(got) {
			t.Errorf("%s: %+v", name, got)
		}
	}
	change("notes", func(s *model.Session) { s.Notes = "wind got up" }, func(got []model.Score) bool { return cmp.Equal(first, got) })
	change("more bites", func(s *model.Session) { s.Bites = model.Known(9) }, func(got []model.Score) bool {
		return len(got) == 1 && got[0].Bites == 9 && got[0].Angler == "VP" && got[0].ScoredAt.Equal(b.now) && got[0].FirstScoredAt.Equal(first[0].ScoredAt) && got[0].Forecast != first[0].Forecast
	})
	change("another plan", func(s *model.Session) { s.PlanID = "p-2" }, func(got []model.Score) bool { return len(got) == 1 && got[0].Plan == "p-2" })
	change("no plan after all", func(s *model.Session) { s.PlanID = "" }, func(got []model.Score) bool { return len(got) == 0 })
	change("the first plan", func(s *model.Session) { s.PlanID = "p-1" }, func(got []model.Score) bool { return len(got) == 1 })
	done(t, b.db.DeleteSession(ctx, s.ID))
	if got := b.scores(t); len(got) != 0 {
		t.Errorf("a deleted session keeps %d scores", len(got))
	}
}

func TestReferencesKnowNothingOfTheMonthOfIssue(t *testing.T) {
	scored := func(change func(*model.Session)) model.Score {
		b := newBench(t)
		b.putWeather(t)
		done(t, b.db.AddPlan(t.Context(), issued("p-1")))
		done(t, b.db.AddSession(t.Context(), followed("p-1")))
		for day := 2; day < 20; day++ { // 4 February and before
			s := record(day, "RJ", 3)
			s.EnteredAt = s.End.Add(time.Hour)
			if change != nil && s.Start.Month() == time.February {
				change(&s)
			}
			done(t, b.db.AddSession(t.Context(), s))
		}
		b.join(t)
		b.score(t)
		return b.scores(t)[0]
	}
	plain := scored(nil)
	busy := scored(func(s *model.Session) { s.Bites = model.Known(40) })
	if diff := cmp.Diff(plain.References, busy.References); diff != "" {
		t.Errorf("sessions of the month of issue change the references:\n%s", diff)
	}
	// Three bites in four hours were usual: fewer than the prior's twelve.
	if mean := plain.References[activity.OneRate].Mean; !(mean > 2 && mean < 7) {
		t.Errorf("one rate expects %v bites", mean)
	}
}

// seedScores keeps scores of invented sessions, each two days after the last.
func (b *bench) seedScores(t *testing.T, n int) {
	t.Helper()
	ctx := t.Context()
	basis := activity.ForecastBasis(issued("").Activity.Basis)
	var scores []model.Score
	for i := range n {
		s := followed("p")
		s.Start = s.Start.AddDate(0, 0, -2*i)
		s.End = s.Start.Add(4 * time.Hour)
		s.ID = fmt.Sprintf("s-%03d", i)
		s.Bites, s.Fish = model.Known(i%20), map[model.Group]int{model.Bream: i % 5}
		done(t, b.db.AddSession(ctx, s))
		forecast, err := basis.Score(4, i%20)
		done(t, err)
		score := model.CountScore{LogScore: model.Known(forecast.LogScore), CRPS: forecast.CRPS, PITLow: forecast.PIT.Lower, PITHigh: forecast.PIT.Upper, Cover50: forecast.Cover50, Cover90: forecast.Cover90, Mean: forecast.Mean}
		worse := score
		worse.LogScore = model.Known(forecast.LogScore + 0.5 + 0.1*float64(i%3))
		scores = append(scores, model.Score{
			Session: s.ID, Water: s.Water, Group: s.Group, Start: s.Start, Bites: i % 20, Fish: model.Known(i % 5), Forecast: score,
			BlankProbability: 0.2, References: map[string]model.CountScore{activity.OneRate: worse, activity.WaterMean: score},
		})
	}
	done(t, b.db.PutScores(ctx, scores))
}

func TestTheTrackRecordGivesCountsUntilThereIsEnough(t *testing.T) {
	for _, n := range []int{0, 99, 120} {
		b := newBench(t)
		b.seedScores(t, n)
		recorder := jobs.TrackRecorder{Store: b.db, Now: b.clock}
		r, err := recorder.OwnersRecord(t.Context(), "", "")
		done(t, err)
		if r.Sessions != n || r.NoFish != (n+4)/5 || (r.Figures != nil) != (n >= 100) || r.FewestFigures != 100 || len(r.Notes) != 2 {
			t.Errorf("%d scored: %+v", n, r)
		}
		// All are one angler's: the public record tells nothing but a band.
		public, err := recorder.TrackRecord(t.Context(), "", "")
		done(t, err)
		if public.Sessions != 0 || public.NoFish != 0 || public.Figures != nil || len(public.Months) != 0 || (public.Waiting != nil) != (n > 0) {
			t.Errorf("%d scored: the public record %+v tells of one angler", n, public)
		}
		if n < 120 {
			continue
		}
		f := r.Figures
		if len(f.Skill) != 2 || f.Skill[0].LogScore.Verdict != activity.Better || f.Skill[1].LogScore.Verdict != activity.NotToldApart || !f.LogScore.Known || !(f.Cover90 > 0.5) {
			t.Errorf("figures %+v", f)
		}
		for _, c := range []struct {
			water string
			group model.Group
			want  int
		}{{"reedmere", "", n}, {"reedmere", model.Bream, n}, {"", model.Carp, 0}} {
			part, err := recorder.OwnersRecord(t.Context(), c.water, c.group)
			done(t, err)
			if part.Sessions != c.want || part.Water != c.water || part.Group != c.group {
				t.Errorf("%s and %s: %d sessions, want %d", c.water, c.group, part.Sessions, c.want)
			}
		}
		_, err = recorder.TrackRecord(t.Context(), "nowhere", "")
		wantCode(t, err, model.NotFound)
		_, err = recorder.TrackRecord(t.Context(), "", "pike")
		wantCode(t, err, model.Invalid)
	}
}

func TestBacktestOfTheRecords(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	for day := 1; day <= 40; day++ {
		s := record(day, fmt.Sprintf("A%d", day%3), day%7)
		s.EnteredAt = s.End.Add(time.Hour)
		if day > 35 {
			s.EnteredAt = s.End.AddDate(0, 3, 0)
		}
		done(t, b.db.AddSession(t.Context(), s))
	}
	carp := record(50, "A1", 2)
	carp.Group, carp.Fish = model.Carp, map[model.Group]int{model.Carp: 1}
	carp.ID = carp.DerivedID()
	done(t, b.db.AddSession(t.Context(), carp))
	b.join(t)
	var heard []string
	tester := jobs.Backtester{Store: b.db, Progress: func(what string, done, all int) { heard = append(heard, fmt.Sprintf("%s %d/%d", what, done, all)) }}
	got, err := tester.Run(t.Context())
	done(t, err)
	if len(got) != 3 || got[1].Group != model.Carp || got[2].Group != "" || got[2].Records != 41 || got[2].Rolling.Sessions != 41 || got[2].Climbs != got[0].Climbs+got[1].Climbs {
		t.Fatalf("backtests %+v", got)
	}
	g := got[0]
	if g.Group != model.Bream || g.Records != 40 || g.EnteredLater != 5 || g.Weather != jobs.BacktestWeather(0, 40) || g.Rolling.Sessions != 40 || g.WaterOut.Sessions != 40 || g.AnglerOut.Sessions != 40 || g.Rolling.Figures != nil {
		t.Errorf("backtest %+v", g)
	}
	if want := "bream, month by month 1/3"; len(heard) == 0 || heard[0] != want {
		t.Errorf("heard %q first, want %q", heard, want)
	}
}
