package api_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"osier/api"
	"osier/model"
)

// One test an item of the OWASP API Security Top 10 of 2023. API9, improper
// inventory, is TestRoutesAreTheOperationsOfTheDocument and the test after this
// one; API10, unsafe consumption, is in the tests of the feeds and of the sign-in
// service.

// API1, broken object level authorisation: what is somebody else's is answered as
// what is not there, to the byte.
func TestWhatIsSomebodyElsesIsAsIfItWereNotThere(t *testing.T) {
	m := newManned(t)
	plan, report := m.plan("rush"), m.ownImport()
	for _, c := range []struct{ role, method, there, missing, body string }{
		{"moss", "GET", "/v1/sessions/s-private", "/v1/sessions/s-nothing", ""},
		{"officer", "GET", "/v1/sessions/s-private", "/v1/sessions/s-nothing", ""},
		{"officer of another club", "GET", "/v1/sessions/s-shared", "/v1/sessions/s-nothng", ""},
		{"moss", "GET", "/v1/sessions/s-private/summary", "/v1/sessions/s-nothing/summary", ""},
		{"moss", "GET", "/v1/sessions/s-live/live", "/v1/sessions/s-gone/live", ""},
		{"moss", "GET", "/v1/sessions/s-live/advice", "/v1/sessions/s-gone/advice", ""},
		{"moss", "PATCH", "/v1/sessions/s-private", "/v1/sessions/s-nothing", "{}"},
		{"moss", "DELETE", "/v1/sessions/s-private", "/v1/sessions/s-nothing", ""},
		{"moss", "DELETE", "/v1/tokens/t-rush", "/v1/tokens/t-none", ""},
		{"public", "GET", "/v1/plans/" + plan, "/v1/plans/p-none", ""},
		{"officer", "GET", "/v1/imports/" + report, "/v1/imports/i-none", ""},
	} {
		there, missing := m.as(c.role, c.method, c.there, c.body, 404).Body.String(), m.as(c.role, c.method, c.missing, c.body, 404).Body.String()
		id := func(path string) string { return strings.Split(path, "/")[3] }
		if strings.ReplaceAll(there, id(c.there), "X") != strings.ReplaceAll(missing, id(c.missing), "X") {
			t.Errorf("%s %s %s: one can tell that it is there:\n%s%s", c.role, c.method, c.there, there, missing)
		}
	}
	// Who guesses angler, water and hour knows an identifier that is made of them.
	guessed := model.Session{Water: "quillmarsh-pit", Angler: "rush", Group: model.Bream, Start: now.AddDate(0, 0, -2)}.DerivedID()
	m.as("moss", "POST", "/v1/sessions/"+guessed+"/events", strings.ReplaceAll(liveStart, "sedge", "moss"), 404)
	stored := read[model.Session](t, m.as("moss", "POST", "/v1/sessions", with(with(hourly, "{", `{"id":"`+guessed+`",`), `"angler":"moss",`, ""), 201))
	if stored.ID == guessed || stored.Angler != "moss" {
		t.Errorf("moss keeps %s of %s under another's identifier", stored.ID, stored.Angler)
	}
}

