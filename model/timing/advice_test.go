package timing_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model/timing"
)

// planned is the advice's question 4 h before the end, before the first cast:
// 2 bites an hour planned, soaks of 8 to 12 minutes, patience from 30 minutes.
func planned(t testing.TB) timing.AdviceInput {
	t.Helper()
	plan, err := timing.PlanBelief(math.Log(2)-0.15, 0.3, 1/1.8, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	return timing.AdviceInput{
		Plan: plan, EndMin: 240, Level: 2, CapLevel: 3, SoakLowMin: 8, SoakHighMin: 12,
		HandlingMin: 1.5, PatienceMin: 30, CanMove: true, Moves: mustGrid(t),
	}
}

// at appends events of one kind at some minutes.
func at(kind timing.EventKind, minutes ...float64) []timing.Event {
	var out []timing.Event
	for _, m := range minutes {
		out = append(out, timing.Event{AtMin: m, Kind: kind})
	}
	return out
}

func events(lists ...[]timing.Event) []timing.Event {
	var out []timing.Event
	for _, l := range lists {
		out = append(out, l...)
	}
	return out
}

func mustAdvise(t testing.TB, in timing.AdviceInput) timing.Advice {
	t.Helper()
	a, err := timing.Advise(in)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestAdvice(t *testing.T) {
	quick := events(at(timing.EventCast, 0, 5, 10), at(timing.EventBite, 3, 7, 12), at(timing.EventFish, 4, 8, 13))
	liners := events(at(timing.EventCast, 0, 10, 20, 30, 40), at(timing.EventLineBite, 3, 12, 15, 24, 33))
	fading := events(at(timing.EventCast, 0, 5), at(timing.EventFeedRaised, 9), at(timing.EventCast, 10, 16, 22, 33, 45),
		at(timing.EventFish, 12, 18, 25))
	blanks := func(everyMin float64, n int) (out []timing.Event) {
		for i := range n {
			out = append(out, at(timing.EventCast, float64(i)*everyMin)...)
		}
		return out
	}
	for _, c := range []struct {
		name   string
		events []timing.Event
		now    float64
		change func(*timing.AdviceInput)
		first  timing.Act
		reason timing.Reason
	}{
		{"nothing yet", nil, 0, nil, timing.KeepFeed, timing.NoTrigger},
		{"a cast just in", at(timing.EventCast, 0), 3, nil, timing.Hold, timing.BeforeBestSoak},
		{"within the best soak", at(timing.EventCast, 0), 9, nil, timing.EitherWay, timing.WithinBestSoak},
		{"beyond it", at(timing.EventCast, 0), 12, nil, timing.Recast, timing.BeyondBestSoak},
		{"the soak counts from the settled feeder", events(at(timing.EventCast, 0), at(timing.EventSettled, 1)), 12, nil, timing.EitherWay, timing.WithinBestSoak},
		{"a bite on the cast leaves nothing to hold", events(at(timing.EventCast, 0), at(timing.EventBite, 3)), 5, nil, timing.KeepFeed, timing.NoTrigger},

		{"three quick bites in three casts", quick, 14, nil, timing.FeedUp, timing.QuickBites},
		{"they are no news where the plan foresaw them", quick, 14, func(in *timing.AdviceInput) {
			in.Plan.Rate.Hours /= 10
			in.Moves = nil
		}, timing.KeepFeed, timing.NotAbovePlan},
		{"the cautions cap the level", quick, 14, func(in *timing.AdviceInput) { in.CapLevel = 2 }, timing.KeepFeed, timing.AtCap},
		{"one of them slow", events(at(timing.EventCast, 0, 10, 15), at(timing.EventFish, 8, 12, 17)), 18, nil, timing.KeepFeed, timing.NoTrigger},
		{"one cast without", events(at(timing.EventCast, 0, 5, 12, 20), at(timing.EventFish, 3, 14, 22)), 23, nil, timing.KeepFeed, timing.NoTrigger},
		{"bites that led to the last raise do not lead to another", events(quick, at(timing.EventFeedRaised, 14), at(timing.EventCast, 15)), 16, nil, timing.Hold, timing.BeforeBestSoak},

		{"a caution came up", at(timing.EventCast, 0), 3, func(in *timing.AdviceInput) { in.CapLevel = 1 }, timing.FeedDown, timing.AboveCap},
		{
			"a caution does not wait for two casts", events(at(timing.EventCast, 0), at(timing.EventOtherChange, 9), at(timing.EventCast, 10)), 11,
			func(in *timing.AdviceInput) { in.CapLevel = 1 }, timing.FeedDown, timing.AboveCap,
		},

		{"four casts with liners and no bite", liners, 43, nil, timing.FeedDown, timing.LinersNoBite},
		{"nothing is lighter than the lightest", liners, 43, func(in *timing.AdviceInput) { in.Level, in.CanMove = 0, false }, timing.Hold, timing.BeforeBestSoak},
		{"a bite among them", events(liners, at(timing.EventMissed, 35)), 43, nil, timing.Hold, timing.BeforeBestSoak},
		{
			"the last cast may still bring one", events(at(timing.EventCast, 0, 10, 20, 30), at(timing.EventLineBite, 3, 12, 24, 33)), 37,
			func(in *timing.AdviceInput) { in.CanMove = false }, timing.Hold, timing.BeforeBestSoak,
		},
		{"bites fading over 40 minutes after a raise", fading, 51, nil, timing.FeedDown, timing.FadingAfterFeed},
		{"not before 40 minutes", fading, 48, nil, timing.Hold, timing.BeforeBestSoak},

		{"recasting far too soon", blanks(5, 5), 21, nil, timing.LeaveLonger, timing.SoaksTooShort},
		{"leaving it far too long", blanks(20, 5), 82, func(in *timing.AdviceInput) { in.CanMove = false }, timing.RecastSooner, timing.SoaksTooLong},
		{"one change at a time", events(at(timing.EventOtherChange, 19), blanks(5, 5)), 21, nil, timing.Hold, timing.BeforeBestSoak},
		{"two casts after a change", events(at(timing.EventOtherChange, 0), at(timing.EventCast, 0, 5, 10, 15, 20)), 21, nil, timing.LeaveLonger, timing.SoaksTooShort},

		{"a blank line for too long", blanks(11, 11), 112, nil, timing.ChangePlace, timing.BetterElsewhere},
		{"nowhere to go", blanks(11, 11), 112, func(in *timing.AdviceInput) { in.CanMove = false }, timing.Hold, timing.BeforeBestSoak},
		{"too late", blanks(11, 11), 112, func(in *timing.AdviceInput) { in.EndMin = 125 }, timing.Hold, timing.BeforeBestSoak},
		{"patience", blanks(11, 11), 112, func(in *timing.AdviceInput) { in.PatienceMin = 120 }, timing.Hold, timing.BeforeBestSoak},
		{"a fresh line is given its time", events(blanks(11, 11), at(timing.EventLineChanged, 112), at(timing.EventCast, 130)), 133, nil, timing.Hold, timing.BeforeBestSoak},
		{"a pause is no patience", events(at(timing.EventCast, 0), at(timing.EventPause, 5), at(timing.EventCast, 110)), 113, nil, timing.Hold, timing.BeforeBestSoak},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := planned(t)
			in.Events, in.NowMin = c.events, c.now
			if c.change != nil {
				c.change(&in)
			}
			a := mustAdvise(t, in)
			if a.First.Act != c.first || a.First.Reason != c.reason {
				t.Errorf("first is %s for %s, want %s for %s; all: %+v", a.First.Act, a.First.Reason, c.first, c.reason, a)
			}
		})
	}
}

