package storetest

import (
	"context"
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"osier/model"
)

// credentials are the part of a store that keeps what lets people in.
type credentials interface {
	AddToken(ctx context.Context, t model.Token, digest string) error
	TokenByDigest(ctx context.Context, digest string) (model.Token, error)
	AddSignIn(ctx context.Context, digest string, in model.SignIn) error
	PutMember(ctx context.Context, m model.Member) error
	Member(ctx context.Context, id string) (model.Member, error)
	ClaimSession(ctx context.Context, session, angler string) (owner string, err error)
}

func credentialsOf(t *testing.T, s Store) credentials {
	t.Helper()
	c, ok := s.(credentials)
	if !ok {
		t.Fatal("the store keeps no credentials")
	}
	return c
}

// person keeps one of everything that an angler can have, under identifiers of
// the angler's own, and a file of records that the angler shares with RJ.
func person(t *testing.T, s Store, angler string, day int) (own, shared model.Session) {
	t.Helper()
	ctx := t.Context()
	own, shared = session(day), session(day+1)
	for _, one := range []*model.Session{&own, &shared} {
		one.Angler = angler
		one.ID = fmt.Sprintf("s-%s-%d", angler, one.Bites.Value)
	}
	done(t, s.AddImport(ctx, []model.Session{own, shared}, model.Import{ID: "i-" + angler, File: "records.csv", At: noon, Rows: []model.RowReport{
		{Row: 2, Session: own.ID, Status: model.RowStored},
		{Row: 3, Session: "s-of-RJ", Status: model.RowRefused, Problems: []string{"no water is named"}},
		{Row: 4, Status: model.RowRefused, Problems: []string{angler + " fished nowhere"}},
	}}))
	done(t, s.PutJoined(ctx, []model.JoinedSession{joinedOf(own)}))
	done(t, s.AddPublicFit(ctx, fit("fit-of-all"), []model.JoinedSession{joinedOf(own)}, nil))
	done(t, s.PutScores(ctx, []model.Score{scoreOf(own, "p-"+angler)}))
	_, err := s.AddEvents(ctx, own.ID, []model.LoggedEvent{{Event: model.Event{ID: "e-1", Kind: model.EventEnd, At: noon}, Received: noon}})
	done(t, err)
	let := credentialsOf(t, s)
	_, err = let.ClaimSession(ctx, "claimed-by-"+angler, angler)
	done(t, err)
	issued := plan("p-" + angler)
	issued.Question.Angler = angler
	done(t, s.AddPlan(ctx, issued))
	done(t, s.PutKit(ctx, kit(angler)))
	done(t, s.AddMeterReading(ctx, model.MeterReading{ID: "m-" + angler, Water: "reedmere", At: noon, WaterC: model.Known[model.Celsius](6), By: angler}))
	seen := report("r-"+angler, noon)
	seen.By = angler
	done(t, s.PutReport(ctx, seen))
	done(t, let.AddToken(ctx, model.Token{ID: "t-" + angler, Label: "phone of " + angler, Role: model.AnglerRole, Angler: angler, MadeAt: noon}, "d-of-"+angler))
	done(t, let.AddSignIn(ctx, "c-"+angler, model.SignIn{Token: "t-" + angler, MadeAt: noon, ExpiresAt: noon.Add(time.Hour)}))
	done(t, let.PutMember(ctx, model.Member{ID: "u-" + fmt.Sprint(day), Issuer: "https://login.example", Subject: angler, Role: model.AnglerRole, Angler: angler, AddedAt: noon}))
	done(t, s.KeepAnswer(ctx, "k-"+fmt.Sprint(day), "POST /v1/sessions", "d", 201, noon, []byte(`{"angler":"`+angler+`"}`)))
	done(t, s.PutJobRun(ctx, run("j-"+fmt.Sprint(day), "fit", noon, true, "the fit of "+angler+": no")))
	mine := fit("fit-" + fmt.Sprint(day))
	mine.Angler, mine.Body = angler, json.RawMessage(`{"bream":{"levels":["RJ","`+angler+`"]}}`)
	done(t, s.AddFit(ctx, mine))
	return own, shared
}

func anglerRecords(t *testing.T, s Store) {
	own, shared := person(t, s, "wren7", 1)
	person(t, s, "heron", 5)
	list, err := s.AnglerRecords(t.Context(), "wren7")
	r := got(t, list, err)
	wantSame(t, "sessions", []model.Session{own, shared}, r.Sessions)
	for name, n := range map[string]int{
		"events": len(r.Events), "plans": len(r.Plans), "readings": len(r.Readings), "reports": len(r.Reports), "imports": len(r.Imports),
		"scores": len(r.Scores), "tokens": len(r.Tokens), "members": len(r.Members), "fits": len(r.Fits),
	} {
		if n != 1 {
			t.Errorf("%d %s, want the angler's one", n, name)
		}
	}
	if r.Empty() || r.Kit == nil || r.Kit.Angler != "wren7" || len(r.Imports[0].Rows) != 2 || r.Fits[0].Body != nil || r.Plans[0].ID != "p-wren7" || r.Events[0].Session != own.ID {
		t.Errorf("records %+v", r)
	}
	nobody, err := s.AnglerRecords(t.Context(), "nobody")
	if !got(t, nobody, err).Empty() {
		t.Errorf("records of nobody: %+v", nobody)
	}
}