// API2, broken authentication.
func TestCredentialsThatOpenNothingAreRefusedAndCounted(t *testing.T) {
	m := newManned(t)
	for _, sent := range []string{
		"Bearer", "Bearer osier_", "Basic cnVzaDpydXNo", "Bearer " + strings.ToUpper(secretOf(7)), "Bearer " + secretOf(7) + "a",
		"Bearer " + model.SecretDigest(secretOf(7)), "Bearer t-rush", secretOf(7), "Bearer " + secretOf(0), "Bearer " + secretOf(1), "Bearer " + secretOf(20),
	} {
		w := m.send("GET", "/v1/waters", "", header{"Authorization", sent})
		if p := m.problem(w, 401); p.Code != "no_credential" || !strings.HasPrefix(w.Header().Get("WWW-Authenticate"), `Bearer realm="osier", error="invalid_token"`) {
			t.Errorf("%q: the problem is %+v, the challenge %q", sent, p, w.Header().Get("WWW-Authenticate"))
		}
		m.asked++
		m.from = "192.0.2." + strconv.Itoa(100+m.asked%100) + ":1"
	}
	if w := m.send("GET", "/v1/jobs", ""); w.Header().Get("WWW-Authenticate") != `Bearer realm="osier"` {
		t.Errorf("the challenge is %q", w.Header().Get("WWW-Authenticate"))
	}
	// Twenty that fail from one address, and the next is not even looked up; what
	// was good lately still is, and so is another address.
	m.from = "198.51.100.7:1"
	m.wants(m.send("GET", "/v1/sessions/s-private", "", header{"Authorization", "Bearer " + secretOf(7)}), 200)
	status := 401
	for i := 0; status == 401 && i < 40; i++ {
		status = m.send("GET", "/v1/waters", "", header{"Authorization", "Bearer " + secretOf(20)}).Code
	}
	if status != 429 {
		t.Fatalf("after forty credentials that open nothing the answer is %d", status)
	}
	m.wants(m.send("GET", "/v1/sessions/s-private", "", header{"Authorization", "Bearer " + secretOf(7)}), 200)
	m.from = "198.51.100.8:1"
	m.wants(m.send("GET", "/v1/waters", "", header{"Authorization", "Bearer " + secretOf(20)}), 401)
}

// API3, broken object property level authorisation: nobody writes what is not
// theirs to say, and nobody reads more than they need.
func TestPropertiesThatAreNotTheirsToSay(t *testing.T) {
	m := newManned(t)
	for _, c := range []struct {
		name, role, method, path, body string
		status                         int
	}{
		{"another's handle in a record", "moss", "POST", "/v1/sessions", summary, 403},
		{"another's handle in an event", "moss", "POST", "/v1/sessions/s-else/events", liveStart, 403},
		{"another's handle in a question", "moss", "POST", "/v1/plans", question, 403},
		{"another's handle under a reading", "moss", "POST", "/v1/waters/quillmarsh-pit/readings", `{"water_temp_c":7,"by":"rush"}`, 403},
		{"another's handle for a file", "moss", "POST", "/v1/imports?angler=rush", `{"sessions":[` + imported + `]}`, 403},
		{"a higher role for a token", "rush", "POST", "/v1/tokens", `{"role":"officer","angler":"rush","clubs":["quill-club"]}`, 403},
		{"another's token", "rush", "POST", "/v1/tokens", `{"role":"angler","angler":"moss"}`, 403},
		{"who made a token", "rush", "POST", "/v1/tokens", `{"role":"angler","angler":"rush","made_by":"t-admin"}`, 422},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := &manned{house: m.on(t)}
			m.as(c.role, c.method, c.path, c.body, c.status)
		})
	}
	must(t, m.db.AddToken(t.Context(), model.Token{ID: "t-bailiff", Role: model.Officer, Angler: "sedge", Clubs: []string{"quill-club"}, MadeAt: now}, model.SecretDigest(secretOf(21))))
	bailiff := header{"Authorization", "Bearer " + secretOf(21)}
	m.wants(m.send("POST", "/v1/clubs/quill-club/restrictions", m.closure(), bailiff), 403) // decided by "officer"
	w := m.wants(m.send("POST", "/v1/clubs/quill-club/restrictions", with(m.closure(), `,"decided_by":"officer"`, ""), bailiff), 201)
	if r := read[model.Restriction](t, w); r.DecidedBy != "sedge" {
		t.Errorf("decided by %q", r.DecidedBy)
	}

	m.as("rush", "PATCH", "/v1/sessions/s-shared", `{"shared_with":["quill-club","other-club"]}`, 200)
	seen := read[model.Session](t, m.as("officer", "GET", "/v1/sessions/s-shared", "", 200))
	if !slices.Equal(seen.SharedWith, []string{"quill-club"}) {
		t.Errorf("an officer sees that it is shared with %v", seen.SharedWith)
	}
	if body := m.as("moss", "GET", "/v1/waters/quillmarsh-pit/readings", "", 200).Body.String(); strings.Contains(body, "rush") {
		t.Errorf("an angler sees who took a reading: %s", body)
	}
	if body := m.as("administrator", "GET", "/v1/tokens", "", 200).Body.String(); strings.Contains(body, "osier_") || strings.Contains(body, model.SecretDigest(secretOf(7))) {
		t.Errorf("the list tells secrets: %s", body)
	}
}

