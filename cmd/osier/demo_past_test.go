package main

import (
	"bytes"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
)

// The invented year is lived through: each session followed a plan of the evening
// before, nearly all are scored, enough of them may be told of for figures, and
// the bad ones are among them.
func TestTheDemosPlansAreScored(t *testing.T) {
	now := time.Date(2026, 11, 14, 18, 0, 0, 0, time.UTC)
	a := newApp(t.Context(), cli{Data: t.TempDir(), Now: now}, io.Discard, io.Discard)
	db, err := a.open()
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	world, report, err := a.takeInDemo(t.Context(), db)
	if err != nil {
		t.Fatal(err)
	}
	if err := a.liveThroughDemo(t.Context(), db, world); err != nil {
		t.Fatal(err)
	}
	sessions, err := db.Sessions(t.Context(), "", "", time.Unix(0, 0), now)
	if err != nil {
		t.Fatal(err)
	}
	if len(sessions) != report.Stored {
		t.Errorf("%d sessions, %d were stored", len(sessions), report.Stored)
	}
	for _, s := range sessions {
		p, err := db.Plan(t.Context(), s.PlanID)
		if err != nil {
			t.Fatalf("session %s: %v", s.ID, err)
		}
		if lead := s.Start.Sub(p.IssuedAt); lead < 5*time.Hour || lead > 30*time.Hour || p.Fit != jobs.FitZero || !p.Demo {
			t.Errorf("session %s of %s follows plan %s of %s, by fit %s", s.ID, s.Start, p.ID, p.IssuedAt, p.Fit)
		}
		for _, h := range p.Conditions {
			if h.Weather != model.Forecasted {
				t.Errorf("plan %s of %s knows the weather of %s as %s", p.ID, p.IssuedAt, h.At, h.Weather)
			}
		}
	}
	recorder := jobs.TrackRecorder{Store: db, Now: a.now}
	public, err := recorder.TrackRecord(t.Context(), "", "")
	if err != nil {
		t.Fatal(err)
	}
	owners, err := recorder.OwnersRecord(t.Context(), "", "")
	if err != nil {
		t.Fatal(err)
	}
	if public.Figures == nil || len(public.Months) < 4 || public.Sessions >= owners.Sessions || owners.Sessions < 150 || !public.Demo {
		t.Errorf("%d of %d scored sessions are told, in %d months, figures %v", public.Sessions, owners.Sessions, len(public.Months), public.Figures)
	}
	if len(public.Findings) == 0 {
		t.Error("plans of the prior alone are shown without a fault")
	}
	var out bytes.Buffer
	demoTrackText(&out, public)
	for _, says := range []string{"/track-record", "sessions may be told of", "inside the 90 % interval", "Not good: "} {
		if !strings.Contains(out.String(), says) {
			t.Errorf("the first screen lacks %q:\n%s", says, &out)
		}
	}
	if _, err := a.publishDemo(t.Context(), db, world); err != nil {
		t.Fatal(err)
	}
	frost, closed, err := a.planInSpells(t.Context(), db, world)
	if err != nil {
		t.Fatal(err)
	}
	if frost.Start.Month() != time.January || !frost.IssuedAt.Before(frost.Start) || !cautioned(frost, model.Care, "Ice is likely") {
		t.Errorf("the plan of %s, issued %s, has %+v", frost.Start, frost.IssuedAt, frost.Cautions)
	}
	if closed.Start.Month() != time.July || closed.Activity != nil {
		t.Errorf("the plan of %s expects %+v", closed.Start, closed.Activity)
	}
	out.Reset()
	demoPagesText(&out, demoPages(demoClubID, frost, frost, frost, closed))
	for _, says := range []string{"/clubs/hobbin-row ", "/findings ", "/track-record ", "/plans/" + frost.ID, "/plans/" + closed.ID, "its front page links them all"} {
		if !strings.Contains(out.String(), says) {
			t.Errorf("the pages lack %q:\n%s", says, &out)
		}
	}
}

func cautioned(p model.Plan, level model.CautionLevel, says string) bool {
	return slices.ContainsFunc(p.Cautions, func(c model.Caution) bool { return c.Level == level && strings.Contains(c.Text, says) })
}
