package storetest

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"osier/model"
)

func fits(t *testing.T, s Store) {
	ctx := t.Context()
	inForce := func(want model.FitRecord) {
		t.Helper()
		f, err := s.LatestFit(ctx, "", farAhead)
		wantSame(t, "the fit in force", want, got(t, f, err))
	}
	first, second := fit("fit-a"), fit("fit-b")
	second.MadeAt = noon.Add(-time.Hour) // a clock that went back changes nothing
	done(t, s.AddFit(ctx, first))
	inForce(first)
	done(t, s.AddFit(ctx, second))
	inForce(second)
	// The records went back to what they were: the old fit rules again, as it
	// was made then.
	rewritten := fit("fit-a")
	rewritten.Sessions, rewritten.Body = 99, json.RawMessage(`{"bream":2}`)
	done(t, s.AddFit(ctx, rewritten))
	inForce(first)
}

func plans(t *testing.T, s Store) {
	ctx := t.Context()
	first, other := plan("p-1"), plan("p-1")
	other.Hours, other.Fit = 8, "fit-b"
	done(t, s.AddPlan(ctx, first))
	wantError(t, s.AddPlan(ctx, other), model.Conflict, "p-1")
	p, err := s.Plan(ctx, "p-1")
	wantSame(t, "the plan", first, got(t, p, err))

	ofVP := func(id string, start, issued time.Duration) model.Plan {
		p := plan(id)
		p.Question.Angler, p.Start, p.IssuedAt = "VP", noon.Add(start), noon.Add(issued)
		return p
	}
	early, later, last, past := ofVP("p-2", time.Hour, 0), ofVP("p-3", time.Hour, time.Minute), ofVP("p-4", 2*time.Hour, 0), ofVP("p-5", -time.Hour, 0)
	strange := ofVP("p-6", time.Hour, 0)
	strange.Question.Angler = "RJ"
	for _, p := range []model.Plan{last, later, early, past, strange} {
		done(t, s.AddPlan(ctx, p))
	}
	list, err := s.PlansOf(ctx, "VP", noon, noon.Add(3*time.Hour), 10)
	wantSame(t, "an angler's plans for the hours ahead", []model.Plan{early, later, last}, got(t, list, err))
	list, err = s.PlansOf(ctx, "VP", noon, noon.Add(2*time.Hour), 10)
	wantSame(t, "those before the end", []model.Plan{early, later}, got(t, list, err))
	list, err = s.PlansOf(ctx, "VP", noon, noon.Add(3*time.Hour), 1)
	wantSame(t, "the first of them", []model.Plan{early}, got(t, list, err))
	list, err = s.PlansOf(ctx, "", noon.Add(-time.Hour), noon.Add(3*time.Hour), 10)
	wantSame(t, "the plans of nobody", 0, len(got(t, list, err)))
}

func jobRuns(t *testing.T, s Store) {
	ctx := t.Context()
	begun := run("r-3", "pull", noon.Add(2*time.Hour), false, "")
	failed := run("r-2", "pull", noon.Add(time.Hour), true, "the feed was down")
	good := run("r-1", "pull", noon, true, "")
	other := run("r-4", "fit", noon.Add(3*time.Hour), true, "")
	for _, r := range []model.JobRun{good, failed, begun, other} {
		done(t, s.PutJobRun(ctx, r))
	}
	list, err := s.JobRuns(ctx, 3)
	wantSame(t, "the newest three", []model.JobRun{other, begun, failed}, got(t, list, err))
	last, err := s.LastSuccess(ctx, "pull")
	wantSame(t, "the last success", good, got(t, last, err))

	ended := run("r-3", "pull", noon.Add(2*time.Hour), true, "")
	done(t, s.PutJobRun(ctx, ended))
	last, err = s.LastSuccess(ctx, "pull")
	wantSame(t, "the last success when the run has ended", ended, got(t, last, err))
	list, err = s.JobRuns(ctx, 10)
	if len(got(t, list, err)) != 4 {
		t.Errorf("%d runs, want 4: a run that ends is no new one", len(list))
	}
}

