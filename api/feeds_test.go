package api_test

import (
	"bytes"
	"encoding/csv"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"
	"github.com/mmcdole/gofeed"

	"osier/api"
	"osier/jobs"
	"osier/model"
)

// newClub is a house with a club that looks after the pit, and an outlook that it
// published.
func newClub(t testing.TB, change ...func(*api.Options)) (h *house, outlook string) {
	t.Helper()
	h = newPit(t, change...)
	must(t, h.db.PutClub(t.Context(), model.Club{ID: "quill-club", Name: "Quill Club", Zone: "Europe/London", Waters: []string{"quillmarsh-pit"}, AddedAt: now.Add(-time.Hour)}))
	outlooks := &jobs.Outlooker{Store: h.db, Now: clock}
	draft, err := outlooks.Build(t.Context(), "quill-club", 2)
	must(t, err)
	_, _, err = outlooks.Publish(t.Context(), "quill-club", draft.ID, "water-officer")
	must(t, err)
	return h, draft.ID
}

// taken are the forms in which a club's word is taken elsewhere, with their types.
func taken(outlook string) map[string]string {
	return map[string]string{
		"/clubs/quill-club/feed.atom":                          "application/atom+xml; charset=utf-8",
		"/clubs/quill-club/feed.json":                          "application/feed+json",
		"/clubs/quill-club/calendar.ics":                       "text/calendar; charset=utf-8",
		"/clubs/quill-club/embed":                              "text/html; charset=utf-8",
		"/clubs/quill-club/embed.svg":                          "image/svg+xml",
		"/clubs/quill-club/outlooks/" + outlook + "/table.csv": "text/csv; charset=utf-8; header=present",
	}
}

const anHourAgo = "Wed, 25 Nov 2026 08:20:00 GMT"

func TestWhatIsTakenElsewhereIsForEverybodyAndAnyCache(t *testing.T) {
	h, outlook := newClub(t)
	server := httptest.NewServer(h.watched)
	t.Cleanup(server.Close)
	for path, kind := range taken(outlook) {
		t.Run(path, func(t *testing.T) {
			h := h.on(t)
			w := h.wants(h.send("GET", path, ""), 200)
			head := w.Header()
			for name, want := range map[string]string{
				"Content-Type": kind, "Cache-Control": "public, max-age=60, stale-while-revalidate=60", "Last-Modified": "Wed, 25 Nov 2026 09:20:00 GMT",
				"Access-Control-Allow-Origin": "*", "X-Content-Type-Options": "nosniff", "Set-Cookie": "", "Vary": "", "Age": "",
			} {
				if got := head.Get(name); got != want {
					t.Errorf("%s is %q, want %q", name, got, want)
				}
			}
			if w.Body.Len() == 0 || len(head.Get("ETag")) < 4 || !strings.Contains(strings.Join(head.Values("Link"), ", "), `rel="alternate"`) {
				t.Errorf("%d bytes, %v", w.Body.Len(), head)
			}
			for _, held := range []struct {
				headers []header
				status  int
			}{
				{[]header{{"If-None-Match", head.Get("ETag")}}, 304},
				{[]header{{"If-Modified-Since", head.Get("Last-Modified")}}, 304},
				{[]header{{"If-Modified-Since", anHourAgo}}, 200},
				{[]header{{"If-Modified-Since", "yesterday"}}, 200},
				{[]header{{"If-None-Match", `"other"`}, {"If-Modified-Since", head.Get("Last-Modified")}}, 200}, // the time does not count then
			} {
				w := h.wants(h.send("GET", path, "", held.headers...), held.status)
				if held.status == 304 && (w.Body.Len() != 0 || w.Header().Get("ETag") != head.Get("ETag") || w.Header().Get("Cache-Control") != head.Get("Cache-Control")) {
					t.Errorf("%v: %d bytes, %v", held.headers, w.Body.Len(), w.Header())
				}
			}
			got, body := over(t, server, http.MethodGet, path)
			headers, empty := over(t, server, http.MethodHead, path)
			if headers.StatusCode != 200 || len(empty) != 0 || len(body) == 0 || headers.Header.Get("ETag") != got.Header.Get("ETag") {
				t.Errorf("HEAD answered %d, %d bytes, %v", headers.StatusCode, len(empty), headers.Header)
			}
		})
	}
}