func TestAdviceSaysWhyAndHowSure(t *testing.T) {
	in := planned(t)
	for i := range 11 {
		in.Events = append(in.Events, timing.Event{AtMin: float64(11 * i), Kind: timing.EventCast})
	}
	in.NowMin = 112
	p := mustAdvise(t, in).First
	got := map[string]float64{}
	for _, f := range p.Figures {
		got[f.Name] = f.Value
	}
	if got["fished_here_min"] != 112 || got["bites_here"] != 0 || got["left_min"] != 128 || got["patience_min"] != 30 || !(got["bites_if_moving"] > got["bites_if_staying"]) {
		t.Errorf("the figures are %v", got)
	}
	if p.Chance == nil || *p.Chance < 0.5 || *p.Chance > 1 {
		t.Errorf("the chance that a fresh line is better is %v", p.Chance)
	}
}

func TestAdviceStatesWhatTheSessionTaught(t *testing.T) {
	in := planned(t)
	in.Events = events(at(timing.EventCast, 10, 20, 40), at(timing.EventBite, 15), at(timing.EventFish, 16), at(timing.EventMissed, 31), at(timing.EventLineBite, 43),
		at(timing.EventPause, 50), at(timing.EventFish, 500))
	in.NowMin = 70
	s := mustAdvise(t, in).State
	// 10 to 50 fished; the struck fish and the missed bite are two bites.
	if s.FishedMin != 40 || s.Bites != 2 || s.LineBites != 1 {
		t.Errorf("fished %g min, %d bites, %d line bites; want 40, 2 and 1", s.FishedMin, s.Bites, s.LineBites)
	}
	want, err := in.Plan.After(2, 40.0/60, timing.FalseBitesH)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "feeding", s.Feeding, want.Feeding, 1e-12)
	near(t, "rate", s.RateH, want.MeanH(), 1e-12)
	near(t, "plan", s.PlanRateH, 2, 1e-12)
	near(t, "a bite within 10 minutes", s.BiteIn10Min, want.BiteWithin(10), 1e-12)
	if s.NextBiteMin == nil || !(s.NextBiteMin[0] > 0 && s.NextBiteMin[0] < s.NextBiteMin[1] && s.NextBiteMin[1] < s.NextBiteMin[2]) {
		t.Errorf("quartiles of the next bite are %v", s.NextBiteMin)
	}
	if !(s.Present > s.Feeding && s.Present <= 1 && s.IfFeedingLow90H < s.IfFeedingH && s.IfFeedingH < s.IfFeedingHigh90H && s.RateH < s.IfFeedingH) {
		t.Errorf("state %+v", s)
	}
}

