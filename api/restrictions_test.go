package api_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"osier/model"
)

const restrictionsPath = "/v1/clubs/quill-club/restrictions"

// closed closes the water for the hours of the question.
const closed = `{"water":"quillmarsh-pit","kind":"closed","from":"2026-11-25T00:00:00Z","reason":"fish in distress","decided_by":"water-officer"}`

// A closure is in every answer from the next request on, whatever was cached; the
// plan issued before it keeps its bytes and says so when it is read again; and
// once it is lifted all is as it was.
func TestAClosureIsInForceAtOnce(t *testing.T) {
	h := newPit(t)
	before := h.wants(h.send("POST", "/v1/plans", question), 200)
	p := read[model.Plan](t, before)
	where := "/v1/plans/" + p.ID
	first := h.wants(h.send("GET", where, ""), 200)
	conditions := "/v1/waters/quillmarsh-pit/conditions"
	h.wants(h.send("GET", conditions, ""), 200)

	r := read[model.Restriction](t, h.wants(h.send("POST", restrictionsPath, closed), 201))
	if r.ID == "" || r.Club != "quill-club" || !r.MadeAt.Equal(now) || r.LiftedAt.Known {
		t.Errorf("stored %+v", r)
	}
	again := h.wants(h.send("GET", where, "", header{"If-None-Match", first.Header().Get("ETag")}), 200)
	rest, isSince := bytes.CutPrefix(again.Body.Bytes(), []byte(`{"since_issued":[`))
	if !isSince || !bytes.HasSuffix(rest, before.Body.Bytes()[1:]) {
		t.Errorf("read again it is not the plan as issued behind what was decided since: %s", again.Body)
	}
	since := read[model.Plan](t, again).SinceIssued
	if len(since) != 1 || since[0].ID != "closed" || since[0].Level != model.Stop || !strings.Contains(since[0].Text, "quill-club has closed this water until it is lifted: fish in distress. Decided by water-officer.") {
		t.Errorf("decided since: %+v", since)
	}
	anew := read[model.Plan](t, h.wants(h.send("POST", "/v1/plans", question), 200))
	if anew.ID == p.ID || anew.Activity != nil || anew.Cautions[0].ID != "closed" || anew.SinceIssued != nil {
		t.Errorf("the new plan is %+v", anew)
	}
	if w := h.wants(h.send("GET", conditions, ""), 200); !bytes.Contains(w.Body.Bytes(), []byte(`"id":"closed"`)) {
		t.Errorf("the conditions do not say so: %s", w.Body)
	}

	lifted := read[model.Restriction](t, h.wants(h.send("POST", restrictionsPath+"/"+r.ID+"/lift", `{"by":"water-officer","why":"fish recovered"}`), 200))
	if !lifted.LiftedAt.Known || !lifted.LiftedAt.Value.Equal(now) || lifted.LiftedBy != "water-officer" {
		t.Errorf("lifted %+v", lifted)
	}
	if w := h.wants(h.send("GET", where, ""), 200); !bytes.Equal(w.Body.Bytes(), first.Body.Bytes()) {
		t.Errorf("once it is lifted the plan reads %s", w.Body)
	}
	told := read[model.Plan](t, h.wants(h.send("GET", "/v1/plans/"+anew.ID, ""), 200)).SinceIssued
	if len(told) != 1 || told[0].ID != "restriction_lifted" || told[0].Level != model.Note {
		t.Errorf("the plan that names it is told %+v", told)
	}
}

