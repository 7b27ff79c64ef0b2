package api_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"osier/api/page"
	"osier/model"
)

// planFormOf is the form of a plan as a browser sends it.
func planFormOf(change ...string) url.Values {
	form := url.Values{"water": {"quillmarsh-pit"}, "group": {"bream"}, "day": {"2026-11-26"}, "time": {"08:00"}, "hours": {"5"}}
	for i := 0; i+1 < len(change); i += 2 {
		form.Set(change[i], change[i+1])
	}
	return form
}

func TestPagesOfAWaterAreServed(t *testing.T) {
	h := newPit(t)
	h.wants(h.send("POST", "/v1/waters/quillmarsh-pit/readings", `{"water_temp_c":6.7,"depth_m":0.5,"by":"sedge9","at":"2026-11-24T09:40:00Z"}`), http.StatusCreated)
	for _, c := range []struct {
		path, cache string
		texts       []string
	}{
		{"/", "no-cache", []string{`href="/waters/quillmarsh-pit"`, "Quillmarsh Pit"}},
		{"/waters/quillmarsh-pit", "private, max-age=60", []string{"Conditions, Wed 25 Nov 2026, 09:20", `href="/plan?water=quillmarsh-pit"`}},
		{"/waters/quillmarsh-pit/season", "public, max-age=60, stale-while-revalidate=60", []string{"The season at Quillmarsh Pit", "December"}},
		{"/waters/quillmarsh-pit/season?group=bream", "public, max-age=60, stale-while-revalidate=60", []string{"For bream"}},
		{"/waters/quillmarsh-pit/weather", "private, max-age=60", []string{"<circle", "6.7", "Tue 24 Nov 2026, 09:00"}},
		{"/waters/quillmarsh-pit/weather?days=3", "private, max-age=60", []string{`aria-current="true">3 days`}},
		{"/plan", "no-cache", []string{`value="2026-11-26"`, `value="08:00"`}},
		{"/plan?water=quillmarsh-pit&hours=3", "no-cache", []string{`value="3"`}},
		{"/docs", "no-cache", []string{"POST /v1/plans"}},
	} {
		w := h.visit(c.path, nil)
		reads(t, w, c.texts...)
		if strings.Contains(w.Body.String(), "sedge9") {
			t.Errorf("%s tells who took a reading", c.path)
		}
		for name, want := range map[string]string{
			"Content-Type": "text/html; charset=utf-8", "Cache-Control": c.cache, "Content-Security-Policy": page.Policy,
			"Referrer-Policy": "same-origin", "X-Content-Type-Options": "nosniff",
		} {
			if got := w.Header().Get(name); got != want {
				t.Errorf("%s: %s is %q, want %q", c.path, name, got, want)
			}
		}
		again := h.visit(c.path, nil, header{"If-None-Match", w.Header().Get("ETag")})
		if again.Code != http.StatusNotModified || again.Body.Len() > 0 {
			t.Errorf("%s again: %d with %d bytes, want 304 and none", c.path, again.Code, again.Body.Len())
		}
	}
}

func TestTheStyleIsKeptForEver(t *testing.T) {
	h := newHouse(t)
	for path, file := range page.Styles() {
		w := h.visit(path, nil)
		if w.Code != http.StatusOK || w.Body.String() != string(file.Body) || w.Header().Get("Cache-Control") != "public, max-age=31536000, immutable" || w.Header().Get("Content-Type") != "text/css; charset=utf-8" {
			t.Errorf("%s: %d %v", path, w.Code, w.Header())
		}
	}
}

// What goes wrong on a page is told as a page.
func TestAPageThatIsNotThereIsToldAsAPage(t *testing.T) {
	h := newPit(t)
	for path, status := range map[string]int{
		"/waters/nowhere": 404, "/waters/nowhere/season": 404, "/waters/nowhere/weather": 404, "/plans/p-none": 404,
		"/waters/quillmarsh-pit/weather?days=5000": 422, "/waters/quillmarsh-pit?colour=red": 422, "/waters/quillmarsh-pit/season?hours=-1": 422, "/plan?feed=much": 422,
	} {
		w := h.visit(path, nil)
		if w.Code != status || w.Header().Get("Content-Type") != "text/html; charset=utf-8" || w.Header().Get("Cache-Control") != "no-store" || !strings.Contains(w.Body.String(), model.Deferral[:20]) {
			t.Errorf("%s: %d %v, want %d: %s", path, w.Code, w.Header(), status, w.Body)
		}
	}
}

