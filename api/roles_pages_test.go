package api_test

import (
	"fmt"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"osier/api/page"
)

// visited is one question of the walk through the pages: a route that is no
// operation of the document, the form that is sent, and the status for each role.
type visited struct {
	route string
	path  func(m *manned) string
	form  url.Values
	want  string // in the order of roles
}

func at(path string) func(*manned) string { return func(*manned) string { return path } }

const (
	onward        = "401 401 303 303 303 303 303 303 303"
	nothingHere   = "401 401 404 404 404 404 404 404 404"
	ownerReads    = "401 401 303 404 404 200 404 200 200" // a stranger is sent to sign in
	ownerOrReads  = "401 401 303 404 404 200 200 200 200"
	officersRead  = "401 401 303 403 403 403 200 403 200"
	officersWrite = "401 401 401 403 403 403 303 403 303"
)

// ofQuill is a path under the page of the club.
func ofQuill(path string) string { return "/clubs/quill-club" + path }

// pageQuestions are asked of every role. A route of a page that is not among them
// fails the test.
var pageQuestions = []visited{
	{"GET /", at("/"), nil, toAll},
	{"GET /docs", at("/docs"), nil, toAll},
	{"GET /waters/:water", at("/waters/quillmarsh-pit"), nil, toAll},
	{"GET /waters/:water/season", at("/waters/quillmarsh-pit/season"), nil, toAll},
	{"GET /waters/:water/weather", at("/waters/quillmarsh-pit/weather"), nil, toAll},
	{"GET /waters/:water/outlook", at("/waters/quillmarsh-pit/outlook"), nil, toAll},
	{"GET /plan", at("/plan"), nil, toAll},
	{"POST /plan", at("/plan"), url.Values{"water": {"quillmarsh-pit"}, "day": {"2026-11-26"}, "time": {"08:00"}, "hours": {"4"}, "group": {"bream"}}, onward},
	{"GET /plans/:plan", func(m *manned) string { return "/plans/" + m.plan("public") }, nil, toAll},
	{"GET /plans/:plan", func(m *manned) string { return "/plans/" + m.plan("rush") }, nil, "401 401 404 404 404 200 404 200 200"},
	{"GET /sessions/:session", at("/sessions/s-private"), nil, ownerReads},
	{"GET /sessions/:session", at("/sessions/s-shared"), nil, ownerOrReads},
	{"GET /clubs/:club", at(ofQuill("")), nil, toAll},
	{"GET /track-record", at("/track-record"), nil, toAll},
	{"GET /findings", at("/findings"), nil, toAll},
	{"GET /clubs/:club/office", at(ofQuill("/office")), nil, officersRead},
	{"GET /clubs/:club/outlooks/:outlook", func(m *manned) string { return strings.TrimPrefix(m.draft(), "/v1") }, nil, "401 401 404 404 404 404 200 404 200"},
	{"POST /clubs/:club/office/outlooks/:outlook/notes", func(m *manned) string { return m.officeOf("/notes") }, url.Values{"note": {"Mind the reeds."}, "by": {"officer"}}, officersWrite},
	{"POST /clubs/:club/office/outlooks/:outlook/publish", func(m *manned) string { return m.officeOf("/publish") }, url.Values{"by": {"officer"}}, officersWrite},
	{"GET /clubs/:club/outlooks/:outlook", func(m *manned) string { return strings.TrimPrefix(m.published(), "/v1") }, nil, toAll},
	{"POST /clubs/:club/office/restrictions", at(ofQuill("/office/restrictions")), url.Values{"water": {"quillmarsh-pit"}, "kind": {"no_keepnets"}, "from": {"2026-12-01T08:00"}, "reason": {"warm"}, "decided_by": {"officer"}}, officersWrite},
	{"POST /clubs/:club/office/restrictions/:restriction/lift", func(m *manned) string {
		return ofQuill("/office/restrictions/" + m.freshRestriction() + "/lift")
	}, url.Values{"by": {"officer"}, "why": {"rain came"}}, officersWrite},
	{"GET /sign-in", at("/sign-in"), nil, toAll},
	{"POST /sign-in", at("/sign-in"), url.Values{"token": {secretOf(3)}}, onward},
	{"POST /sign-in", at("/sign-in"), url.Values{"token": {secretOf(1)}}, "401 401 401 401 401 401 401 401 401"}, // it was revoked
	{"POST /sign-out", at("/sign-out"), url.Values{}, onward},
	{"GET /sign-in/service", at("/sign-in/service"), nil, nothingHere}, // no service is asked here
	{"GET /sign-in/return", at("/sign-in/return?code=c&state=s"), nil, nothingHere},
}