func TestAFeedLinksToItselfAndItsOtherForms(t *testing.T) {
	h, _ := newClub(t)
	links := h.send("GET", "/clubs/quill-club/feed.atom", "").Header().Values("Link")
	want := []string{
		`</clubs/quill-club/feed.atom>; rel="self"; type="application/atom+xml; charset=utf-8"`,
		`</clubs/quill-club/feed.json>; rel="alternate"; type="application/feed+json"; title="Outlooks and restrictions (JSON Feed)"`,
		`</clubs/quill-club/calendar.ics>; rel="alternate"; type="text/calendar"; title="Closures, restrictions and cautions (calendar)"`,
	}
	if strings.Join(links, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(links, "\n"), strings.Join(want, "\n"))
	}
}

const closure = `{"water":"quillmarsh-pit","kind":"closed","from":"2026-11-25T00:00:00Z","until":"2026-11-28T00:00:00Z","reason":"fish in distress","decided_by":"water-officer"}`

// Closing a water is seen at once in everything that is taken elsewhere, and
// lifting it as well.
func TestAClosureIsInEveryFormAtOnce(t *testing.T) {
	h, outlook := newClub(t)
	before := map[string]string{}
	for path := range taken(outlook) {
		before[path] = h.wants(h.send("GET", path, ""), 200).Body.String()
	}
	closed := read[model.Restriction](t, h.wants(h.send("POST", "/v1/clubs/quill-club/restrictions", closure), 201))
	during := map[string]string{}
	for path := range taken(outlook) {
		during[path] = h.wants(h.send("GET", path, ""), 200).Body.String()
		if strings.Contains(before[path], "distress") || !strings.Contains(strings.NewReplacer("\r\n ", "", "</text>\n", " ").Replace(during[path]), "fish in distress") {
			t.Errorf("%s does not say that the water is closed:\n%s", path, during[path])
		}
	}
	h.wants(h.send("POST", "/v1/clubs/quill-club/restrictions/"+closed.ID+"/lift", `{"by":"water-officer","why":"all well again"}`), 200)
	feed, err := gofeed.NewParser().ParseString(h.send("GET", "/clubs/quill-club/feed.json", "").Body.String())
	must(t, err)
	if len(feed.Items) != 3 || !strings.Contains(feed.Items[0].Title+feed.Items[1].Title, "Quillmarsh Pit, lifted: closed") {
		t.Errorf("the feed tells %v", feed.Items)
	}
	cal, err := ics.ParseCalendar(strings.NewReader(h.send("GET", "/clubs/quill-club/calendar.ics", "").Body.String()))
	must(t, err)
	found := false
	for _, e := range cal.Events() {
		if e.GetProperty(ics.ComponentPropertySummary).Value == "Quillmarsh Pit: closed" {
			found = true
			if s, n := e.GetProperty(ics.ComponentPropertyStatus).Value, e.GetProperty(ics.ComponentPropertySequence).Value; s != "CANCELLED" || n != "1" {
				t.Errorf("lifted, it is %s with SEQUENCE %s", s, n)
			}
		}
	}
	if !found {
		t.Error("the lifted closure left the calendar without being cancelled")
	}
}

func TestOnlyTheEmbedMayBeFramed(t *testing.T) {
	h, _ := newClub(t)
	for path, framed := range map[string]bool{"/clubs/quill-club/embed": true, "/clubs/quill-club/embed.svg": true, "/bank": false} {
		if policy := h.wants(h.bare("GET", path), 200).Header().Get("Content-Security-Policy"); strings.Contains(policy, "frame-ancestors *") != framed || !strings.Contains(policy, "default-src 'none'") {
			t.Errorf("%s has the policy %s", path, policy)
		}
	}
}

