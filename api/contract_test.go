package api_test

import (
	"maps"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"osier/api"
	"osier/api/page"
	"osier/model"
)

var parameter = regexp.MustCompile(`:(\w+)`)

// Pages are no operations: the very routes and files of the pages are left out,
// and nothing else that lies beside them.
func TestRoutesAreTheOperationsOfTheDocument(t *testing.T) {
	document, err := theContract()
	must(t, err)
	files, err := page.Bank(false)
	must(t, err)
	maps.Copy(files, page.Styles())
	var routes []string
	for _, r := range newHouse(t).api.Routes() {
		if _, isFile := files[r.Path]; isFile && (r.Method == http.MethodGet || r.Method == http.MethodHead) {
			continue
		}
		if slices.Contains(page.Routes(), strings.Replace(r.Method, http.MethodHead, http.MethodGet, 1)+" "+r.Path) {
			continue
		}
		if r.Method != http.MethodHead { // the document says that reads answer it
			routes = append(routes, r.Method+" "+parameter.ReplaceAllString(r.Path, "{$1}"))
		}
	}
	slices.Sort(routes)
	if diff := cmp.Diff(document.Operations(), routes); diff != "" {
		t.Errorf("document (-) and routes (+) differ:\n%s", diff)
	}
}

func TestProblemIsAsTheDocumentSays(t *testing.T) {
	document, err := theContract()
	must(t, err)
	for _, difference := range document.Differences("Problem", api.Problem{}) {
		t.Error(difference)
	}
}

// step is one request of a walk through the API and what must come back.
type step struct {
	method, path, body string
	headers            []header
	status             int
}