func TestADecisionIsMadeOnceAndLiftedOnce(t *testing.T) {
	h := newPit(t)
	first := read[model.Restriction](t, h.wants(h.send("POST", restrictionsPath, closed), 201))
	before := h.revision()
	if again := read[model.Restriction](t, h.wants(h.send("POST", restrictionsPath, closed), 200)); again.ID != first.ID || h.revision() != before {
		t.Errorf("sent again it is %s, was %s; revision %d, was %d", again.ID, first.ID, h.revision(), before)
	}
	liftPath, why := restrictionsPath+"/"+first.ID+"/lift", `{"by":"water-officer","why":"fish recovered"}`
	h.problem(h.send("POST", "/v1/clubs/other-club/restrictions/"+first.ID+"/lift", why), 404)
	h.problem(h.send("POST", restrictionsPath+"/r-none/lift", why), 404)
	if p := h.problem(h.send("POST", liftPath, `{"by":"water-officer"}`), 422); p.Field != "why" {
		t.Errorf("refused for %q", p.Field)
	}
	key := header{"Idempotency-Key", "k-1"}
	done := h.wants(h.send("POST", liftPath, why, key), 200)
	if again := h.wants(h.send("POST", liftPath, why, key), 200); again.Header().Get("Idempotency-Replayed") != "true" || !bytes.Equal(again.Body.Bytes(), done.Body.Bytes()) {
		t.Errorf("the same key got %s", again.Body)
	}
	h.wants(h.send("POST", liftPath, why), 200)
	h.problem(h.send("POST", liftPath, `{"by":"bailiff","why":"fish recovered"}`), 409)
	h.problem(h.send("POST", restrictionsPath, closed), 409) // it was lifted: made anew it needs a time of its own
}

func TestRestrictionsAreRefusedInWords(t *testing.T) {
	h := newPit(t)
	for _, c := range []struct{ body, field string }{
		{`{"kind":"closed","reason":"r","decided_by":"o"}`, "water"},
		{`{"water":"quillmarsh-pit","kind":"shut","reason":"r","decided_by":"o"}`, "kind"},
		{`{"water":"quillmarsh-pit","kind":"closed","decided_by":"o"}`, "reason"},
		{`{"water":"quillmarsh-pit","kind":"closed","reason":"r"}`, "decided_by"},
		{`{"water":"quillmarsh-pit","kind":"closed","reason":"r","decided_by":"o","until":"2026-11-24T00:00:00Z"}`, "until"},
		{`{"water":"quillmarsh-pit","kind":"feed_limit","reason":"r","decided_by":"o"}`, "feed_limit_dry_g"},
		{`{"water":"quillmarsh-pit","kind":"closed","reason":"r","decided_by":"o","till":1}`, "till"},
	} {
		if p := h.problem(h.send("POST", restrictionsPath, c.body), 422); p.Field != c.field || p.Right == "" {
			t.Errorf("%s: refused for %q, want %q", c.body, p.Field, c.field)
		}
	}
	h.problem(h.send("POST", restrictionsPath, strings.Replace(closed, "quillmarsh-pit", "nowhere", 1)), 404)
	if p := h.problem(h.send("POST", "/v1/clubs/Quill/restrictions", closed), 422); p.Field != "club" {
		t.Errorf("refused for %q", p.Field)
	}
	for _, query := range []string{"?after=here", "?at=noon", "?limit=0", "?from=2026-11-25T00:00:00Z", "?at=2026-11-25T00:00:00Z&until=2026-11-25T00:00:00Z"} {
		h.problem(h.send("GET", restrictionsPath+query, ""), 422)
	}
}

func TestRestrictionsInForceComeInPages(t *testing.T) {
	h := newPit(t)
	for i := range 5 { // two begin at each of two instants, and the last is still to come
		from := now.Add(time.Duration(i/2-1) * time.Hour).Format(time.RFC3339)
		body := fmt.Sprintf(`{"water":"quillmarsh-pit","kind":"no_keepnets","from":%q,"reason":"reason %d","decided_by":"officer"}`, from, i)
		h.wants(h.send("POST", restrictionsPath, body), 201)
	}
	for query, want := range map[string]int{"?limit=3": 4, "?limit=2": 4, "?limit=1&at=2026-11-25T08:30:00Z": 2, "?limit=4&until=2026-11-26T00:00:00Z": 5} {
		seen, after := map[string]bool{}, ""
		for range 6 {
			p := read[struct {
				Restrictions []model.Restriction
				Next         *string
			}](t, h.wants(h.send("GET", restrictionsPath+query+after, ""), 200))
			for _, r := range p.Restrictions {
				seen[r.ID] = true
			}
			if p.Next == nil {
				break
			}
			after = "&after=" + *p.Next
		}
		if len(seen) != want {
			t.Errorf("%s: %d restrictions, want %d", query, len(seen), want)
		}
	}
}