// officeOf is where the office changes the draft.
func (m *manned) officeOf(what string) string {
	return strings.Replace(strings.TrimPrefix(m.draft(), "/v1"), "/outlooks/", "/office/outlooks/", 1) + what
}

// askPage is ask as a browser does, for what the document does not tell of.
func (m *manned) askPage(role, method, path string, form url.Values) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, path, strings.NewReader(form.Encode()))
	r.Host = "localhost"
	r.Header.Set("Accept", "text/html")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	if form != nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	if role != "public" {
		r.Header.Set("Authorization", "Bearer "+secretOf(slices.Index(roles, role)))
	}
	m.asked++
	r.RemoteAddr = fmt.Sprintf("192.0.2.%d:4000", m.asked%250)
	w := httptest.NewRecorder()
	m.api.ServeHTTP(w, r)
	return w
}

// A stranger cannot see a private record by any route: also not by those that are
// for browsers alone.
func TestEveryPageIsAskedByEveryRole(t *testing.T) {
	m := newManned(t)
	document, err := theContract()
	must(t, err)
	files, err := page.Bank(false)
	must(t, err)
	routes := page.Routes()
	for _, r := range m.api.Routes() {
		_, ofBank := files[r.Path]
		_, style := page.Styles()[r.Path]
		switch {
		case r.Method == "HEAD" || slices.Contains(document.Operations(), r.Method+" "+inBraces(r.Path)):
		case ofBank || style: // the same bytes for everybody
			for _, role := range []string{"public", "moss", "officer", "administrator"} {
				if w := m.askPage(role, "GET", r.Path, nil); w.Code != 200 {
					t.Errorf("%s asks for %s: %d", role, r.Path, w.Code)
				}
			}
		default:
			routes = append(routes, r.Method+" "+r.Path)
		}
	}
	for _, route := range routes {
		if !slices.ContainsFunc(pageQuestions, func(q visited) bool { return q.route == route }) {
			t.Errorf("%s is not in the table: say who may use it", route)
		}
	}
	for _, q := range pageQuestions {
		t.Run(q.route, func(t *testing.T) {
			part := *m
			part.house = m.on(t)
			method, _, _ := strings.Cut(q.route, " ")
			for i, want := range strings.Fields(q.want) {
				path := q.path(&part)
				if got := fmt.Sprint(part.askPage(roles[i], method, path, q.form).Code); got != want {
					t.Errorf("%s got %s, want %s", roles[i], got, want)
				}
				if method != "GET" {
					continue
				}
				if got := fmt.Sprint(part.askPage(roles[i], "HEAD", path, nil).Code); got != want {
					t.Errorf("%s got %s for HEAD, want %s", roles[i], got, want)
				}
			}
			m.n, m.asked, m.unpublished = part.n, part.asked, part.unpublished
		})
	}
}

// inBraces is a route as the document writes it.
func inBraces(route string) string {
	parts := strings.Split(route, "/")
	for i, part := range parts {
		if name, isParameter := strings.CutPrefix(part, ":"); isParameter {
			parts[i] = "{" + name + "}"
		}
	}
	return strings.Join(parts, "/")
}
