package api_test

import (
	"bytes"
	"strings"
	"testing"

	"osier/model"
)

const (
	clubPath     = "/v1/clubs/quill-club"
	outlooksPath = clubPath + "/outlooks"
	quillClub    = `{"name":"Quill Club","zone":"Europe/London","waters":["quillmarsh-pit"],"about":"Two ponds and a kettle."}`
	twoWaters    = `{"name":"Quill Club","zone":"Europe/London","waters":["quillmarsh-pit","alder-mere"]}`
	officer      = `{"by":"water-officer"}`
)

// outlookScores are one that is shown and one that is withheld.
func outlookScores() []model.KeptOutlookScore {
	shown := model.OutlookScore{
		Club: "quill-club", Water: "quillmarsh-pit", Date: "2026-10", Sessions: "10-19", Expected: model.Known(2.5), Observed: model.Known(2.0),
		Inside90: model.Known(0.9), ScoredAt: now,
	}
	withheld := model.OutlookScore{
		Club: "quill-club", Outlook: "o-1", Water: "quillmarsh-pit", Date: "2026-10-02", Group: model.Bream, Sessions: "under 5", Withheld: []string{"sessions"}, ScoredAt: now,
	}
	return []model.KeptOutlookScore{{OutlookScore: shown, Behind: []string{"s-1"}}, {OutlookScore: withheld}}
}

// newQuillClub is a pit that a club looks after.
func newQuillClub(t *testing.T) *house {
	t.Helper()
	h := newPit(t)
	h.wants(h.send("PUT", clubPath, quillClub), 201)
	return h
}

func (h *house) draft() model.Outlook {
	h.t.Helper()
	return read[model.Outlook](h.t, h.wants(h.send("POST", outlooksPath, `{"days":2}`), 201))
}

func TestAnOutlookIsBuiltEditedPublishedAndReadByAll(t *testing.T) {
	h := newQuillClub(t)
	made := h.wants(h.send("POST", outlooksPath, `{"days":2}`), 201)
	draft := read[model.Outlook](t, made)
	where := outlooksPath + "/" + draft.ID
	if made.Header().Get("Location") != where || draft.State != model.OutlookDraft || len(draft.Waters) != 1 {
		t.Errorf("built at %q: %+v", made.Header().Get("Location"), draft)
	}
	if w := h.wants(h.send("GET", where, ""), 200); w.Header().Get("Cache-Control") != "private, no-cache" {
		t.Errorf("a draft may be kept: %q", w.Header().Get("Cache-Control"))
	}
	edited := read[model.Outlook](t, h.wants(h.send("PATCH", where, `{"by":"water-officer","note":"Bring a mat."}`), 200))
	if edited.Note != "Bring a mat." || len(edited.Edits) != 1 || edited.Edits[0].By != "water-officer" {
		t.Errorf("edited %+v", edited)
	}
	published := read[model.Outlook](t, h.wants(h.send("POST", where+"/publish", officer), 200))
	if published.State != model.OutlookPublished || published.Publish.By != "water-officer" || published.Note != "Bring a mat." {
		t.Errorf("published %+v", published)
	}
	first := h.wants(h.send("GET", where, ""), 200)
	if got := first.Header().Get("Cache-Control"); got != "public, max-age=60, stale-while-revalidate=60" || first.Header().Get("Age") != "" {
		t.Errorf("Cache-Control %q, Age %q", got, first.Header().Get("Age"))
	}
	h.wants(h.send("GET", where, "", header{"If-None-Match", first.Header().Get("ETag")}), 304)
	kept, err := h.db.Outlook(t.Context(), draft.ID)
	must(t, err)
	if !bytes.Equal(first.Body.Bytes(), kept.Body) {
		t.Error("it is not read in the bytes in which it is kept")
	}

	// A closure is told at once, in front of the same bytes.
	h.wants(h.send("POST", restrictionsPath, closed), 201)
	again := h.wants(h.send("GET", where, "", header{"If-None-Match", first.Header().Get("ETag")}), 200)
	if !bytes.HasPrefix(again.Body.Bytes(), []byte(`{"since_published":[`)) || !bytes.HasSuffix(again.Body.Bytes(), kept.Body[1:]) {
		t.Errorf("closed since: %s", again.Body)
	}
	told := read[model.WaterOutlook](t, h.wants(h.send("GET", "/v1/waters/quillmarsh-pit/outlook?days=3", ""), 200))
	for i, d := range told.Days {
		if d.Published != (i < 2) || !d.Day.Closed || i < 2 && (len(d.Since) != 1 || d.Day.Groups[0].Activity != nil) {
			t.Errorf("day %d in force is %+v", i, d)
		}
	}

	// What follows it names it, and is named beside it.
	next := h.draft()
	published = read[model.Outlook](t, h.wants(h.send("POST", outlooksPath+"/"+next.ID+"/publish", officer), 200))
	if published.Follows != draft.ID {
		t.Errorf("the next follows %q", published.Follows)
	}
	if w := h.wants(h.send("GET", where, ""), 200); !bytes.HasPrefix(w.Body.Bytes(), []byte(`{"superseded_by":"`+next.ID+`",`)) || !bytes.HasSuffix(w.Body.Bytes(), kept.Body[1:]) {
		t.Errorf("superseded: %s", w.Body)
	}
	p := read[struct {
		Outlooks []model.OutlookEntry
		Next     *string
	}](t, h.wants(h.send("GET", outlooksPath+"?limit=1", ""), 200))
	if len(p.Outlooks) != 1 || p.Next == nil {
		t.Fatalf("listed %+v", p)
	}
	rest := read[struct{ Outlooks []model.OutlookEntry }](t, h.wants(h.send("GET", outlooksPath+"?limit=1&after="+*p.Next, ""), 200))
	if len(rest.Outlooks) != 1 || p.Outlooks[0].ID == rest.Outlooks[0].ID {
		t.Errorf("the second page is %+v", rest)
	}
}