// bare asks without the contract: pages are no operations of it.
func (h *house) bare(method, path string) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	h.api.ServeHTTP(w, httptest.NewRequest(method, path, nil))
	return w
}

func TestOnlyWhatWasPublishedIsATable(t *testing.T) {
	h, outlook := newClub(t)
	w := h.wants(h.send("GET", "/clubs/quill-club/outlooks/"+outlook+"/table.csv", ""), 200)
	rows, err := csv.NewReader(bytes.NewReader(w.Body.Bytes())).ReadAll()
	must(t, err)
	if len(rows) < 3 || rows[0][0] != "outlook_id" || rows[1][0] != outlook || w.Header().Get("Content-Disposition") != `attachment; filename="`+outlook+`.csv"` {
		t.Errorf("%d rows, %v, %v", len(rows), rows[0], w.Header())
	}
	draft, err := (&jobs.Outlooker{Store: h.db, Now: clock}).Build(t.Context(), "quill-club", 1)
	must(t, err)
	for _, path := range []string{"/clubs/quill-club/outlooks/" + draft.ID, "/clubs/other-club/outlooks/" + outlook, "/clubs/quill-club/outlooks/o-none"} {
		h.wants(h.send("GET", path+"/table.csv", ""), 404)
	}
	for _, path := range []string{"/clubs/quill-club/feed.atom", "/clubs/quill-club/calendar.ics"} {
		if body := h.send("GET", path, "").Body.String(); strings.Contains(body, draft.ID) {
			t.Errorf("%s tells of a draft", path)
		}
	}
	h.wants(h.send("GET", "/clubs/no-club/feed.atom", ""), 404)
	h.wants(h.send("GET", "/clubs/No%20Club/feed.atom", ""), 422)
}

func TestAddressesAreThoseThePublicUses(t *testing.T) {
	h, _ := newClub(t, func(o *api.Options) { o.PublicURL = "https://club.example" })
	for _, path := range []string{"/clubs/quill-club/feed.atom", "/clubs/quill-club/feed.json", "/clubs/quill-club/calendar.ics", "/clubs/quill-club/embed"} {
		body := strings.ReplaceAll(h.wants(h.send("GET", path, ""), 200).Body.String(), "\r\n ", "")
		if !strings.Contains(body, "https://club.example/clubs/quill-club") || strings.Contains(body, "http://example.com") {
			t.Errorf("%s:\n%s", path, body)
		}
	}
}

// While the store does not answer, the last is given with its age.
func TestFeedsOutliveTheStore(t *testing.T) {
	h, _ := newClub(t)
	was := h.wants(h.send("GET", "/clubs/quill-club/feed.json", ""), 200)
	must(t, h.db.Close())
	time.Sleep(300 * time.Millisecond) // the count of changes is believed that long
	is := h.wants(h.send("GET", "/clubs/quill-club/feed.json", ""), 200)
	if is.Header().Get("Age") == "" || !bytes.Equal(is.Body.Bytes(), was.Body.Bytes()) {
		t.Errorf("Age %q, %s", is.Header().Get("Age"), is.Body)
	}
}

const rushAsks = `{"water":"quillmarsh-pit","angler":"rush","start":"2026-11-26T08:00:00Z","hours":4,"group":"silver"}`

// made is a token with its secret.
type made struct {
	Token  model.Token `json:"token"`
	Secret string      `json:"secret"`
}