func forgotten(t *testing.T, s Store) {
	ctx := t.Context()
	own, _ := person(t, s, "wren7", 1)
	person(t, s, "heron", 5)
	// Named in a key alone, and in an operation alone; and what tells of another.
	done(t, s.KeepAnswer(ctx, "t-1/outbox/wren7", "POST /v1/waters/reedmere/readings", "d", 201, noon, []byte(`{"water":"reedmere"}`)))
	done(t, s.KeepAnswer(ctx, "t-wren7/1", "POST /v1/choices", "d", 200, noon, []byte(`{"water":"reedmere"}`))) // by their credential
	done(t, s.KeepAnswer(ctx, "t-1/2", "DELETE /v1/sessions/"+own.ID, "d", 204, noon, nil))
	done(t, s.KeepAnswer(ctx, "t-1/outbox/wren77", "POST /v1/waters/reedmere/readings", "d", 201, noon, []byte(`{"water":"reedmere"}`)))
	behind := model.KeptOutlookScore{
		OutlookScore: model.OutlookScore{Club: "quill-club", Water: "reedmere", Date: "2026-02", Sessions: "10-19", Expected: model.Known(2.5), ScoredAt: noon},
		Behind:       []string{"s-of-RJ", own.ID},
	}
	done(t, s.PutOutlookScores(ctx, []model.KeptOutlookScore{behind}))
	_, err := s.ForgetFits(ctx, "wren7", nil)
	done(t, err)
	before := revision(t, s)
	erasure, err := s.ForgetAngler(ctx, "wren7", noon.Add(time.Hour))
	e := got(t, erasure, err)
	wantSame(t, "deleted", map[string]int{
		"sessions": 2, "joined": 1, "public_rows": 1, "scores": 1, "events": 1, "session_claims": 1, "kits": 1, "plans": 1, "meter_readings": 1, "answers": 4, "sign_ins": 1,
	}, e.Deleted)
	wantSame(t, "without the name", map[string]int{"imports": 1, "reports": 1, "tokens": 1, "members": 1, "job_runs": 1}, e.Nameless)
	left, err := s.Mentions(ctx, "wren7")
	wantSame(t, "left", map[string]int{}, got(t, left, err))
	if after := revision(t, s); after <= before {
		t.Errorf("the revision stays at %d", after)
	}
	if _, _, _, found, err := s.AnswerTo(ctx, "t-1/outbox/wren77", "POST /v1/waters/reedmere/readings"); err != nil || !found {
		t.Errorf("an answer to somebody else is found: %v, %v", found, err)
	}
	scores, _, err := s.OutlookScores(ctx, "quill-club", "", 9)
	wantSame(t, "figures that a forgotten session stood behind", []model.KeptOutlookScore{behind.Withdrawn()}, got(t, scores, err))
	_, _, err = s.Session(ctx, own.ID)
	wantError(t, err, model.NotFound, own.ID)
	if token, err := credentialsOf(t, s).TokenByDigest(ctx, "d-of-wren7"); err != nil || !token.RevokedAt.Known || token.Angler != "" || token.Label != "" {
		t.Errorf("token %+v, %v", token, err)
	}
	_, err = credentialsOf(t, s).Member(ctx, "u-1")
	wantError(t, err, model.NotFound)

	// The other has what they had.
	others, err := s.AnglerRecords(ctx, "heron")
	r := got(t, others, err)
	if len(r.Sessions) != 2 || len(r.Events) != 1 || len(r.Plans) != 1 || r.Kit == nil || len(r.Scores) != 1 || len(r.Readings) != 1 || len(r.Imports) != 1 || len(r.Tokens) != 1 || r.Tokens[0].RevokedAt.Known {
		t.Errorf("records of another: %+v", r)
	}

	// Again is nothing to do.
	erasure, err = s.ForgetAngler(ctx, "wren7", noon.Add(2*time.Hour))
	if e := got(t, erasure, err); len(e.Deleted)+len(e.Nameless) != 0 {
		t.Errorf("the second time: %+v", e)
	}
}

func forgottenFits(t *testing.T, s Store) {
	ctx := t.Context()
	for id, levels := range map[string]string{"public-1": `["heron","wren7"]`, "public-2": `["heron"]`, "public-3": `["wren7","water-wren7"]`, "public-4": `["wren7-a","wren77"]`} {
		f := fit(id)
		f.Body = json.RawMessage(`{"bream":{"levels":` + levels + `}}`)
		done(t, s.AddFit(ctx, f))
	}
	mine := fit("own")
	mine.Angler = "wren7"
	done(t, s.AddFit(ctx, mine))
	list, err := s.ForgetFits(ctx, "wren7", []string{"public-3"})
	gone := got(t, list, err)
	if len(gone) != 2 || gone[0] == gone[1] || (gone[0] != "public-1" && gone[1] != "public-1") || (gone[0] != "own" && gone[1] != "own") {
		t.Errorf("deleted %v, want the own fit and the public one that read the angler", gone)
	}
	_, err = s.LatestFit(ctx, "wren7", noon)
	wantError(t, err, model.NotFound)
}