func TestADraftIsNobodyElsesToReadOrWrite(t *testing.T) {
	h := newQuillClub(t)
	draft := h.draft()
	where := outlooksPath + "/" + draft.ID
	strange := header{"X-Forwarded-For", "203.0.113.9"} // not the person who sits here
	h.problem(h.send("GET", where, "", strange), 404)
	h.problem(h.send("GET", outlooksPath+"?state=draft", "", strange), 401)
	h.problem(h.send("POST", outlooksPath, `{}`, strange), 401)
	h.problem(h.send("PATCH", where, `{"by":"x","note":"y"}`, strange), 401)
	h.problem(h.send("POST", where+"/publish", officer, strange), 401)
	h.problem(h.send("PUT", clubPath, quillClub, strange), 401)
	h.wants(h.send("POST", where+"/publish", officer), 200)
	h.wants(h.send("GET", where, "", strange), 200)
	h.wants(h.send("GET", outlooksPath, "", strange), 200)
	h.wants(h.send("GET", clubPath+"/outlook-scores", "", strange), 200)
	h.wants(h.send("GET", "/v1/waters/quillmarsh-pit/outlook", "", strange), 200)
}

func TestOutlooksAndClubsAreRefusedInWords(t *testing.T) {
	h := newQuillClub(t)
	draft := h.draft()
	where := outlooksPath + "/" + draft.ID
	for _, c := range []struct {
		method, path, body string
		status             int
		field              string
	}{
		{"PUT", clubPath, `{"name":"Quill","zone":"Europe/London"}`, 422, "waters"},
		{"PUT", clubPath, `{"id":"other","name":"Quill","zone":"Europe/London","waters":[]}`, 422, "id"},
		{"PUT", clubPath, `{"name":"Quill","zone":"Nowhere","waters":[]}`, 422, "zone"},
		{"PUT", clubPath, `{"name":"Quill","zone":"Europe/London","waters":["nowhere"]}`, 404, "water"},
		{"GET", "/v1/clubs/nobody", "", 404, "club"},
		{"GET", "/v1/clubs/nobody/outlooks", "", 404, "club"},
		{"POST", "/v1/clubs/nobody/outlooks", `{}`, 404, "club"},
		{"POST", outlooksPath, `{"days":9}`, 422, "days"},
		{"POST", outlooksPath, `{"day":2}`, 422, "day"},
		{"GET", outlooksPath + "?state=open", "", 422, "state"},
		{"GET", outlooksPath + "?after=here", "", 422, "after"},
		{"GET", outlooksPath + "/o-none", "", 404, "outlook"},
		{"PATCH", where, `{"by":"VP"}`, 422, "note, waters"},
		{"PATCH", where, `{"by":"VP","note":"` + strings.Repeat("x", 601) + `"}`, 422, "note"},
		{"PATCH", where, `{"by":"VP","waters":{"carr":"x"}}`, 422, "waters"},
		{"POST", where + "/publish", `{}`, 422, "by"},
		{"GET", "/v1/waters/quillmarsh-pit/outlook?days=many", "", 422, "days"},
		{"GET", "/v1/waters/quillmarsh-pit/outlook?days=8", "", 422, "days"},
		{"GET", "/v1/waters/nowhere/outlook", "", 404, "water"},
	} {
		if p := h.problem(h.send(c.method, c.path, c.body), c.status); p.Field != c.field || p.Right == "" {
			t.Errorf("%s %s %s: refused for %q (%s), want %q", c.method, c.path, c.body, p.Field, p.Right, c.field)
		}
	}
	h.wants(h.send("POST", where+"/publish", officer), 200)
	h.problem(h.send("PATCH", where, `{"by":"VP","note":"late"}`), 409)
	h.wants(h.send("PUT", "/v1/waters/alder-mere", strings.Replace(pit, "Quillmarsh Pit", "Alder Mere", 1)), 201)
	if p := h.problem(h.send("POST", restrictionsPath, strings.Replace(closed, "quillmarsh-pit", "alder-mere", 1)), 422); p.Field != "water" {
		t.Errorf("another's water is closed: %+v", p)
	}
}
