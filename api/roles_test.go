package api_test

import (
	"fmt"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"osier/model"
)

// roles are those whom the walk asks as, in the order of its columns.
var roles = []string{"expired", "revoked", "public", "moss", "officer of another club", "rush, read-only", "officer", "rush", "administrator"}

// secretOf is the secret of one of the walk's credentials, the same in every run.
func secretOf(i int) string {
	return "osier_" + strings.Repeat(string(rune('a'+i)), 51) + "a"
}

// manned is a house with records of rush, who shares one with quill-club, and a
// credential of each kind.
type manned struct {
	*house
	n     int // of things made for one question each
	asked int

	unpublished string
}

// newManned fills a house through its own API. Nothing in it is open.
func newManned(t *testing.T) *manned {
	t.Helper()
	m := &manned{house: newPit(t)}
	for i, token := range []model.Token{
		{ID: "t-expired", Role: model.Administrator, ExpiresAt: model.Known(now.Add(-time.Minute))},
		{ID: "t-revoked", Role: model.Administrator},
		{ID: "t-public"}, // nobody's
		{ID: "t-moss", Role: model.AnglerRole, Angler: "moss"},
		{ID: "t-other", Role: model.Officer, Clubs: []string{"other-club"}},
		{ID: "t-reader", Role: model.AnglerRole, Angler: "rush", ReadOnly: true},
		{ID: "t-officer", Role: model.Officer, Clubs: []string{"quill-club"}},
		{ID: "t-rush", Role: model.AnglerRole, Angler: "rush"},
		{ID: "t-admin", Role: model.Administrator},
	} {
		if token.Role == "" {
			continue
		}
		token.MadeAt = now.Add(-time.Hour)
		must(t, m.db.AddToken(t.Context(), token, model.SecretDigest(secretOf(i))))
	}
	must(t, m.db.AddToken(t.Context(), model.Token{ID: "t-calendar", Role: model.AnglerRole, Angler: "rush", ReadOnly: true, Calendar: true, MadeAt: now}, model.SecretDigest(secretOf(24))))
	must(t, m.db.RevokeToken(t.Context(), "t-revoked", now.Add(-time.Minute)))
	must(t, m.db.PutJobRun(t.Context(), jobRun("1")))
	for _, club := range []string{"quill-club", "other-club"} {
		must(t, m.db.PutClub(t.Context(), model.Club{ID: club, Name: club, Zone: "Europe/London", Waters: []string{"quillmarsh-pit"}, AddedAt: now}))
	}
	m.closes()
	m.as("administrator", "POST", "/v1/waters/quillmarsh-pit/readings", `{"water_temp_c":8,"by":"rush"}`, 201)
	m.as("rush", "POST", "/v1/sessions", with(summary, "{", `{"id":"s-shared","shared_with":["quill-club"],`), 201)
	m.as("rush", "POST", "/v1/sessions", with(strings.ReplaceAll(summary, "2026-11-20", "2026-11-19"), "{", `{"id":"s-private",`), 201)
	m.as("rush", "POST", "/v1/sessions/s-live/events", strings.ReplaceAll(liveStart, "sedge", "rush"), 200)
	m.as("rush", "POST", "/v1/sessions/s-live/events", liveCasts, 200)
	return m
}

// A session belongs to whoever sent its first event, though no record is made of
// it yet: nobody else's record takes its name. Its log is not shared with the
// record.
func TestASessionBeingFishedIsItsAnglersOwn(t *testing.T) {
	m := newManned(t)
	theirs := with(with(strings.ReplaceAll(summary, "2026-11-20", "2026-11-18"), "{", `{"id":"s-live",`), `"angler":"rush",`, "")
	m.as("moss", "POST", "/v1/sessions", theirs, 409)
	m.as("moss", "GET", "/v1/sessions/s-live/live", "", 404)
	m.as("rush", "GET", "/v1/sessions/s-live/live", "", 200)
	m.as("rush", "POST", "/v1/sessions/s-live/events", liveEnd, 200)
	m.as("rush", "PATCH", "/v1/sessions/s-live", `{"shared_with":["quill-club"]}`, 200)
	m.as("officer", "GET", "/v1/sessions/s-live", "", 200)
	m.as("officer", "GET", "/v1/sessions/s-live/live", "", 404)
}

