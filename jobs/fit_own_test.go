package jobs_test

import (
	"encoding/json"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/model"
)

// unnamed asks as nobody.
func unnamed(q model.Question) model.Question {
	q.Angler = ""
	return q
}

func TestAnOwnFitReadsThePublicSessionsAndOnesOwn(t *testing.T) {
	b := newBench(t)
	shared := club(10, 2, 2, 2, 2, 2)
	b.store(t, shared...)
	b.refit(t)
	b.now = noon.Add(time.Hour)
	b.store(t, entry(1, "VP", 4), entry(2, "VP", 0), entry(3, "VP", 9), entry(2, "MK", 30), entry(5, "A0", 7))
	fits := b.refit(t)
	wantAdmitted(t, "public", fits, shared)
	for _, c := range []struct {
		angler            string
		sessions, anglers int
	}{{"VP", 13, 6}, {"MK", 11, 6}, {"A0", 11, 5}} {
		own := ownFit(t, fits, c.angler)
		if own.Sessions != c.sessions || own.Anglers != c.anglers || own.Public != fits.Public.ID || len(own.Admitted) != 0 {
			t.Errorf("%s: %d sessions of %d anglers beside %s, want %d of %d beside %s", c.angler, own.Sessions, own.Anglers, own.Public, c.sessions, c.anglers, fits.Public.ID)
		}
	}
	if len(fits.Own) != 3 {
		t.Errorf("%d own fits, want three: the others' sessions are all public", len(fits.Own))
	}
}

func TestWhichFitAPlanRestsOn(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	b.store(t, club(10, 2, 2, 2, 2, 2)...)
	b.refit(t)
	b.store(t, entry(1, "VP", 4))
	fits := b.refit(t)
	own := ownFit(t, fits, "VP")
	stranger := tomorrow()
	stranger.Angler = "XX"
	for _, c := range []struct {
		name string
		ask  model.Question
		want string
	}{
		{"nobody named", unnamed(tomorrow()), fits.Public.ID},
		{"an angler without sessions of their own", stranger, fits.Public.ID},
		{"one with some", tomorrow(), own.ID},
	} {
		if got := b.plan(t, c.ask).Fit; got != c.want {
			t.Errorf("%s: the plan rests on %s, want %s", c.name, got, c.want)
		}
	}

	// Another public fit comes: the own one is out of force until it is made
	// anew beside that.
	next := fits.Public
	next.ID, next.MadeAt = "fit-next", b.now
	done(t, b.db.AddFit(t.Context(), next))
	if got := b.plan(t, tomorrow()).Fit; got != "fit-next" {
		t.Errorf("the plan rests on %s, want the public fit: the own one adds to another", got)
	}
	again := ownFit(t, b.fit(t), "VP")
	if again.Public != "fit-next" || again.ID == own.ID {
		t.Errorf("own fit %s beside %s, want another beside fit-next", again.ID, again.Public)
	}
	if got := b.plan(t, tomorrow()).Fit; got != again.ID {
		t.Errorf("the plan rests on %s, want %s", got, again.ID)
	}
}

// Design, section 5 rule 8: two worlds that differ by the private sessions of
// one angler give everybody else the same fits and plans, to the last letter.
// Those sessions are on the pegs of the others, days before theirs.
func TestAnothersPrivateSessionsShowNowhere(t *testing.T) {
	type world struct {
		public, own model.FitRecord
		plans       []string
	}
	live := func(private ...model.Session) world {
		b := newBench(t)
		b.putWeather(t)
		b.store(t, club(10, 3, 2, 2, 2, 2)...)
		b.refit(t)
		b.now = noon.Add(time.Hour)
		b.store(t, entry(1, "VP", 4), entry(3, "VP", 9), entry(4, "VP", 2))
		b.store(t, append(private, entry(7, "VP", 1))...)
		fits := b.refit(t)
		w := world{public: fits.Public, own: ownFit(t, fits, "VP")}
		named, onPeg := tomorrow(), tomorrow()
		onPeg.Peg = "4"
		for _, q := range []model.Question{named, onPeg, unnamed(named), unnamed(onPeg)} {
			body, err := json.Marshal(b.plan(t, q))
			done(t, err)
			w.plans = append(w.plans, string(body))
		}
		return w
	}
	without := live()
	for name, private := range map[string][]model.Session{
		"the day before":  {entry(2, "MK", 40)},
		"many of them":    {entry(1, "MK", 40), entry(2, "MK", 0), entry(5, "MK", 31), entry(8, "MK", 25), entry(9, "MK", 60), entry(14, "MK", 17)},
		"a club member's": {entry(5, "A0", 44)},
	} {
		with := live(private...)
		if diff := cmp.Diff(without.public, with.public); diff != "" {
			t.Errorf("%s: the public fit differs (-without +with):\n%s", name, diff)
		}
		if diff := cmp.Diff(without.own, with.own); diff != "" {
			t.Errorf("%s: the fit of VP differs (-without +with):\n%s", name, diff)
		}
		if diff := cmp.Diff(without.plans, with.plans); diff != "" {
			t.Errorf("%s: the plans differ (-without +with):\n%s", name, diff)
		}
	}
	if without.public.ID == jobs.FitZero || without.own.Sessions != 15 {
		t.Errorf("public fit %s, own of %d sessions; the test wants both", without.public.ID, without.own.Sessions)
	}
}