// API4, unrestricted resource consumption: of requests, and of what is sent and
// asked for at once.
func TestTooManyRequestsAreRefused(t *testing.T) {
	m := newManned(t)
	for _, c := range []struct {
		name    string
		headers []header
	}{
		{"an address", nil},
		{"a token", []header{{"Authorization", "Bearer " + secretOf(3)}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := m.on(t)
			h.from = "203.0.113.9:1"
			var w *httptest.ResponseRecorder
			for range 2000 {
				if w = h.send("GET", "/healthz", "", c.headers...); w.Code != 200 {
					break
				}
			}
			if p := h.problem(w, 429); p.Code != "too_many" || w.Header().Get("Retry-After") != "1" {
				t.Errorf("the problem is %+v, to be retried after %q", p, w.Header().Get("Retry-After"))
			}
			// A token's limit is its own, wherever it is used: half of a fresh one is
			// not there, whatever was made good meanwhile.
			h.from = "203.0.113.10:1"
			refused := false
			for range 100 {
				refused = refused || h.send("GET", "/healthz", "", c.headers...).Code == 429
			}
			if refused != (c.headers != nil) {
				t.Errorf("from elsewhere it is refused: %v", refused)
			}
		})
	}
	m.from = ""
	m.as("rush", "GET", "/v1/tokens?limit=201", "", 422)
	m.as("officer", "GET", "/v1/clubs/quill-club/sessions?limit=0", "", 422)
	m.as("administrator", "POST", "/v1/tokens", `{"role":"administrator","label":"`+strings.Repeat("x", 1<<20)+`"}`, 413)
}

// API5, broken function level authorisation: a rule holds for every method and
// spelling of a path.
func TestFunctionsOfOthersAreClosedHoweverTheyAreAskedFor(t *testing.T) {
	m := newManned(t)
	for _, c := range []struct {
		method, path string
		status       int
	}{
		{"HEAD", "/v1/jobs", 403},
		{"HEAD", "/metrics", 403},
		{"GET", "/v1/jobs/", 301}, // no rule is walked round by another spelling
		{"GET", "//v1/jobs", 404},
		{"GET", "/v1/JOBS", 404},
		{"POST", "/v1/jobs", 405},
		{"PATCH", "/v1/waters/quillmarsh-pit", 405},
		{"HEAD", "/v1/clubs/quill-club/sessions", 403},
	} {
		r := httptest.NewRequest(c.method, "/", strings.NewReader("{}"))
		r.URL.Path = c.path
		r.Header.Set("Authorization", "Bearer "+secretOf(3))
		w := httptest.NewRecorder()
		m.api.ServeHTTP(w, r)
		if w.Code != c.status {
			t.Errorf("%s %s answered %d, want %d", c.method, c.path, w.Code, c.status)
		}
	}
	if got := m.ask("moss", "POST", "/v1/sessions/s-private/events", `{}`, header{"X-Http-Method-Override", "DELETE"}).Code; got != 404 {
		t.Errorf("a method in a header: %d", got)
	}
	m.as("rush", "GET", "/v1/sessions/s-private", "", 200)
	// An officer of a club that nobody registered decides about no water.
	must(t, m.db.AddToken(t.Context(), model.Token{ID: "t-nowhere", Role: model.Officer, Clubs: []string{"no-club"}, MadeAt: now}, model.SecretDigest(secretOf(21))))
	m.wants(m.send("POST", "/v1/clubs/no-club/restrictions", m.closure(), header{"Authorization", "Bearer " + secretOf(21)}), 403)
}