// ask sends a request as one of the roles.
func (m *manned) ask(role, method, path, body string, headers ...header) *httptest.ResponseRecorder {
	m.t.Helper()
	if i := slices.Index(roles, role); role != "public" {
		headers = append([]header{{"Authorization", "Bearer " + secretOf(i)}}, headers...)
	}
	m.asked++
	m.from = fmt.Sprintf("192.0.2.%d:4000", m.asked%250) // else one address would fail too often
	return m.send(method, path, body, headers...)
}

// as is ask with a status that must come.
func (m *manned) as(role, method, path, body string, status int) *httptest.ResponseRecorder {
	m.t.Helper()
	return m.wants(m.ask(role, method, path, body), status)
}

// fresh makes a record of rush that one question may destroy.
func (m *manned) fresh() string {
	m.t.Helper()
	m.n++
	id := fmt.Sprintf("s-fresh-%d", m.n)
	day := now.AddDate(0, 0, -10-m.n).Format("2006-01-02")
	m.as("administrator", "POST", "/v1/sessions", with(strings.ReplaceAll(summary, "2026-11-20", day), "{", `{"id":"`+id+`",`), 201)
	return id
}

func (m *manned) freshToken() string {
	m.t.Helper()
	m.n++
	w := m.as("administrator", "POST", "/v1/tokens", fmt.Sprintf(`{"role":"angler","angler":"rush","label":"%d"}`, m.n), 201)
	return read[struct{ Token model.Token }](m.t, w).Token.ID
}

func (m *manned) freshRestriction() string {
	m.t.Helper()
	m.n++
	return read[model.Restriction](m.t, m.as("administrator", "POST", "/v1/clubs/quill-club/restrictions", m.closure(), 201)).ID
}

// closure is another one each time.
func (m *manned) closure() string {
	m.n++
	return fmt.Sprintf(`{"water":"quillmarsh-pit","kind":"no_keepnets","reason":"number %d","decided_by":"officer"}`, m.n)
}

func (m *manned) plan(as string) string {
	m.t.Helper()
	w := m.as(as, "POST", "/v1/plans", with(question, `"angler":"rush",`, ""), 200)
	return read[model.Plan](m.t, w).ID
}

func (m *manned) ownImport() string {
	m.t.Helper()
	w := m.wants(m.ask("rush", "POST", "/v1/imports", csvFile, asType("text/csv")...), 201)
	return read[model.Import](m.t, w).ID
}

// draft is the path of an outlook that was built and not published; made is kept,
// since building one takes long.
func (m *manned) draft() string {
	m.t.Helper()
	if m.unpublished == "" {
		w := m.as("administrator", "POST", "/v1/clubs/quill-club/outlooks", `{"days":1}`, 201)
		m.unpublished = w.Header().Get("Location")
	}
	return m.unpublished
}

// published is the path of an outlook that was.
func (m *manned) published() string {
	m.t.Helper()
	m.wants(m.ask("administrator", "POST", m.draft()+"/publish", `{"by":"officer"}`), 200)
	return m.draft()
}

// asked is one question of the walk: the operation it is of, what is sent, and
// the status that each role must get.
type asked struct {
	operation string
	send      func(m *manned) (path, body string)
	headers   []header
	want      string // in the order of roles
}

func to(path string) func(*manned) (string, string) { return sending(path, "") }

func sending(path, body string) func(*manned) (string, string) {
	return func(*manned) (string, string) { return path, body }
}