// A move leaves the line's evidence behind, but for what it says of the day.
func TestAdviceAfterAMoveStartsAfresh(t *testing.T) {
	in := planned(t)
	in.Events = events(at(timing.EventCast, 0, 20, 40), at(timing.EventLineChanged, 60))
	in.NowMin = 70
	s := mustAdvise(t, in).State
	before, err := in.Plan.After(0, 1, timing.FalseBitesH)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "the fresh line's mean", s.RateH, in.Plan.MeanH()*math.Sqrt(before.MeanH()/in.Plan.MeanH()), 1e-9)
	if s.Feeding != in.Plan.Feeding || s.FishedMin != 0 {
		t.Errorf("the fresh line feeds with %g after %g min, want the plan's %g after 0", s.Feeding, s.FishedMin, in.Plan.Feeding)
	}
}

func TestAdviceRefusesWrongInput(t *testing.T) {
	for says, change := range map[string]func(*timing.AdviceInput){
		"now_min":       func(in *timing.AdviceInput) { in.NowMin = math.NaN() },
		"end_min":       func(in *timing.AdviceInput) { in.EndMin = math.Inf(1) },
		"handling_min":  func(in *timing.AdviceInput) { in.HandlingMin = -1 },
		"PlanBelief":    func(in *timing.AdviceInput) { in.Plan = timing.Belief{} },
		"feed level":    func(in *timing.AdviceInput) { in.Level = 5 },
		"low end":       func(in *timing.AdviceInput) { in.SoakLowMin = 13 },
		"event 1 is of": func(in *timing.AdviceInput) { in.Events = at(timing.EventBite, math.NaN()) },
		"kind 99":       func(in *timing.AdviceInput) { in.Events = at(99, 3) },
	} {
		in := planned(t)
		change(&in)
		if _, err := timing.Advise(in); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("the error is %v, want it to name %s", err, says)
		}
	}
}