// API6, unrestricted access to sensitive business flows: tokens do not breed, and
// an answer is kept for who got it.
func TestTokensDoNotBreed(t *testing.T) {
	m := newManned(t)
	made := read[struct {
		Token  model.Token
		Secret string
	}](t, m.as("rush", "POST", "/v1/tokens", `{"role":"angler","angler":"rush","label":"phone"}`, 201))
	child := header{"Authorization", "Bearer " + made.Secret}
	if made.Token.MadeBy != "t-rush" || !made.Token.ExpiresAt.Known {
		t.Errorf("made is %+v", made.Token)
	}
	m.wants(m.send("GET", "/v1/sessions/s-private", "", child), 200)
	m.wants(m.send("POST", "/v1/tokens", `{"role":"angler","angler":"rush"}`, child), 403)
	m.as("rush", "DELETE", "/v1/tokens/t-rush", "", 204)
	m.as("rush", "GET", "/v1/sessions/s-private", "", 401)
	m.wants(m.send("GET", "/v1/sessions/s-private", "", child), 401) // it goes with what it was made with

	must(t, m.db.AddToken(t.Context(), model.Token{ID: "t-short", Role: model.AnglerRole, Angler: "moss", MadeAt: now, ExpiresAt: model.Known(now.AddDate(0, 0, 1))}, model.SecretDigest(secretOf(21))))
	short := header{"Authorization", "Bearer " + secretOf(21)}
	m.wants(m.send("POST", "/v1/tokens", `{"role":"angler","angler":"moss","expires_at":null}`, short), 403) // it would outlast it
	m.wants(m.send("POST", "/v1/tokens", `{"role":"angler","angler":"moss","expires_at":"2026-11-26T09:00:00Z"}`, short), 201)

	key := header{"Idempotency-Key", "one"}
	first := m.wants(m.ask("administrator", "POST", "/v1/sessions", strings.ReplaceAll(hourly, "moss", "sedge"), key), 201)
	m.wants(m.ask("moss", "POST", "/v1/sessions", strings.ReplaceAll(hourly, "moss", "sedge"), key), 403) // not what another was answered
	again := m.wants(m.ask("administrator", "POST", "/v1/sessions", strings.ReplaceAll(hourly, "moss", "sedge"), key), 201)
	if first.Body.String() != again.Body.String() {
		t.Error("the administrator gets another answer to the same key")
	}
}

// API7, server side request forgery: nothing that is sent makes the server, or a
// browser after signing in, go elsewhere.
func TestNobodyIsSentElsewhere(t *testing.T) {
	m := newManned(t)
	for next, want := range map[string]string{
		"/clubs/quill-club?day=1":   "/clubs/quill-club?day=1",
		"https://elsewhere.example": "/", "//elsewhere.example/x": "/", `/\elsewhere.example`: "/", "javascript:alert(1)": "/", "elsewhere": "/", "": "/",
		"/a\r\nSet-Cookie: x=y": "/",
	} {
		w := m.form("/sign-in", map[string]string{"token": secretOf(7), "next": next})
		if got := w.Header().Get("Location"); w.Code != 303 || got != want {
			t.Errorf("after signing in for %q the browser is sent to %q (%d)", next, got, w.Code)
		}
	}
}

