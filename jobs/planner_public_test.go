package jobs_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/model"
)

// asked is a plan made anew, as everybody gets it: by a server that holds what it
// reads, which must be that of the store to the byte.
func (b *bench) asked(t *testing.T, q model.Question) string {
	t.Helper()
	var said []string
	for _, s := range []jobs.PlanStore{newApart(b.db), jobs.KeepReads(newApart(b.db))} {
		p, err := (&jobs.Planner{Store: s, Now: b.clock}).Plan(t.Context(), q)
		done(t, err)
		said = append(said, written(t, p, nil))
	}
	if said[0] != said[1] {
		t.Errorf("what is held makes another plan:\n got %s\nwant %s", said[1], said[0])
	}
	return said[0]
}

// corrections are those that show in a plan, by what is usual or by how much
// stands behind it.
var corrections = map[string]func(s *model.Session){
	"a reading of the water": func(s *model.Session) {
		s.WaterTemp = model.Known(model.WaterReading{C: 15, Instrument: true})
	},
	"the hours":       func(s *model.Session) { s.End = s.End.Add(5 * time.Hour) },
	"what was fished": func(s *model.Session) { s.Group, s.Fish = model.Carp, map[model.Group]int{model.Carp: 1} },
	"the bites":       func(s *model.Session) { s.Bites = model.Known(40) },
}

// correct has an angler correct a session of theirs, and joins it again.
func (b *bench) correct(t *testing.T, s model.Session, how func(*model.Session)) {
	t.Helper()
	stored, version, err := b.db.Session(t.Context(), s.ID)
	done(t, err)
	how(&stored)
	done(t, b.db.ReplaceSession(t.Context(), stored, version))
}

// Statistics pack 6, design 5 rule 8: nothing in a plan moves by what one other
// angler did, before the public fit has read it with what others did.
func TestAnothersCorrectionMovesNoPlan(t *testing.T) {
	plans := func(t *testing.T, b *bench) map[string]string {
		t.Helper()
		said := map[string]string{}
		for _, angler := range []string{"VP", "A1", ""} {
			q := tomorrow()
			q.Angler = angler
			said[angler] = b.asked(t, q)
		}
		return said
	}
	next := func(t *testing.T, b *bench, public []model.Session) map[string]string {
		t.Helper()
		done(t, b.db.DeleteSession(t.Context(), public[3].ID))
		b.refit(t)
		return plans(t, b)
	}
	without, public := twoKinds(t)
	without.refit(t)
	want := plans(t, without)
	wantNext := next(t, without, public)
	for what, how := range corrections {
		t.Run(what, func(t *testing.T) {
			b, public := twoKinds(t)
			b.refit(t)
			same := func(when string) {
				t.Helper()
				if diff := cmp.Diff(want, plans(t, b)); diff != "" {
					t.Errorf("%s: a plan of another tells of a correction (-without +with):\n%s", when, diff)
				}
			}
			b.correct(t, public[0], how)
			same("not joined again yet")
			b.join(t)
			same("joined again")
			if made := b.fit(t).Made; made != 0 {
				t.Errorf("%d fits made for a correction", made)
			}
			same("fitted")
			if cmp.Equal(wantNext, next(t, b, public)) {
				t.Error("the correction shows in no plan after the next public fit")
			}
		})
	}
}

// Who corrects a session of theirs sees it in their own plans at once.
func TestOnesOwnCorrectionMovesOnesPlans(t *testing.T) {
	b, public := twoKinds(t)
	b.refit(t)
	q := tomorrow()
	q.Angler = public[0].Angler
	before := b.asked(t, q)
	b.correct(t, public[0], corrections["a reading of the water"])
	b.join(t)
	if b.asked(t, q) == before {
		t.Error("a correction does not show in the plan of who made it")
	}
}

// A deleted session is in no plan from then on. Where too little is left of what
// was published with it, the rest goes at once as well, as it does from the next
// public fit.
func TestWhatIsDeletedGoesFromPlansWithItsBatch(t *testing.T) {
	b, public := twoKinds(t)
	b.refit(t)
	wantOthers := func(when string, n int) {
		t.Helper()
		if got := b.plan(t, tomorrow()).Evidence.Sessions.Others; got != model.CountBand(n) {
			t.Errorf("%s: %s sessions of others, want %s", when, got, model.CountBand(n))
		}
	}
	wantOthers("at first", 12)
	b.correct(t, public[5], corrections["the bites"]) // and waits to be joined again
	wantOthers("one waits", 12)
	done(t, b.db.DeleteSession(t.Context(), public[0].ID))
	done(t, b.db.DeleteSession(t.Context(), public[3].ID))
	wantOthers("ten are left", 10)
	done(t, b.db.DeleteSession(t.Context(), public[6].ID))
	wantOthers("nine are left", 0)
	b.refit(t)
	wantOthers("with the next public fit", 0)
}

// A plan for a time past rests on what the public fit of that time read. Where a
// record was corrected since it rests on no other people's at all, once a later
// public fit has read the correction: it would be told by itself.
func TestAPlanForATimePastReadsWhatTheFitOfThenRead(t *testing.T) {
	past := model.Question{Water: "reedmere", Start: noon.Add(90 * time.Minute), Hours: 4, Group: model.Bream, Angler: "XX"}
	var said [2][3]model.Plan
	for corrected := range 2 {
		b, public := twoKinds(t)
		first := b.refit(t)
		ask := func(when int) {
			b.asked(t, past)
			p := b.plan(t, past)
			if p.Fit != first.Public.ID {
				t.Errorf("the plan rests on %s, want the public fit of then, %s", p.Fit, first.Public.ID)
			}
			p.ID, p.IssuedAt = "", time.Time{}
			said[corrected][when] = p
		}
		b.now = noon.Add(5 * time.Hour)
		ask(0)
		if corrected == 1 {
			b.correct(t, public[0], corrections["a reading of the water"])
			b.refit(t)
		}
		ask(1)
		b.now = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)
		b.store(t, club(-8, 2, 2, 2, 2, 2)...)
		if next := b.refit(t); next.Public.ID == first.Public.ID {
			t.Fatal("no public fit came")
		}
		ask(2)
	}
	for when, p := range said[0] {
		if got := p.Evidence.Sessions.Others; got != model.CountBand(12) {
			t.Errorf("with nothing corrected, %d: %s sessions of others, want %s", when, got, model.CountBand(12))
		}
	}
	if got, want := written(t, said[1][1], nil), written(t, said[0][1], nil); got != want {
		t.Errorf("a correction shows in a plan for a time past:\n got %s\nwant %s", got, want)
	}
	if got := said[1][2].Evidence.Sessions.Others; got != model.CountBand(0) {
		t.Errorf("of the correction that a later fit read, a plan for a time past tells by %s sessions of others, want none", got)
	}
}