func TestAnAnglersCalendarIsTheirsAlone(t *testing.T) {
	h := newPit(t)
	h.wants(h.send("POST", "/v1/plans", rushAsks), 200)
	own := h.wants(h.send("GET", "/v1/anglers/rush/calendar.ics", ""), 200) // the house is still open
	if c := own.Header().Get("Cache-Control"); c != "private, no-cache" {
		t.Errorf("any cache may keep it: %s", c)
	}
	token := func(body string, headers ...header) made {
		return read[made](t, h.wants(h.send("POST", "/v1/tokens", body, headers...), 201))
	}
	administrator := token(`{"role":"administrator"}`)
	by := header{"Authorization", "Bearer " + administrator.Secret}
	rush, moss := token(`{"role":"angler","angler":"rush"}`, by), token(`{"role":"angler","angler":"moss","calendar":true}`, by)
	address, reader := token(`{"role":"angler","angler":"rush","calendar":true}`, by), token(`{"role":"angler","angler":"rush","read_only":true}`, by)
	mossReads, officer := token(`{"role":"angler","angler":"moss","read_only":true}`, by), token(`{"role":"officer","angler":"rush","clubs":["quill-club"],"read_only":true}`, by)
	for _, tc := range []struct {
		who, path string
		headers   []header
		status    int
	}{
		{"nobody", "/v1/anglers/rush/calendar.ics", nil, 401},
		{"rush", "/v1/anglers/rush/calendar.ics", []header{{"Authorization", "Bearer " + rush.Secret}}, 200},
		{"moss", "/v1/anglers/rush/calendar.ics", []header{{"Authorization", "Bearer " + mossReads.Secret}}, 404},
		{"rush, with what is for a calendar program", "/v1/anglers/rush/calendar.ics", []header{{"Authorization", "Bearer " + address.Secret}}, 401},
		{"rush, with what is for a calendar program", "/v1/tokens", []header{{"Authorization", "Bearer " + address.Secret}}, 401},
		{"anybody, with what is for a calendar program", "/v1/waters", []header{{"Authorization", "Bearer " + address.Secret}}, 401},
		{"a calendar program", "/calendars/" + address.Secret + "/sessions.ics", nil, 200},
		{"with a token that may write", "/calendars/" + rush.Secret + "/sessions.ics", nil, 404},
		{"with a token that only reads", "/calendars/" + reader.Secret + "/sessions.ics", nil, 404},
		{"with an officer's token", "/calendars/" + officer.Secret + "/sessions.ics", nil, 404},
		{"with an administrator's token", "/calendars/" + administrator.Secret + "/sessions.ics", nil, 404},
		{"who guesses", "/calendars/osier_guess/sessions.ics", nil, 404},
	} {
		w := h.wants(h.send("GET", tc.path, "", tc.headers...), tc.status)
		if tc.status == 200 && strings.HasSuffix(tc.path, ".ics") && !bytes.Equal(w.Body.Bytes(), own.Body.Bytes()) {
			t.Errorf("%s read another calendar:\n%s", tc.who, w.Body)
		}
	}
	other := h.wants(h.send("GET", "/calendars/"+moss.Secret+"/sessions.ics", ""), 200).Body.String()
	if strings.Contains(other, "Quillmarsh") || !strings.Contains(own.Body.String(), "SUMMARY:Fishing at Quillmarsh Pit") {
		t.Errorf("moss reads\n%s\nrush reads\n%s", other, own.Body)
	}
	if w := formOf(h.api, "/sign-in", map[string]string{"token": address.Secret}, header{"Sec-Fetch-Site", "same-origin"}); w.Code != 401 || w.Header().Get("Set-Cookie") != "" {
		t.Errorf("a calendar's token signs a browser in: %d", w.Code)
	}
	if !address.Token.ReadOnly || !address.Token.Calendar {
		t.Errorf("made is %+v", address.Token)
	}
	h.problem(h.send("POST", "/v1/tokens", `{"role":"officer","clubs":["quill-club"],"calendar":true}`, by), 422)
	h.wants(h.send("DELETE", "/v1/tokens/"+address.Token.ID, "", by), 204)
	h.wants(h.send("GET", "/calendars/"+address.Secret+"/sessions.ics", ""), 404)
	if strings.Contains(h.log.String(), "osier_") {
		t.Errorf("a secret stands in the log:\n%s", h.log)
	}
}