// API8, security misconfiguration: what is open is open to this machine alone.
func TestTheHouseIsOpenToThisMachineAlone(t *testing.T) {
	ask := func(h *house, host string, headers ...header) int {
		r := httptest.NewRequest("GET", "/v1/jobs", nil)
		r.Host = host
		for _, set := range headers {
			r.Header.Set(set.name, set.value)
		}
		w := httptest.NewRecorder()
		h.api.ServeHTTP(w, r)
		return w.Code
	}
	for _, c := range []struct {
		name     string
		loopback bool
		token    bool
		host     string
		headers  []header
		status   int
	}{
		{"this machine, by name", true, false, "localhost:8086", nil, 200},
		{"this machine, by address", true, false, "127.0.0.1:8086", nil, 200},
		{"this machine, by its other address", true, false, "[::1]:8086", nil, 200},
		{"another listener", false, false, "localhost:8086", nil, 401},
		{"once there is a token", true, true, "localhost:8086", nil, 401},
		{"a name of somebody else's that points here", true, false, "rebound.example:8086", nil, 401},
		{"through a proxy on this machine", true, false, "127.0.0.1:8086", []header{{"X-Forwarded-For", "198.51.100.9"}}, 401},
		{"through a proxy that says so in the new way", true, false, "127.0.0.1:8086", []header{{"Forwarded", "for=198.51.100.9"}}, 401},
	} {
		h := newHouse(t, func(o *api.Options) { o.Loopback = c.loopback })
		if c.token {
			must(t, h.db.AddToken(t.Context(), model.Token{ID: "t-1", Role: model.Administrator, MadeAt: now}, "d"))
			must(t, h.db.RevokeToken(t.Context(), "t-1", now)) // made once is made
		}
		if got := ask(h, c.host, c.headers...); got != c.status {
			t.Errorf("%s: answered %d, want %d", c.name, got, c.status)
		}
	}
}

// API9: every route of the package's code has a rule before its handler.
func TestNoRouteIsWithoutARule(t *testing.T) {
	files, err := filepath.Glob("*.go")
	must(t, err)
	routes := 0
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		source, err := os.ReadFile(file)
		must(t, err)
		tree, err := parser.ParseFile(token.NewFileSet(), file, source, 0)
		must(t, err)
		ast.Inspect(tree, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			method, ok := call.Fun.(*ast.SelectorExpr)
			if !ok || !isEngine(method.X) || !slices.Contains([]string{"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "Any", "Match", "Handle", "Group", "StaticFile", "Static", "StaticFS"}, method.Sel.Name) {
				return true
			}
			routes++
			ruled := slices.ContainsFunc(call.Args, func(a ast.Expr) bool {
				c, ok := a.(*ast.CallExpr)
				if !ok {
					return false
				}
				f, ok := c.Fun.(*ast.SelectorExpr)
				return ok && f.Sel.Name == "admit"
			})
			if !ruled {
				t.Errorf("%s: a route is added by %s without s.admit", file, method.Sel.Name)
			}
			return true
		})
	}
	if routes < 5 {
		t.Errorf("only %d places add routes: the test looks for them in the wrong way", routes)
	}
}

func isEngine(x ast.Expr) bool {
	s, ok := x.(*ast.SelectorExpr)
	return ok && s.Sel.Name == "engine"
}

// form sends a form as a browser's page of ours does.
func (m *manned) form(path string, fields map[string]string, headers ...header) *httptest.ResponseRecorder {
	m.t.Helper()
	return formOf(m.api, path, fields, append([]header{{"Sec-Fetch-Site", "same-origin"}}, headers...)...)
}

func formOf(server http.Handler, path string, fields map[string]string, headers ...header) *httptest.ResponseRecorder {
	values := make([]string, 0, len(fields))
	for name, value := range fields {
		values = append(values, name+"="+escape(value))
	}
	r := httptest.NewRequest("POST", path, strings.NewReader(strings.Join(values, "&")))
	r.Host = "localhost"
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	for _, set := range headers {
		r.Header.Set(set.name, set.value)
	}
	w := httptest.NewRecorder()
	server.ServeHTTP(w, r)
	return w
}