// drawSession draws events at whole minutes and a moment.
func drawSession(t *rapid.T, in timing.AdviceInput) timing.AdviceInput {
	n := rapid.IntRange(0, 80).Draw(t, "events")
	for range n {
		in.Events = append(in.Events, timing.Event{
			AtMin: float64(rapid.IntRange(0, 240).Draw(t, "minute")),
			Kind:  rapid.SampledFrom([]timing.EventKind{timing.EventCast, timing.EventCast, timing.EventCast, timing.EventSettled, timing.EventBite, timing.EventMissed, timing.EventFish, timing.EventLineBite, timing.EventLineBite, timing.EventPause, timing.EventLineChanged, timing.EventFeedRaised, timing.EventFeedLowered, timing.EventOtherChange}).Draw(t, "kind"),
		})
	}
	in.NowMin = float64(rapid.IntRange(0, 240).Draw(t, "now"))
	in.Level, in.CapLevel = rapid.IntRange(0, 4).Draw(t, "level"), rapid.IntRange(0, 4).Draw(t, "cap")
	in.PatienceMin = float64(rapid.IntRange(0, 90).Draw(t, "patience"))
	return in
}

func TestAdviceKeepsItsRulesInAnySession(t *testing.T) {
	base := planned(t)
	rapid.Check(t, func(t *rapid.T) {
		in := drawSession(t, base)
		a, err := timing.Advise(in)
		if err != nil {
			t.Fatal(err)
		}
		changes := 0
		for _, p := range append([]timing.Piece{a.First}, a.Others...) {
			switch p.Act {
			case timing.ChangePlace:
				changes++
				if a.State.FishedMin < in.PatienceMin {
					t.Errorf("a move after %g min, patience %g", a.State.FishedMin, in.PatienceMin)
				}
			case timing.FeedUp:
				changes++
				if in.Level >= in.CapLevel {
					t.Errorf("feed up from level %d, cap %d", in.Level, in.CapLevel)
				}
			case timing.FeedDown:
				changes++
				if in.Level == 0 {
					t.Error("feed down from the lightest")
				}
			case timing.LeaveLonger, timing.RecastSooner:
				changes++
			}
			if p.Chance != nil && !(*p.Chance >= 0 && *p.Chance <= 1) {
				t.Errorf("a chance of %g", *p.Chance)
			}
			for _, f := range p.Figures {
				if math.IsNaN(f.Value) || math.IsInf(f.Value, 0) {
					t.Errorf("figure %+v", f)
				}
			}
		}
		if changes > 1 {
			t.Errorf("%d changes at once: %+v", changes, a)
		}
		if in.Level > in.CapLevel && a.First.Reason != timing.AboveCap {
			t.Errorf("level %d above cap %d, first is %+v", in.Level, in.CapLevel, a.First)
		}
	})
}

func TestOrderOfEventsDoesNotMatter(t *testing.T) {
	base := planned(t)
	rapid.Check(t, func(t *rapid.T) {
		in := drawSession(t, base)
		want, err := timing.Advise(in)
		if err != nil {
			t.Fatal(err)
		}
		shuffled := in
		shuffled.Events = append([]timing.Event{}, in.Events...)
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		random.Shuffle(len(shuffled.Events), func(i, j int) {
			shuffled.Events[i], shuffled.Events[j] = shuffled.Events[j], shuffled.Events[i]
		})
		before := append([]timing.Event{}, shuffled.Events...)
		got, err := timing.Advise(shuffled)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("another order, another advice: %s", diff)
		}
		if diff := cmp.Diff(before, shuffled.Events); diff != "" {
			t.Errorf("the caller's events were moved: %s", diff)
		}
	})
}

// One advice on a session of 200 events; the limit is 2 ms of CPU.
func BenchmarkAdvise(b *testing.B) {
	in := planned(b)
	for i := range 40 {
		m := 6 * float64(i)
		in.Events = append(in.Events, events(at(timing.EventCast, m), at(timing.EventSettled, m+0.5), at(timing.EventLineBite, m+1, m+2), at(timing.EventMissed, m+4))...)
	}
	in.NowMin = 239
	b.ReportAllocs()
	for b.Loop() {
		if _, err := timing.Advise(in); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(in.Events)), "events")
}
