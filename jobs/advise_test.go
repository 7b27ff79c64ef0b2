package jobs_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
)

func (b *bench) advisor() *jobs.Advisor {
	return &jobs.Advisor{Store: b.db, Planner: &jobs.Planner{Store: b.db, Now: b.clock}, Live: b.live(), Now: b.clock, Moves: moves}
}

// moves are shared by the tests, since they take long to make.
var moves = &jobs.MoveGrids{}

func (b *bench) advice(t *testing.T) model.BankAdvice {
	t.Helper()
	advice, err := b.advisor().Advice(t.Context(), "s-live")
	done(t, err)
	return advice
}

// logged is a session of one cast a quarter of an hour, without a bite but in
// the last.
func logged(daysAgo int, angler string) model.Session {
	s := entry(daysAgo, angler, 1)
	s.Style, s.Bites = model.FullLog, model.Maybe[int]{}
	for at := s.Start; !at.Add(15 * time.Minute).After(s.End); at = at.Add(15 * time.Minute) {
		s.Casts = append(s.Casts, model.Cast{In: at, Out: at.Add(13 * time.Minute), Outcome: model.NoBite})
	}
	last := &s.Casts[len(s.Casts)-1]
	last.Outcome, last.BiteMin = model.MissedBite, model.Known(4.5)
	return s
}

func TestAdviceGoesByThePlanThatIsFollowed(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	planner := jobs.Planner{Store: b.db, Now: b.clock}
	issued, err := planner.Plan(t.Context(), model.Question{Water: "reedmere", Start: noon.Add(-50 * time.Minute), Hours: 4, Group: model.Bream, Angler: "VP"})
	done(t, err)
	other, err := planner.Plan(t.Context(), model.Question{Water: "reedmere", Start: noon.Add(-50 * time.Minute), Hours: 4, Group: model.Silver, Angler: "VP"})
	done(t, err)
	for _, c := range []struct{ name, names, want string }{
		{"the plan named", issued.ID, issued.ID},
		{"a plan of another group", other.ID, ""},
		{"a plan nobody issued", "p-0000000000000000", ""},
		{"none", "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			b.forget(t)
			start := fmt.Sprintf(`,"start":{"water":"reedmere","angler":"VP","group":"bream","plan_id":%q}`, c.names)
			b.take(t, said("st", "start", 41, start), said("c1", "cast", 0, ""))
			a := b.advice(t)
			if a.Plan != c.want {
				t.Errorf("advice by plan %q, want %q", a.Plan, c.want)
			}
			// Nothing has been learnt in no time: the rate is the plan's.
			if a.State == nil || math.Abs(a.State.BitesPerH/issued.Activity.BitesPerH.Mean-1) > 0.05 {
				t.Errorf("state %+v, want about the %v bites an hour of the plan", a.State, issued.Activity.BitesPerH.Mean)
			}
			if len(a.Advice) == 0 || a.Soak.Text == "" || a.Deferral != model.Deferral {
				t.Errorf("%+v", a)
			}
		})
	}
}

// forget takes the live session away.
func (b *bench) forget(t *testing.T) {
	t.Helper()
	if err := b.recorder().Delete(t.Context(), "s-live"); err != nil && model.CodeOf(err) != model.NotFound {
		t.Fatal(err)
	}
}

func TestTheSoakRestsOnTheAnglersOwnCasts(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	b.store(t, logged(3, "VP"), logged(4, "moss"), logged(200, "VP"))
	b.take(t, outing()[:5]...)
	a := b.advice(t)
	own := len(logged(3, "VP").Casts)
	if want := own + 2; a.Soak.Casts != want { // of this season, and the two of today
		t.Errorf("%d casts stand behind the soak, want the %d of their own and today's 2", a.Soak.Casts, own)
	}
}

func TestWhatCameUpSinceThePlanStopsTheSession(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	b.take(t, outing()[:5]...)
	if a := b.advice(t); len(a.Advice) == 0 || a.Advice[0].Act == "stop" {
		t.Fatalf("advice %+v before anything came up", a.Advice)
	}
	done(t, b.db.PutReport(t.Context(), model.Report{ID: "r-1", Water: "reedmere", Kind: model.HeardThunder, At: b.now.Add(-time.Minute)}))
	a := b.advice(t)
	if len(a.Advice) != 1 || a.Advice[0].Act != "stop" || len(a.Cautions) == 0 || a.Cautions[0].ID != "lightning" || a.State != nil {
		t.Errorf("with thunder heard: %+v", a)
	}
}

func TestThereIsNoAdviceBeforeTheFirstCastNorAfterTheEnd(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	_, err := b.advisor().Advice(t.Context(), "s-live")
	wantCode(t, err, model.NotFound)
	b.take(t, outing()...)
	if a := b.advice(t); !a.Ended || len(a.Advice) != 0 {
		t.Errorf("after the end: %+v", a)
	}
}
