package api_test

import (
	"bytes"
	"crypto/rand"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"osier/api"
	"osier/api/page"
	"osier/jobs"
	"osier/model"
)

// visit asks for a page, or sends a form to one, as a browser at this machine
// does.
func (h *house) visit(path string, form url.Values, headers ...header) *httptest.ResponseRecorder {
	h.t.Helper()
	r := httptest.NewRequest(http.MethodGet, path, nil)
	if form != nil {
		r = httptest.NewRequest(http.MethodPost, path, strings.NewReader(form.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	r.Host = "localhost"
	for _, set := range headers {
		r.Header.Set(set.name, set.value)
	}
	w := httptest.NewRecorder()
	h.api.ServeHTTP(w, r)
	return w
}

// hasToken makes a credential and gives the header that shows it.
func (h *house) hasToken(made model.Token) header {
	h.t.Helper()
	secret, err := model.NewSecret(rand.Reader)
	must(h.t, err)
	made, err = made.Made(secret, now)
	must(h.t, err)
	must(h.t, h.db.AddToken(h.t.Context(), made, model.SecretDigest(secret)))
	h.closes()
	return header{"Authorization", "Bearer " + secret}
}

func reads(t *testing.T, w *httptest.ResponseRecorder, texts ...string) {
	t.Helper()
	if w.Code != http.StatusOK {
		t.Fatalf("answered %d: %s", w.Code, w.Body)
	}
	for _, text := range texts {
		if !strings.Contains(w.Body.String(), text) {
			t.Errorf("%q does not stand on the page: %s", text, w.Body)
		}
	}
}

func TestThePagesOfAClubAreForEverybody(t *testing.T) {
	h, outlook := newClub(t)
	h.hasToken(model.Token{Role: model.Administrator}) // the house is open no more
	for path, wants := range map[string][]string{
		"/clubs/quill-club":                     {"Quill Club", "Quillmarsh Pit", "Today. Expected:", "published Wed 25 Nov 2026, 09:20 by water-officer"},
		"/clubs/quill-club/outlooks/" + outlook: {"Wednesday 25 to Thursday 26 November 2026", "Published Wed 25 Nov 2026, 09:20 by water-officer", "<svg", "Nine in ten"},
		"/waters/quillmarsh-pit/outlook":        {"Quillmarsh Pit: outlook", "Published Wed 25 Nov 2026, 09:20 by water-officer for Quill Club.", "Not published by a club"},
		"/track-record":                         {"no session yet that followed a plan"},
		"/track-record?water=&group=bream":      {"All waters, bream"},
		"/findings":                             {"The public fit holds no session yet"},
	} {
		w := h.visit(path, nil)
		reads(t, w, wants...)
		if policy := w.Header().Get("Content-Security-Policy"); policy != page.Policy || strings.Contains(w.Body.String(), "<script") {
			t.Errorf("%s: policy %q", path, policy)
		}
		if cookie, cache := w.Header().Get("Set-Cookie"), w.Header().Get("Cache-Control"); cookie != "" || strings.Contains(cache, "no-store") || w.Header().Get("ETag") == "" {
			t.Errorf("%s: cookie %q, cache control %q, validator %q", path, cookie, cache, w.Header().Get("ETag"))
		}
		again := h.visit(path, nil, header{"If-None-Match", w.Header().Get("ETag")})
		if again.Code != http.StatusNotModified {
			t.Errorf("%s: answered %d to its own validator", path, again.Code)
		}
		if about := strings.Contains(path, "club") || strings.Contains(path, "outlook"); about != (len(w.Header()["Link"]) == 3) {
			t.Errorf("%s: links %v", path, w.Header()["Link"])
		}
	}
	for _, path := range []string{"/clubs/none", "/clubs/quill-club/outlooks/none", "/clubs/none/outlooks/" + outlook, "/waters/none/outlook", "/track-record?water=none"} {
		if w := h.visit(path, nil); w.Code != http.StatusNotFound || !strings.Contains(w.Header().Get("Content-Type"), "text/html") {
			t.Errorf("%s: answered %d %s", path, w.Code, w.Header())
		}
	}
}

// Nobody but the club's officers finds a draft or the office.
func TestTheOfficeIsForItsOfficersAlone(t *testing.T) {
	h, _ := newClub(t)
	draft, err := (&jobs.Outlooker{Store: h.db, Now: clock}).Build(t.Context(), "quill-club", 1)
	must(t, err)
	officer := h.hasToken(model.Token{Role: model.Officer, Clubs: []string{"quill-club"}})
	others := map[string]header{
		"a stranger":                {"X-Nothing", "1"},
		"an angler":                 h.hasToken(model.Token{Role: model.AnglerRole, Angler: "moss"}),
		"an officer of another":     h.hasToken(model.Token{Role: model.Officer, Clubs: []string{"other-club"}}),
		"an officer who only reads": h.hasToken(model.Token{Role: model.Officer, Clubs: []string{"quill-club"}, ReadOnly: true}),
	}
	forms := []string{
		"/clubs/quill-club/office/outlooks/" + draft.ID + "/notes", "/clubs/quill-club/office/outlooks/" + draft.ID + "/publish",
		"/clubs/quill-club/office/restrictions", "/clubs/quill-club/office/restrictions/r-1/lift",
	}
	before := h.revision()
	for who, credential := range others {
		for _, path := range []string{"/clubs/quill-club/office", "/clubs/quill-club/outlooks/" + draft.ID} {
			if w := h.visit(path, nil, credential); w.Code < 400 && who != "an officer who only reads" {
				t.Errorf("%s reads %s: %d", who, path, w.Code)
			}
		}
		for _, path := range forms {
			if w := h.visit(path, url.Values{"note": {"x"}, "by": {"x"}}, credential); w.Code < 400 {
				t.Errorf("%s sends to %s: %d", who, path, w.Code)
			}
		}
	}
	if h.revision() != before {
		t.Error("something was changed by who may not")
	}
	reads(t, h.visit("/clubs/quill-club/office", nil, officer), "The draft", "Publish this outlook")
	reads(t, h.visit("/clubs/quill-club/outlooks/"+draft.ID, nil, officer), "A draft, built")
	if w := h.visit("/clubs/quill-club/office", nil, header{"Accept", "text/html"}); w.Code != http.StatusSeeOther || !strings.HasPrefix(w.Header().Get("Location"), "/sign-in?next=") {
		t.Errorf("somebody not signed in is answered %d, to %q", w.Code, w.Header().Get("Location"))
	}
}

// settles wants a form to lead back to the office, and follows it there.
func (h *house) settles(w *httptest.ResponseRecorder, says string) {
	h.t.Helper()
	h.wants(w, http.StatusSeeOther)
	reads(h.t.(*testing.T), h.visit(w.Header().Get("Location"), nil), says)
}

func TestAnOfficerEditsPublishesAndCloses(t *testing.T) {
	h, first := newClub(t)
	outlooks := &jobs.Outlooker{Store: h.db, Now: clock}
	draft, err := outlooks.Build(t.Context(), "quill-club", 3)
	must(t, err)
	at := "/clubs/quill-club/office/outlooks/" + draft.ID
	h.settles(h.visit(at+"/notes", url.Values{"note": {"Bring <b>gloves</b>."}, "note.quillmarsh-pit": {"The gate sticks."}, "by": {"secretary"}}), "The notes are kept")
	h.settles(h.visit(at+"/publish", url.Values{"by": {"secretary"}}), "The outlook is published.")
	reads(t, h.visit("/clubs/quill-club/outlooks/"+draft.ID, nil), "Bring &lt;b&gt;gloves&lt;/b&gt;.", "The gate sticks.", "by secretary", "It supersedes")
	reads(t, h.visit("/clubs/quill-club/outlooks/"+first, nil), "Superseded")
	published, err := outlooks.KeptOutlook(t.Context(), "quill-club", draft.ID)
	must(t, err)

	h.settles(h.visit("/clubs/quill-club/office/restrictions", url.Values{
		"water": {"quillmarsh-pit"}, "kind": {"closed"}, "feed_limit_dry_g": {""}, "from": {""}, "until": {"2026-11-27T18:00"}, "reason": {"fish in distress"}, "decided_by": {"water-officer"},
	}), "It is decided")
	reads(t, h.visit("/clubs/quill-club", nil), "fish in distress", "until Fri 27 Nov 2026, 18:00", "decided by water-officer", "Closed today")
	reads(t, h.visit("/clubs/quill-club/outlooks/"+draft.ID, nil), "Since this was published:", "fish in distress", "is withdrawn")
	reads(t, h.visit("/waters/quillmarsh-pit/outlook", nil), "Since this was published:", "fish in distress")
	if kept, err := outlooks.KeptOutlook(t.Context(), "quill-club", draft.ID); err != nil || !bytes.Equal(kept.Body, published.Body) {
		t.Errorf("the published bytes changed: %v", err)
	}

	made, err := h.db.ClubRestrictions(t.Context(), "quill-club", now, now.Add(time.Hour), time.Time{}, "", 10)
	must(t, err)
	if len(made) != 1 {
		t.Fatalf("%d restrictions are in force", len(made))
	}
	h.settles(h.visit("/clubs/quill-club/office/restrictions/"+made[0].ID+"/lift", url.Values{"by": {"water-officer"}, "why": {"they recovered"}}), "It is lifted.")
	if body := h.visit("/clubs/quill-club", nil).Body.String(); strings.Contains(body, "fish in distress") {
		t.Error("a lifted closure is shown as standing")
	}
}

// What is wrong in a form is named at its field, what was sent is not lost, and
// nothing is changed.
func TestTheOfficeNamesWhatWasWrong(t *testing.T) {
	h, _ := newClub(t)
	draft, err := (&jobs.Outlooker{Store: h.db, Now: clock}).Build(t.Context(), "quill-club", 1)
	must(t, err)
	right := func(change ...string) url.Values {
		v := url.Values{"water": {"quillmarsh-pit"}, "kind": {"feed_limit"}, "feed_limit_dry_g": {"500"}, "from": {""}, "until": {""}, "reason": {"warm water"}, "decided_by": {"bailiff"}}
		for i := 0; i < len(change); i += 2 {
			v.Set(change[i], change[i+1])
		}
		return v
	}
	before := h.revision()
	for _, c := range []struct {
		path  string
		form  url.Values
		field string
		says  string
	}{
		{"restrictions", right("reason", ""), "restrict-reason", "say why"},
		{"restrictions", right("feed_limit_dry_g", "half a bag"), "restrict-feed_limit_dry_g", "it is no number"},
		{"restrictions", right("feed_limit_dry_g", "NaN"), "restrict-feed_limit_dry_g", ""},
		{"restrictions", right("feed_limit_dry_g", ""), "restrict-feed_limit_dry_g", "limits nothing"},
		{"restrictions", right("from", "soon"), "restrict-from", "is no time"},
		{"restrictions", right("from", "2027-03-28T01:30"), "restrict-from", "the clock skips that time"},
		{"restrictions", right("from", "2026-11-28T10:00", "until", "2026-11-28T09:00"), "restrict-until", "is not after"},
		{"restrictions", right("water", "none"), "restrict-water", "there is no such water"},
		{"restrictions", right("kind", "ban"), "restrict-kind", "no kind of restriction"},
		{"restrictions", right("decided_by", "Mr. A <b>"), "restrict-decided_by", ""},
		{"outlooks/" + draft.ID + "/notes", url.Values{"note": {strings.Repeat("long ", 200)}, "by": {"bailiff"}}, "notes-" + draft.ID + "-note", "at most 600 characters"},
		{"outlooks/" + draft.ID + "/notes", url.Values{"note": {""}, "note.quillmarsh-pit": {"a bell \a"}, "by": {"bailiff"}}, "notes-" + draft.ID + "-note.quillmarsh-pit", "on one line"},
		{"outlooks/" + draft.ID + "/publish", url.Values{"by": {""}}, "publish-" + draft.ID + "-by", ""},
	} {
		w := h.visit("/clubs/quill-club/office/"+c.path, c.form)
		body := w.Body.String()
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(body, `aria-describedby="`+c.field+`-wrong"`) || !strings.Contains(body, "Not done.") || !strings.Contains(body, c.says) {
			t.Errorf("%s %v: answered %d, want %s named: %s", c.path, c.form, w.Code, c.field, body)
		}
	}
	if w := h.visit("/clubs/quill-club/office/restrictions/r-none/lift", url.Values{"why": {"x"}, "by": {"bailiff"}}); w.Code != http.StatusNotFound {
		t.Errorf("lifting what is not there answers %d", w.Code)
	}
	if w := h.visit("/clubs/quill-club/office/restrictions", right("reason", "x"), header{"Sec-Fetch-Site", "cross-site"}); w.Code != http.StatusForbidden {
		t.Errorf("a form of another site answers %d", w.Code)
	}
	if h.revision() != before {
		t.Error("a refused form changed something")
	}
}

func TestTheDemosClubPagesSaySo(t *testing.T) {
	h, outlook := newClub(t, asDemo, func(o *api.Options) {
		o.Findings.(*jobs.Finder).Planted = &model.PlantedTruth{Flaws: []model.PlantedFlaw{{Kind: "sent twice", Planted: 2, Caught: 2}}}
	})
	for _, path := range []string{"/clubs/quill-club", "/clubs/quill-club/office", "/track-record", "/findings", "/waters/quillmarsh-pit/outlook", "/clubs/quill-club/outlooks/" + outlook} {
		if w := h.visit(path, nil); !strings.Contains(w.Body.String(), "INVENTED") {
			t.Errorf("%s does not say that it is invented: %d", path, w.Code)
		}
	}
	reads(t, h.visit("/findings", nil), "What was planted", "sent twice")
}

func TestClubPagesWithTheStoreDown(t *testing.T) {
	h, _ := newClub(t)
	must(t, h.db.Close())
	for _, path := range []string{"/clubs/quill-club", "/track-record", "/findings", "/waters/quillmarsh-pit/outlook"} {
		if w := h.visit(path, nil); w.Code != http.StatusServiceUnavailable || w.Header().Get("Retry-After") == "" {
			t.Errorf("%s answers %d", path, w.Code)
		}
	}
}

// What was shown before the store fell silent is shown still, and says that it is
// old.
func TestPagesOutliveTheStore(t *testing.T) {
	h, _ := newClub(t)
	paths := []string{"/", "/waters/quillmarsh-pit", "/waters/quillmarsh-pit/weather", "/track-record", "/clubs/quill-club", "/findings", "/waters/quillmarsh-pit/outlook"}
	for _, path := range paths {
		h.wants(h.visit(path, nil), http.StatusOK)
	}
	must(t, h.db.Close())
	for _, path := range paths {
		if w := h.visit(path, nil); w.Code != http.StatusOK {
			t.Errorf("%s answers %d", path, w.Code)
		}
	}
}

// A browser that sends the form of a restriction again, for a click too many or a
// slow line, decides nothing twice, though no beginning was named.
func TestAFormSentTwiceIsOneRestriction(t *testing.T) {
	at := now
	h, _ := newClub(t, func(o *api.Options) { o.Now = func() time.Time { return at } })
	form := url.Values{"water": {"quillmarsh-pit"}, "kind": {"closed"}, "from": {""}, "until": {""}, "reason": {"thin ice"}, "decided_by": {"water-officer"}}
	mark := func() string {
		found := regexp.MustCompile(`name="once" value="([A-Z2-7]{20,})"`).FindStringSubmatch(h.visit("/clubs/quill-club/office", nil).Body.String())
		if found == nil {
			t.Fatal("the form has no mark of its own")
		}
		return found[1]
	}
	sendAt := func(later time.Duration, once string, want int) {
		t.Helper()
		at = now.Add(later)
		form.Set("once", once)
		h.wants(h.visit("/clubs/quill-club/office/restrictions", form), http.StatusSeeOther)
		made, err := h.db.ClubRestrictions(t.Context(), "quill-club", now, now.Add(time.Hour), time.Time{}, "", 10)
		must(t, err)
		if len(made) != want {
			t.Errorf("after %s there are %d restrictions, want %d", later, len(made), want)
		}
		if first := made[0]; !first.From.Equal(now) {
			t.Errorf("the first holds from %s, want when it was sent first", first.From)
		}
	}
	first, second := mark(), mark()
	if first == second {
		t.Error("two pages have one mark")
	}
	sendAt(0, first, 1)
	sendAt(7*time.Second, first, 1)
	sendAt(9*time.Second, second, 2) // another page is another decision
}