// walk exercises every operation; {plan}, {session}, {import} and {restriction}
// stand for what came before.
var walk = []step{
	{"GET", "/healthz", "", nil, 200},
	{"GET", "/readyz", "", nil, 200},
	{"GET", "/openapi.yaml", "", nil, 200},
	{"GET", "/metrics", "", nil, 200},
	{"PUT", "/v1/waters/alder-mere", `{"id":"alder-mere","name":"Alder Mere","lat":52,"lon":-1,"mean_depth_m":1.8,"bank":"earth","zone":"Europe/London","groups":["carp"],"colour":"clear","area_ha":2.5,"shelter_factor":null}`, nil, 201},
	{"PUT", "/v1/waters/alder-mere", `{"name":"Alder Mere","lat":52,"lon":-1,"mean_depth_m":2,"bank":"platform","zone":"Europe/London","groups":["carp"],"colour":"clear"}`, nil, 200},
	{"GET", "/v1/waters", "", nil, 200},
	{"GET", "/v1/waters?limit=1&after=alder-mere", "", nil, 200},
	{"GET", "/v1/waters/quillmarsh-pit", "", nil, 200},
	{"GET", "/v1/waters/quillmarsh-pit/conditions", "", nil, 200},
	{"GET", "/v1/waters/quillmarsh-pit/conditions?from=2026-11-28T22:00:00Z&to=2026-11-29T04:00:00Z", "", nil, 200},
	{"GET", "/v1/waters/alder-mere/conditions", "", nil, 200}, // no weather at all
	{"POST", "/v1/waters/quillmarsh-pit/readings", `{"water_temp_c":8,"oxygen_mg_l":9.5,"depth_m":0.3,"by":"rush"}`, nil, 201},
	{"POST", "/v1/waters/quillmarsh-pit/readings", `{"water_temp_c":31,"at":"2026-11-24T09:00:00+01:00","instrument":true}`, nil, 201}, // no water had it
	{"GET", "/v1/waters/quillmarsh-pit/season", "", nil, 200},
	{"GET", "/v1/waters/alder-mere/season?group=carp&hours=4", "", nil, 200}, // its climate alone
	{"GET", "/v1/waters/quillmarsh-pit/readings", "", nil, 200},
	{"GET", "/v1/waters/quillmarsh-pit/readings?limit=1", "", nil, 200},
	{"GET", "/v1/waters/quillmarsh-pit/conditions?from=2026-11-25T22:00:00Z&to=2026-11-26T04:00:00Z", "", nil, 200}, // corrected by a reading
	{"POST", "/v1/plans", question, nil, 200},
	{"POST", "/v1/plans", `{"water":"alder-mere","start":"2026-11-26T08:00:00Z","hours":4,"group":"carp","peg":"","cast_bearing_deg":90,"distance_m":40,"depth_m":2,"rod_max_g":60,"known_water":true,"alone":true,"keepnet":true,"mode":"match"}`, nil, 200},
	{"GET", "/v1/plans/{plan}", "", nil, 200},
	{"POST", "/v1/clubs/quill-club/restrictions", `{"water":"alder-mere","kind":"closed","from":"2026-11-26T09:00:00Z","until":"2026-11-27T09:00:00Z","reason":"fish in distress","decided_by":"water-officer"}`, nil, 201},
	{"POST", "/v1/clubs/quill-club/restrictions", `{"water":"alder-mere","kind":"closed","from":"2026-11-26T09:00:00Z","until":"2026-11-27T09:00:00Z","reason":"fish in distress","decided_by":"water-officer"}`, nil, 200},
	{"GET", "/v1/plans/{plan}", "", nil, 200}, // closed since
	{"POST", "/v1/clubs/quill-club/restrictions/{restriction}/lift", `{"by":"water-officer","why":"fish recovered"}`, nil, 200},
	{"POST", "/v1/clubs/quill-club/restrictions", `{"water":"quillmarsh-pit","kind":"feed_limit","feed_limit_dry_g":500,"reason":"warm water","decided_by":"water-officer"}`, nil, 201},
	{"POST", "/v1/clubs/quill-club/restrictions", `{"water":"quillmarsh-pit","kind":"no_keepnets","until":null,"reason":"warm water","decided_by":"water-officer"}`, nil, 201},
	{"GET", "/v1/clubs/quill-club/restrictions", "", nil, 200},
	{"GET", "/v1/clubs/quill-club/restrictions?at=2026-11-25T10:00:00Z&until=2026-12-25T10:00:00Z&limit=1", "", nil, 200},
	{"PUT", "/v1/clubs/quill-club", twoWaters, nil, 201},
	{"PUT", "/v1/clubs/quill-club", twoWaters, nil, 200},
	{"GET", "/v1/clubs", "", nil, 200},
	{"GET", "/v1/clubs/quill-club", "", nil, 200},
	{"POST", "/v1/clubs/quill-club/outlooks", `{"days":2}`, nil, 201},
	{"GET", "/v1/clubs/quill-club/outlooks?state=draft", "", nil, 200},
	{"GET", "/v1/clubs/quill-club/outlooks/{outlook}", "", nil, 200},
	{"PATCH", "/v1/clubs/quill-club/outlooks/{outlook}", `{"by":"water-officer","note":"Bring a mat.","waters":{"quillmarsh-pit":"The gate code has changed."}}`, nil, 200},
	{"POST", "/v1/clubs/quill-club/outlooks/{outlook}/publish", `{"by":"water-officer"}`, nil, 200},
	{"POST", "/v1/clubs/quill-club/outlooks/{outlook}/publish", `{"by":"water-officer"}`, nil, 200},
	{"GET", "/v1/clubs/quill-club/outlooks/{outlook}", "", nil, 200},
	{"POST", "/v1/clubs/quill-club/restrictions", `{"water":"alder-mere","kind":"closed","until":"2026-11-26T09:00:00Z","reason":"thin ice","decided_by":"water-officer"}`, nil, 201},
	{"GET", "/v1/clubs/quill-club/outlooks/{outlook}", "", nil, 200}, // closed since
	{"GET", "/v1/waters/alder-mere/outlook?days=3", "", nil, 200},    // closed since, and a day that is not published
	{"GET", "/v1/waters/quillmarsh-pit/outlook", "", nil, 200},
	{"POST", "/v1/clubs/quill-club/outlooks", `{}`, nil, 201},
	{"POST", "/v1/clubs/quill-club/outlooks/{outlook}/publish", `{"by":"water-officer"}`, nil, 200}, // with the closure
	{"GET", "/v1/clubs/quill-club/outlooks?limit=1", "", nil, 200},
	{"GET", "/v1/clubs/quill-club/outlook-scores?limit=1", "", nil, 200},
	{"GET", "/clubs/quill-club/feed.atom", "", nil, 200},
	{"GET", "/clubs/quill-club/feed.json", "", nil, 200},
	{"GET", "/clubs/quill-club/calendar.ics", "", nil, 200},
	{"GET", "/clubs/quill-club/embed", "", nil, 200},
	{"GET", "/clubs/quill-club/embed.svg", "", nil, 200},
	{"GET", "/clubs/quill-club/outlooks/{outlook}/table.csv", "", nil, 200},
	{"GET", "/v1/anglers/moss/calendar.ics", "", nil, 200},
	{"GET", "/calendars/osier_none/sessions.ics", "", nil, 404},
	{"POST", "/v1/plans", question, nil, 200}, // with the limit
	{"POST", "/v1/choices", choice, nil, 200},
	{"POST", "/v1/choices", `{"waters":["quillmarsh-pit"],"from":"2026-11-25","days":14,"start_time":"07:30","hours":6,"group":"silver","peg":"7","cast_bearing_deg":180,"distance_m":40,"depth_m":2,"rod_max_g":60,"known_water":true,"alone":true,"keepnet":true,"mode":"match"}`, nil, 200}, // today is past, and the last days lie beyond the forecast
	{"POST", "/v1/sessions", summary, nil, 201},
	{"POST", "/v1/sessions", summary, nil, 200},
	{"POST", "/v1/sessions", hourly, nil, 201},
	{"POST", "/v1/sessions", fullLog, nil, 201},
	{"GET", "/v1/sessions/{session}", "", nil, 200},
	{"PATCH", "/v1/sessions/{session}", `{"notes":"wind got up"}`, []header{{"Content-Type", "application/merge-patch+json"}}, 200},
	{"POST", "/v1/imports?water=quillmarsh-pit&angler=moss", `{"sessions":[` + imported + `,{"water":"quillmarsh-pit","angler":"moss"}]}`, nil, 201},
	{"POST", "/v1/imports?water=quillmarsh-pit&angler=moss", csvFile, []header{{"Content-Type", "text/csv"}}, 201},
	{"GET", "/v1/imports/{import}", "", nil, 200},
	{"POST", "/v1/sessions/s-live/events", liveStart, nil, 200}, // no cast yet
	{"POST", "/v1/sessions/s-live/events", liveCasts, nil, 200},
	{"GET", "/v1/sessions/s-live/live", "", nil, 200},
	{"GET", "/v1/sessions/s-live/advice", "", nil, 200},
	{"POST", "/v1/sessions/s-live/events", liveEnd, nil, 200},
	{"GET", "/v1/sessions/s-live/advice", "", nil, 200}, // over
	{"GET", "/v1/sessions/s-live/live", "", nil, 200},
	{"GET", "/v1/sessions/s-live/summary", "", nil, 200},
	{"GET", "/v1/sessions/{session}/summary", "", nil, 200},
	{"GET", "/v1/track-record", "", nil, 200},
	{"GET", "/v1/track-record?water=quillmarsh-pit&group=bream", "", nil, 200},
	{"GET", "/v1/jobs", "", nil, 200},
	{"GET", "/v1/jobs?limit=1", "", nil, 200},
	{"GET", "/v1/clubs/quill-club/sessions", "", nil, 200},
	{"GET", "/v1/tokens", "", nil, 200},
	{"DELETE", "/v1/sessions/{session}", "", nil, 204},
	{"DELETE", "/v1/tokens/t-0", "", nil, 404},
	{"GET", "/v1/anglers/moss/export", "", nil, 200},
	{"DELETE", "/v1/anglers/moss", "", nil, 200},
	{"DELETE", "/v1/anglers/moss", "", nil, 404},
	// The last step: after it the house is open no longer.
	{"POST", "/v1/tokens", `{"role":"officer","clubs":["quill-club"],"label":"phone"}`, nil, 201},
}