func TestEvidenceTellsOwnSessionsExactlyAndOthersInBands(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	first := b.plan(t, tomorrow())
	if e := first.Evidence; e.Basis != "prior" || e.Sessions != (model.EvidenceCount{Others: "under 5"}) {
		t.Errorf("evidence %+v, want none", e)
	}
	b.store(t, club(1, 2, 3, 2, 2, 2)...)
	b.refit(t)
	b.now = noon.Add(time.Hour)
	b.store(t, entry(1, "VP", 4), entry(2, "VP", 0), entry(3, "VP", 9), entry(1, "MK", 4))
	b.refit(t)
	for _, c := range []struct {
		name    string
		ask     model.Question
		own     int
		others  string
		anglers string
	}{
		{"named", tomorrow(), 3, "10-19", "5-9"},
		{"a stranger", model.Question{Water: "reedmere", Start: tomorrow().Start, Hours: 4, Group: model.Bream, Angler: "XX"}, 0, "10-19", "5-9"},
		{"one of the club", model.Question{Water: "reedmere", Start: tomorrow().Start, Hours: 4, Group: model.Bream, Angler: "A1"}, 3, "5-9", "under 5"},
		{"nobody named", unnamed(tomorrow()), 0, "10-19", "5-9"},
	} {
		e := b.plan(t, c.ask).Evidence
		if e.Sessions.Own != c.own || e.Sessions.Others != c.others || e.Anglers != c.anglers || e.Basis != "both" {
			t.Errorf("%s: evidence %+v, want %d own, %s of others, %s anglers", c.name, e, c.own, c.others, c.anglers)
		}
	}
	carp := tomorrow()
	carp.Group = model.Carp
	if e := b.plan(t, carp).Evidence; e.Basis != "prior" || e.Sessions.Own != 0 {
		t.Errorf("evidence for carp %+v, want none", e)
	}
}

// What somebody takes back must not speak on in their own plans.
func TestWithoutTheirDeletedSessionsAnOwnFitIsMadeAnew(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	b.store(t, club(10, 2, 2, 2, 2, 2)...)
	public := b.refit(t).Public
	b.now = noon.Add(time.Hour)
	member, stranger := entry(5, "A0", 40), entry(2, "VP", 40)
	b.store(t, member, stranger)
	b.refit(t)
	asking := func(angler string) model.Plan {
		q := tomorrow()
		q.Angler = angler
		return b.plan(t, q)
	}
	if a, v := asking("A0"), asking("VP"); a.Fit == public.ID || v.Fit == public.ID {
		t.Fatalf("the plans of A0 and VP rest on %s and %s, want their own fits", a.Fit, v.Fit)
	}
	for _, s := range []model.Session{member, stranger} {
		done(t, b.db.DeleteSession(t.Context(), s.ID))
	}
	if fits := b.refit(t); len(fits.Own) != 0 || fits.Public.ID != public.ID {
		t.Errorf("%d own fits beside %s, want none beside %s", len(fits.Own), fits.Public.ID, public.ID)
	}
	for _, angler := range []string{"A0", "VP"} {
		record, err := b.db.LatestFit(t.Context(), angler, b.now)
		done(t, err)
		p := asking(angler)
		if p.Fit != public.ID && (p.Fit != record.ID || record.Data != public.Data) {
			t.Errorf("the plan of %s rests on %s, which reads %d sessions; want the public ones alone", angler, p.Fit, record.Sessions)
		}
	}
}

// Who fished the peg lately, and how long, is nobody else's affair.
func TestAPlanTellsNobodyHowMuchOthersFishedThePeg(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	b.store(t, club(0, 2, 2, 2, 2, 2)...)
	b.refit(t)
	for angler, want := range map[string]bool{"": false, "VP": false, "A0": true} {
		q := tomorrow()
		q.Angler, q.Peg = angler, "4"
		p := b.plan(t, q)
		tells := slices.ContainsFunc(p.Reasons, func(r model.Reason) bool { return r.Factor == "peg_effort_7d_rod_h" && r.Value.Value > 0 })
		if tells != want {
			t.Errorf("the plan for %q tells of fishing on the peg: %v, want %v (%+v)", angler, tells, want, p.Reasons)
		}
	}
}

// A plan for a time past shows what would have been said then.
func TestAPlanForThePastReadsNoFitMadeSince(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	b.store(t, club(0, 2, 2, 2, 2, 2)...)
	b.store(t, entry(1, "VP", 4), entry(2, "VP", 5), entry(3, "VP", 6))
	fits := b.refit(t)
	past, begun := tomorrow(), tomorrow()
	past.Start, begun.Start = noon.Add(-30*time.Hour), noon.Add(-30*time.Minute)
	if p := b.plan(t, past); p.Fit != jobs.FitZero || p.Evidence.Basis != "prior" {
		t.Errorf("a plan for yesterday rests on %s (%s), want the prior: the fit was made since", p.Fit, p.Evidence.Basis)
	}
	if p := b.plan(t, begun); p.Fit != fits.Public.ID {
		t.Errorf("a plan for half an hour ago rests on %s, want the fit in force", p.Fit)
	}
}