const (
	toAll      = "401 401 200 200 200 200 200 200 200"
	toMembers  = "401 401 401 200 200 200 200 200 200"
	toAdmins   = "401 401 401 403 403 403 403 403 200"
	toOwner    = "401 401 401 404 404 200 404 200 200"
	toOwnerOr  = "401 401 401 404 404 200 200 200 200" // the club it is shared with
	toOfficers = "401 401 401 403 403 403 200 403 200"
)

// questions are asked of every role. An operation of the document that is not
// among them fails the test.
var questions = []asked{
	{"GET /healthz", to("/healthz"), nil, toAll},
	{"GET /readyz", to("/readyz"), nil, toAll},
	{"GET /metrics", to("/metrics"), nil, toAdmins},
	{"GET /openapi.yaml", to("/openapi.yaml"), nil, toAll},
	{"GET /v1/waters", to("/v1/waters"), nil, toAll},
	{"GET /v1/waters/{water}", to("/v1/waters/quillmarsh-pit"), nil, toAll},
	{"PUT /v1/waters/{water}", sending("/v1/waters/quillmarsh-pit", pit), nil, toAdmins},
	{"GET /v1/waters/{water}/conditions", to("/v1/waters/quillmarsh-pit/conditions"), nil, toAll},
	{"GET /v1/waters/{water}/season", to("/v1/waters/quillmarsh-pit/season"), nil, toAll},
	{"GET /v1/waters/{water}/readings", to("/v1/waters/quillmarsh-pit/readings"), nil, toMembers},
	{"POST /v1/waters/{water}/readings", func(m *manned) (string, string) {
		m.n++
		return "/v1/waters/quillmarsh-pit/readings", fmt.Sprintf(`{"water_temp_c":%d.%d}`, 7+m.n/10%2, m.n%10)
	}, nil, "401 401 401 201 403 403 403 201 201"},
	{"POST /v1/waters/{water}/readings", sending("/v1/waters/quillmarsh-pit/readings", `{"water_temp_c":6.5,"by":"sedge"}`), nil, "401 401 401 403 403 403 403 403 201"},
	{"POST /v1/plans", sending("/v1/plans", question), nil, "401 401 401 403 403 200 403 200 200"},                        // for rush
	{"POST /v1/plans", sending("/v1/plans", with(question, `"angler":"rush",`, "")), nil, toAll},                          // for nobody, or oneself
	{"GET /v1/plans/{plan}", func(m *manned) (string, string) { return "/v1/plans/" + m.plan("public"), "" }, nil, toAll}, // for nobody
	{"GET /v1/plans/{plan}", func(m *manned) (string, string) { return "/v1/plans/" + m.plan("rush"), "" }, nil, "401 401 404 404 404 200 404 200 200"},
	{"POST /v1/choices", sending("/v1/choices", with(choice, `,"alder-mere"`, "")), nil, "401 401 401 403 403 200 403 200 200"},
	{"POST /v1/sessions", sending("/v1/sessions", with(summary, "{", `{"id":"s-shared","shared_with":["quill-club"],`)), nil, "401 401 401 403 403 403 403 200 200"},
	{"POST /v1/sessions", sending("/v1/sessions", with(hourly, `"angler":"moss",`, "")), nil, "401 401 401 201 403 403 403 201 422"}, // one's own
	{"GET /v1/sessions/{session}", to("/v1/sessions/s-private"), nil, toOwner},
	{"GET /v1/sessions/{session}", to("/v1/sessions/s-shared"), nil, toOwnerOr},
	{"PATCH /v1/sessions/{session}", sending("/v1/sessions/s-shared", `{"notes":"wind got up"}`), nil, "401 401 401 404 404 403 404 200 200"},
	{"PATCH /v1/sessions/{session}", func(m *manned) (string, string) { return "/v1/sessions/" + m.fresh(), `{"angler":"moss"}` }, nil, "401 401 401 404 404 403 404 403 200"}, // given away
	{"DELETE /v1/sessions/{session}", func(m *manned) (string, string) { return "/v1/sessions/" + m.fresh(), "" }, nil, "401 401 401 404 404 403 404 204 204"},
	{"POST /v1/sessions/{session}/events", sending("/v1/sessions/s-live/events", liveCasts), nil, "401 401 401 404 403 403 403 200 200"},
	{"POST /v1/sessions/{session}/events", func(m *manned) (string, string) {
		m.n++
		return fmt.Sprintf("/v1/sessions/s-new-%d/events", m.n), strings.ReplaceAll(liveStart, "sedge", "rush")
	}, nil, "401 401 401 403 403 403 403 200 200"},
	{"GET /v1/sessions/{session}/live", to("/v1/sessions/s-live/live"), nil, toOwner},
	{"GET /v1/sessions/{session}/advice", to("/v1/sessions/s-live/advice"), nil, toOwner},
	{"GET /v1/sessions/{session}/summary", to("/v1/sessions/s-private/summary"), nil, toOwner},
	{"GET /v1/sessions/{session}/summary", to("/v1/sessions/s-shared/summary"), nil, toOwnerOr},
	{"POST /v1/imports", sending("/v1/imports", csvFile), asType("text/csv"), "401 401 401 201 403 403 403 201 201"},
	{"GET /v1/imports/{import}", func(m *manned) (string, string) { return "/v1/imports/" + m.ownImport(), "" }, nil, toOwner},
	{"GET /v1/clubs", to("/v1/clubs"), nil, toAll},
	{"GET /v1/clubs/{club}", to("/v1/clubs/quill-club"), nil, toAll},
	{"PUT /v1/clubs/{club}", sending("/v1/clubs/quill-club", `{"name":"quill-club","zone":"Europe/London","waters":["quillmarsh-pit"]}`), nil, toAdmins},
	{"GET /v1/clubs/{club}/restrictions", to("/v1/clubs/quill-club/restrictions"), nil, toAll},
	{"POST /v1/clubs/{club}/restrictions", func(m *manned) (string, string) { return "/v1/clubs/quill-club/restrictions", m.closure() }, nil, "401 401 401 403 403 403 201 403 201"},
	{"POST /v1/clubs/{club}/restrictions/{restriction}/lift", func(m *manned) (string, string) {
		return "/v1/clubs/quill-club/restrictions/" + m.freshRestriction() + "/lift", `{"by":"officer","why":"rain came"}`
	}, nil, toOfficers},
	{"GET /v1/clubs/{club}/outlooks", to("/v1/clubs/quill-club/outlooks"), nil, toAll},
	{"GET /v1/clubs/{club}/outlooks", to("/v1/clubs/quill-club/outlooks?state=draft"), nil, toOfficers},
	{"POST /v1/clubs/{club}/outlooks", sending("/v1/clubs/quill-club/outlooks", `{"days":1}`), nil, "401 401 401 403 403 403 201 403 201"},
	{"GET /v1/clubs/{club}/outlooks/{outlook}", func(m *manned) (string, string) { return m.draft(), "" }, nil, "401 401 404 404 404 404 200 404 200"},
	{"PATCH /v1/clubs/{club}/outlooks/{outlook}", func(m *manned) (string, string) {
		m.n++
		return m.draft(), fmt.Sprintf(`{"by":"officer","note":"mind the reeds at peg %d"}`, m.n)
	}, nil, toOfficers},
	{"GET /clubs/{club}/outlooks/{outlook}/table.csv", func(m *manned) (string, string) {
		return strings.TrimPrefix(m.draft(), "/v1") + "/table.csv", ""
	}, nil, "401 401 404 404 404 404 404 404 404"},
	{"POST /v1/clubs/{club}/outlooks/{outlook}/publish", func(m *manned) (string, string) { return m.draft() + "/publish", `{"by":"officer"}` }, nil, toOfficers},
	{"GET /v1/clubs/{club}/outlooks/{outlook}", func(m *manned) (string, string) { return m.published(), "" }, nil, toAll},
	{"GET /clubs/{club}/outlooks/{outlook}/table.csv", func(m *manned) (string, string) {
		return strings.TrimPrefix(m.published(), "/v1") + "/table.csv", ""
	}, nil, toAll},
	{"GET /v1/clubs/{club}/outlook-scores", to("/v1/clubs/quill-club/outlook-scores"), nil, toAll},
	{"GET /v1/waters/{water}/outlook", to("/v1/waters/quillmarsh-pit/outlook?days=1"), nil, toAll},
	{"GET /v1/clubs/{club}/sessions", to("/v1/clubs/quill-club/sessions"), nil, toOfficers},
	{"GET /v1/track-record", to("/v1/track-record"), nil, toAll},
	{"GET /v1/jobs", to("/v1/jobs"), nil, toAdmins},
	{"GET /v1/tokens", to("/v1/tokens"), nil, "401 401 401 200 403 200 403 200 200"},
	{"POST /v1/tokens", sending("/v1/tokens", `{"role":"angler","angler":"rush"}`), nil, "401 401 401 403 403 403 403 201 201"},
	{"POST /v1/tokens", sending("/v1/tokens", `{"role":"administrator"}`), nil, "401 401 401 403 403 403 403 403 201"},
	{"DELETE /v1/tokens/{token}", func(m *manned) (string, string) { return "/v1/tokens/" + m.freshToken(), "" }, nil, "401 401 401 404 403 403 403 204 204"},
	{"GET /v1/anglers/{angler}/export", to("/v1/anglers/rush/export"), nil, "401 401 401 404 403 200 403 200 200"},
	{"DELETE /v1/anglers/{angler}", to("/v1/anglers/heron"), nil, "401 401 401 404 403 403 403 404 404"}, // of whom nothing is stored
	{"GET /v1/anglers/{angler}/calendar.ics", to("/v1/anglers/rush/calendar.ics"), nil, toOwner},
	{"GET /calendars/{secret}/sessions.ics", to("/calendars/" + secretOf(24) + "/sessions.ics"), nil, toAll}, // the address is the credential
	{"GET /calendars/{secret}/sessions.ics", to("/calendars/" + secretOf(5) + "/sessions.ics"), nil, "401 401 404 404 404 404 404 404 404"},
	{"GET /clubs/{club}/feed.atom", to("/clubs/quill-club/feed.atom"), nil, toAll},
	{"GET /clubs/{club}/feed.json", to("/clubs/quill-club/feed.json"), nil, toAll},
	{"GET /clubs/{club}/calendar.ics", to("/clubs/quill-club/calendar.ics"), nil, toAll},
	{"GET /clubs/{club}/embed", to("/clubs/quill-club/embed"), nil, toAll},
	{"GET /clubs/{club}/embed.svg", to("/clubs/quill-club/embed.svg"), nil, toAll},
}

// A stranger cannot see a private record by any route, nor can anybody do what
// their role does not reach.
func TestEveryOperationIsAskedByEveryRole(t *testing.T) {
	m := newManned(t)
	document, err := theContract()
	must(t, err)
	for _, operation := range document.Operations() {
		if !slices.ContainsFunc(questions, func(q asked) bool { return q.operation == operation }) {
			t.Errorf("%s is not in the table: say who may use it", operation)
		}
	}
	for _, q := range questions {
		t.Run(q.operation, func(t *testing.T) {
			m := &manned{house: m.on(t), n: m.n, asked: m.asked}
			method, _, _ := strings.Cut(q.operation, " ")
			var got []string
			for _, role := range roles {
				path, body := q.send(m)
				got = append(got, fmt.Sprint(m.ask(role, method, path, body, q.headers...).Code))
			}
			if want := strings.Fields(q.want); !slices.Equal(got, want) {
				for i, role := range roles {
					if got[i] != want[i] {
						t.Errorf("%s got %s, want %s", role, got[i], want[i])
					}
				}
			}
		})
		m.n, m.asked = m.n+20, m.asked+40
	}
}