// The form and the API ask for one and the same plan, and its page shows it.
func TestTheFormLeadsToThePlanThatTheAPIGives(t *testing.T) {
	h := newPit(t)
	w := h.visit("/plan", planFormOf())
	if w.Code != http.StatusSeeOther {
		t.Fatalf("answered %d: %s", w.Code, w.Body)
	}
	byAPI := read[model.Plan](t, h.wants(h.send("POST", "/v1/plans", `{"water":"quillmarsh-pit","group":"bream","start":"2026-11-26T08:00:00Z","hours":5}`), 200))
	if to := w.Header().Get("Location"); to != "/plans/"+byAPI.ID {
		t.Errorf("the form leads to %s and the API to %s", to, byAPI.ID)
	}
	shown := h.visit(w.Header().Get("Location"), nil)
	reads(t, shown, "Plan for bream at Quillmarsh Pit", "Thursday 26 November 2026, 08:00 to 13:00", byAPI.Feed.Level, byAPI.ID)
	if cache := shown.Header().Get("Cache-Control"); cache != "private, no-cache" {
		t.Errorf("the plan's page may be kept: %q", cache)
	}
	h.wants(h.send("POST", "/v1/clubs/quill-club/restrictions", `{"water":"quillmarsh-pit","kind":"closed","from":"2026-11-26T09:00:00Z","until":"2026-11-27T09:00:00Z","reason":"fish in distress","decided_by":"water-officer"}`), 201)
	reads(t, h.visit(w.Header().Get("Location"), nil), "Decided since this plan was issued", "fish in distress")
}

func TestARefusedFormComesBackFilledIn(t *testing.T) {
	h := newPit(t)
	for _, c := range []struct{ field, typed, says string }{
		{"hours", "90", "0.5 to 24"},
		{"hours", "", "it is empty"},
		{"group", "pike", "no target group"},
		{"distance_m", "4000", "1 to 150"},
		{"day", "tomorrow", "no day"},
		{"mode", "idle", "no mode"},
		{"peg", "99", "no peg"},
		{"water", "nowhere", "no water"},
	} {
		w := h.visit("/plan", planFormOf(c.field, c.typed))
		if w.Code != http.StatusUnprocessableEntity || w.Header().Get("Cache-Control") != "no-store" || w.Header().Get("Content-Security-Policy") != page.Policy {
			t.Errorf("%s=%q answered %d %v", c.field, c.typed, w.Code, w.Header())
		}
		body := w.Body.String()
		if !strings.Contains(body, c.says) || !strings.Contains(body, `aria-invalid="true"`) || !strings.Contains(body, `href="#`+c.field+`"`) {
			t.Errorf("%s=%q: %q is not told at its field:\n%s", c.field, c.typed, c.says, body)
		}
	}
	plans, err := h.db.Revision(t.Context())
	must(t, err)
	h.visit("/plan", planFormOf("hours", "90"))
	if after := h.revision(); after != plans {
		t.Error("a refused form changed something")
	}
}

func TestAFormOfAnotherOriginIsRefused(t *testing.T) {
	h := newPit(t)
	for _, from := range []header{{"Sec-Fetch-Site", "cross-site"}, {"Origin", "https://elsewhere.example"}} {
		if w := h.visit("/plan", planFormOf(), from); w.Code != http.StatusForbidden {
			t.Errorf("%v answered %d", from, w.Code)
		}
	}
	h.wants(h.visit("/plan", planFormOf(), header{"Sec-Fetch-Site", "same-origin"}), http.StatusSeeOther)
}

func TestDocsHoldEveryOperationAndEveryShape(t *testing.T) {
	document, err := theContract()
	must(t, err)
	body := newHouse(t).visit("/docs", nil).Body.String()
	for _, operation := range document.Operations() {
		if n := strings.Count(body, "<code>"+operation+"</code></h3>"); n != 1 {
			t.Errorf("%s stands there %d times", operation, n)
		}
	}
	for _, must := range []string{`id="schema-Plan"`, `href="#schema-Question"`, `<code>rate_g_h</code>`, "at least", "list of", "or null"} {
		if !strings.Contains(body, must) {
			t.Errorf("no %s", must)
		}
	}
}