func TestEveryOperationKeepsTheContract(t *testing.T) {
	h := newPit(t)
	must(t, h.db.PutJobRun(t.Context(), jobRun("1")))
	must(t, h.db.PutJobRun(t.Context(), jobRun("2")))
	must(t, h.db.PutOutlookScores(t.Context(), outlookScores()))
	named := map[string]string{}
	for _, s := range walk {
		w := h.wants(h.send(s.method, fill(s.path, named), s.body, s.headers...), s.status)
		remember(t, named, s, w)
	}
	document, err := theContract()
	must(t, err)
	if diff := cmp.Diff(document.Operations(), h.watched.Operations()); diff != "" {
		t.Errorf("operations of the document (-) and exercised ones (+) differ:\n%s", diff)
	}
}

// fill puts what was answered before into a path.
func fill(path string, named map[string]string) string {
	for name, value := range named {
		path = strings.ReplaceAll(path, "{"+name+"}", value)
	}
	return path
}

// remember keeps the identifier of what a write made.
func remember(t *testing.T, named map[string]string, s step, w *httptest.ResponseRecorder) {
	t.Helper()
	switch {
	case s.path == "/v1/plans":
		named["plan"] = read[model.Plan](t, w).ID
	case s.path == "/v1/clubs/quill-club/restrictions" && s.method == "POST":
		named["restriction"] = read[model.Restriction](t, w).ID
	case s.path == "/v1/clubs/quill-club/outlooks" && s.method == "POST":
		named["outlook"] = read[model.Outlook](t, w).ID
	case s.path == "/v1/sessions":
		named["session"] = read[model.Session](t, w).ID
	case strings.HasPrefix(s.path, "/v1/imports?"):
		named["import"] = read[model.Import](t, w).ID
	}
}