func answers(t *testing.T, s Store) {
	ctx := t.Context()
	_, _, _, found, err := s.AnswerTo(ctx, "key-1", "POST /v1/plans")
	if got(t, found, err) {
		t.Error("an answer to a new key was found")
	}
	done(t, s.KeepAnswer(ctx, "key-1", "POST /v1/plans", "digest-1", 201, noon, []byte(`{"a":1}`)))
	done(t, s.KeepAnswer(ctx, "key-1", "POST /v1/plans", "digest-2", 200, noon, []byte(`{"a":2}`)))
	done(t, s.KeepAnswer(ctx, "key-1", "POST /v1/sessions", "digest-3", 202, noon, []byte(`{"a":3}`)))
	for _, c := range []struct {
		operation, digest string
		status            int
		body              string
	}{
		{"POST /v1/plans", "digest-1", 201, `{"a":1}`},
		{"POST /v1/sessions", "digest-3", 202, `{"a":3}`},
	} {
		digest, status, body, found, err := s.AnswerTo(ctx, "key-1", c.operation)
		done(t, err)
		if !found || digest != c.digest || status != c.status || string(body) != c.body {
			t.Errorf("answer to %s: found %v, %s, %d, %s; want %s, %d, %s", c.operation, found, digest, status, body, c.digest, c.status, c.body)
		}
	}
}

// ownFits are apart from the public one and from each other.
func ownFits(t *testing.T, s Store) {
	public, own := fit("fit-public"), fit("fit-rj")
	own.Angler, own.Public = "RJ", public.ID
	done(t, s.AddFit(t.Context(), public))
	done(t, s.AddFit(t.Context(), own))
	for angler, want := range map[string]model.FitRecord{"": public, "RJ": own} {
		f, err := s.LatestFit(t.Context(), angler, farAhead)
		wantSame(t, "the fit of "+angler, want, got(t, f, err))
	}
	if f, err := s.LatestFit(t.Context(), "oona", farAhead); model.CodeOf(err) != model.NotFound {
		t.Errorf("an angler without a fit has %s, %v", f.ID, err)
	}
}

// publicRows stay as a public fit read them until another reads them otherwise,
// or no more, or the session is deleted.
func publicRows(t *testing.T, s Store) {
	ctx := t.Context()
	var rows []model.JoinedSession
	for i := range 4 {
		one := session(i)
		done(t, s.AddSession(ctx, one))
		rows = append(rows, joinedOf(one))
	}
	slices.SortFunc(rows, func(a, b model.JoinedSession) int { return strings.Compare(a.Session, b.Session) })
	done(t, s.PutJoined(ctx, rows))
	other := func(want ...model.JoinedSession) {
		t.Helper()
		list, err := s.PublicRows(ctx)
		wantSame(t, "rows read otherwise", want, got(t, list, err))
	}
	other()
	done(t, s.AddPublicFit(ctx, fit("fit-a"), rows[:3], nil))
	f, err := s.LatestFit(ctx, "", farAhead)
	wantSame(t, "the fit in force", fit("fit-a"), got(t, f, err))
	other()

	corrected := slices.Clone(rows)
	for i := range corrected {
		corrected[i].RodHours = 5
	}
	done(t, s.PutJoined(ctx, corrected))
	other(rows[:3]...)
	done(t, s.AddPublicFit(ctx, fit("fit-b"), corrected[1:2], []string{rows[2].Session}))
	other(rows[0])

	// A record that is not joined again yet is still what it was.
	changed := sessionNamed(t, s, rows[1].Session)
	changed.Notes = "corrected"
	done(t, s.ReplaceSession(ctx, changed, 1))
	other(rows[0], corrected[1])
	for _, row := range rows[:2] {
		done(t, s.DeleteSession(ctx, row.Session))
	}
	other()
	done(t, s.AddPublicFit(ctx, fit("fit-c"), rows[:1], nil)) // deleted while it was made
	other()
}

func sessionNamed(t *testing.T, s Store, id string) model.Session {
	t.Helper()
	one, _, err := s.Session(t.Context(), id)
	return got(t, one, err)
}

// farAhead is after everything that a scenario does.
var farAhead = time.Date(2100, 1, 1, 0, 0, 0, 0, time.UTC)

// fitsAsOf is what a clock set back must find: no fit made after it.
func fitsAsOf(t *testing.T, s Store) {
	early, late := fit("fit-early"), fit("fit-late")
	early.MadeAt, late.MadeAt = noon, noon.Add(48*time.Hour)
	for _, f := range []model.FitRecord{early, late} {
		if err := s.AddFit(t.Context(), f); err != nil {
			t.Fatal(err)
		}
	}
	for at, want := range map[time.Time]string{noon: "fit-early", noon.Add(47 * time.Hour): "fit-early", noon.Add(48 * time.Hour): "fit-late"} {
		if f, err := s.LatestFit(t.Context(), "", at); err != nil || f.ID != want {
			t.Errorf("at %v: %s, %v; want %s", at, f.ID, err, want)
		}
	}
	if f, err := s.LatestFit(t.Context(), "", noon.Add(-time.Second)); model.CodeOf(err) != model.NotFound {
		t.Errorf("before any fit: %s, %v", f.ID, err)
	}
}
