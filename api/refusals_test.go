package api_test

import (
	"io"
	"net/http"
	"strings"
	"testing"
)

const (
	notFound = http.StatusNotFound
	invalid  = http.StatusUnprocessableEntity
	tooLarge = http.StatusRequestEntityTooLarge
)

// with changes one text of a body that is right.
func with(body, was, is string) string {
	if !strings.Contains(body, was) {
		panic(was + " is not in the body")
	}
	return strings.Replace(body, was, is, 1)
}

func asType(media string) []header { return []header{{"Content-Type", media}} }

func TestRefusals(t *testing.T) {
	h := newPit(t)
	before := h.revision()
	for _, tc := range []struct {
		name, method, path, body string
		headers                  []header
		status                   int
		code, field              string
		wrong, right             string // parts of the two sentences
	}{
		{"an unknown water", "GET", "/v1/waters/nowhere", "", nil, notFound, "not_found", "water", `"nowhere"`, "PUT /v1/waters/{water}"},
		{"conditions at an unknown water", "GET", "/v1/waters/nowhere/conditions", "", nil, notFound, "not_found", "water", `"nowhere"`, "GET /v1/waters"},
		{"a plan for an unknown water", "POST", "/v1/plans", with(question, "quillmarsh-pit", "nowhere"), nil, notFound, "not_found", "water", `"nowhere"`, "GET /v1/waters"},
		{"a choice of an unknown water", "POST", "/v1/choices", with(choice, "alder-mere", "nowhere"), nil, notFound, "not_found", "water", `"nowhere"`, "GET /v1/waters"},
		{"a record of an unknown water", "POST", "/v1/sessions", with(summary, "quillmarsh-pit", "nowhere"), nil, notFound, "not_found", "water", `"nowhere"`, "GET /v1/waters"},
		{"an import for an unknown water", "POST", "/v1/imports?water=nowhere", csvFile, asType("text/csv"), notFound, "not_found", "water", `"nowhere"`, "GET /v1/waters"},
		{"an unknown plan", "GET", "/v1/plans/p-0", "", nil, notFound, "not_found", "plan", `"p-0"`, "POST /v1/plans"},
		{"an unknown session", "GET", "/v1/sessions/s-0", "", nil, notFound, "not_found", "session", `"s-0"`, "POST /v1/sessions"},
		{"a change of an unknown session", "PATCH", "/v1/sessions/s-0", `{}`, nil, notFound, "not_found", "session", `"s-0"`, "POST /v1/sessions"},
		{"removal of an unknown session", "DELETE", "/v1/sessions/s-0", "", nil, notFound, "not_found", "session", `"s-0"`, "POST /v1/sessions"},
		{"an unknown import", "GET", "/v1/imports/i-0", "", nil, notFound, "not_found", "import", `"i-0"`, "POST /v1/imports"},
		{"an unknown path", "GET", "/v1/rivers", "", nil, notFound, "not_found", "path", "nothing", "/openapi.yaml"},
		{"a peg that is not there", "POST", "/v1/plans", with(question, `"peg":"7"`, `"peg":"99"`), nil, notFound, "not_found", "peg", `"99"`, "add it"},

		{"a start in the past beyond the weather", "POST", "/v1/plans", with(question, "2026-11-26", "2019-05-04"), nil, invalid, "invalid", "start", "is past", "from now on"},
		{"a start too far ahead", "POST", "/v1/plans", with(question, "2026-11-26", "2029-05-04"), nil, invalid, "invalid", "start", "too far ahead", "within a year"},
		{"a start that is no time", "POST", "/v1/plans", with(question, "2026-11-26T08:00:00Z", "Saturday"), nil, invalid, "invalid", "body", "Saturday", "with its offset"},
		{"no start", "POST", "/v1/plans", with(question, `"start":"2026-11-26T08:00:00Z",`, ""), nil, invalid, "invalid", "start", "no start", "give a time"},
		{"hours of 0", "POST", "/v1/plans", with(question, `"hours":5`, `"hours":0`), nil, invalid, "invalid", "hours", "0 hours", "0.5 to 24"},
		{"hours of 40", "POST", "/v1/plans", with(question, `"hours":5`, `"hours":40`), nil, invalid, "invalid", "hours", "40 hours", "0.5 to 24"},
		{"hours in words", "POST", "/v1/plans", with(question, `"hours":5`, `"hours":"five"`), nil, invalid, "invalid", "hours", "string", "/openapi.yaml"},
		{"an unknown group", "POST", "/v1/plans", with(question, "bream", "pike"), nil, invalid, "invalid", "group", `"pike"`, "silver, bream or carp"},
		{"NaN in a question", "POST", "/v1/plans", with(question, `"hours":5`, `"hours":NaN`), nil, invalid, "invalid", "body", "no JSON", "null or left out, never NaN"},
		{"NaN in a water", "PUT", "/v1/waters/quillmarsh-pit", with(pit, `"lat":51.5`, `"lat":NaN`), nil, invalid, "invalid", "body", "no JSON", "null or left out, never NaN"},
		{"NaN in a record", "POST", "/v1/sessions", with(summary, `"bites":14`, `"bites":NaN`), nil, invalid, "invalid", "body", "no JSON", "null or left out, never NaN"},
		{"an unknown field", "POST", "/v1/plans", with(question, `"hours"`, `"hour"`), nil, invalid, "invalid", "hour", "no such field", "spelling"},
		{"an unknown field of a water", "PUT", "/v1/waters/quillmarsh-pit", with(pit, `"mean_depth_m"`, `"depth_m"`), nil, invalid, "invalid", "depth_m", "no such field", "spelling"},
		{"an unknown field of a record", "POST", "/v1/sessions", with(summary, `"bites"`, `"bits"`), nil, invalid, "invalid", "bits", "no such field", "spelling"},
		{"trailing data", "POST", "/v1/plans", question + "{}", nil, invalid, "invalid", "body", "follows", "nothing after it"},
		{"trailing data after a record", "POST", "/v1/sessions", summary + "x", nil, invalid, "invalid", "body", "follows", "nothing after it"},
		{"truncated JSON", "POST", "/v1/plans", question[:40], nil, invalid, "invalid", "body", "ends too early", "whole JSON document"},
		{"a truncated record", "POST", "/v1/sessions", summary[:90], nil, invalid, "invalid", "body", "ends too early", "whole JSON document"},
		{"no body", "POST", "/v1/plans", "", nil, invalid, "invalid", "body", "ends too early", "whole JSON document"},
		{"a list for a question", "POST", "/v1/plans", "[]", nil, invalid, "invalid", "body", "array", "/openapi.yaml"},
		{"another media type", "POST", "/v1/plans", question, asType("text/plain"), invalid, "invalid", "Content-Type", "text/plain", "application/json"},
		{"no media type", "POST", "/v1/sessions", summary, asType(""), invalid, "invalid", "Content-Type", `""`, "application/json"},
		{"another media type of a patch", "PATCH", "/v1/sessions/s-0", "{}", asType("text/plain"), invalid, "invalid", "Content-Type", "text/plain", "application/merge-patch+json"},
		{"another media type of an import", "POST", "/v1/imports", csvFile, asType("application/zip"), invalid, "invalid", "Content-Type", "application/zip", "text/csv"},

		{"no lat", "PUT", "/v1/waters/quillmarsh-pit", with(pit, `"lat":51.5,`, ``), nil, invalid, "invalid", "lat", "not given", "give it"},
		{"a lat of null", "PUT", "/v1/waters/quillmarsh-pit", with(pit, `"lat":51.5`, `"lat":null`), nil, invalid, "invalid", "lat", "not given", "give it"},
		{"a query that is not known", "GET", "/v1/waters/quillmarsh-pit/conditions?hours=NaN", "", nil, invalid, "invalid", "hours", "not known", "from, to"},
		{"a session of nothing", "POST", "/v1/sessions", "{}", nil, invalid, "invalid", "water", "no water is named", "name the water"},
		{"a lat of 91", "PUT", "/v1/waters/quillmarsh-pit", with(pit, `"lat":51.5`, `"lat":91`), nil, invalid, "invalid", "lat", "91", "90"},
		{"another identifier than the path's", "PUT", "/v1/waters/quillmarsh-pit", with(pit, "{", `{"id":"alder-mere",`), nil, invalid, "invalid", "id", "alder-mere", "leave it out"},
		{"an identifier that is none", "PUT", "/v1/waters/Quill%20Marsh", pit, nil, invalid, "invalid", "id", "Quill Marsh", "small letters"},

		{"a record dated next month", "POST", "/v1/sessions", strings.ReplaceAll(summary, "2026-11-20", "2026-12-20"), nil, invalid, "invalid", "start", "still to come", "when it is over"},
		{"a decimal pound", "POST", "/v1/sessions", with(summary, `"lb":13`, `"lb":13.4`), nil, invalid, "invalid", "weight.lb", "decimal pound", "whole pounds"},
		{"an end before the start", "POST", "/v1/sessions", with(summary, `"end":"2026-11-20T13`, `"end":"2026-11-20T07`), nil, invalid, "invalid", "end", "not after", "later than"},

		{"HTML as an import", "POST", "/v1/imports", "<!doctype html><title>Sign in</title>", asType("text/csv"), invalid, "invalid", "file", "web page", "CSV or JSON"},
		{"HTML as a JSON import", "POST", "/v1/imports", "<html>", nil, invalid, "invalid", "file", "web page", "CSV or JSON"},
		{"an import that is not CSV", "POST", "/v1/imports", "PK\x03\x04\x00\x00", asType("text/csv"), invalid, "invalid", "file", "no text", "UTF-8"},
		{"an empty import", "POST", "/v1/imports", "", asType("text/csv"), invalid, "invalid", "file", "empty", "CSV or JSON"},
		{"an import without records", "POST", "/v1/imports", `{"sessions":[]}`, nil, invalid, "invalid", "sessions", "no session", "one session"},

		{"a page limit of 0", "GET", "/v1/waters?limit=0", "", nil, invalid, "invalid", "limit", `"0"`, "1 to 200"},
		{"a page limit of 201", "GET", "/v1/jobs?limit=201", "", nil, invalid, "invalid", "limit", `"201"`, "1 to 200"},
		{"a page limit in words", "GET", "/v1/waters?limit=all", "", nil, invalid, "invalid", "limit", `"all"`, "1 to 200"},
		{"a from that is no time", "GET", "/v1/waters/quillmarsh-pit/conditions?from=monday", "", nil, invalid, "invalid", "from", `"monday"`, "with its offset"},
		{"a from without offset", "GET", "/v1/waters/quillmarsh-pit/conditions?from=2026-11-25T08:00:00", "", nil, invalid, "invalid", "from", "no time", "with its offset"},
		{"a to before from", "GET", "/v1/waters/quillmarsh-pit/conditions?to=2026-11-20T08:00:00Z", "", nil, invalid, "invalid", "to", "the span", "after from"},
		{"too long a span", "GET", "/v1/waters/quillmarsh-pit/conditions?to=2027-11-20T08:00:00Z", "", nil, invalid, "invalid", "to", "the span", "ten days"},
		{"a choice of no water", "POST", "/v1/choices", with(choice, `"quillmarsh-pit","alder-mere"`, ""), nil, invalid, "invalid", "waters", "0 waters", "1 to 20"},
		{"a choice of one water twice", "POST", "/v1/choices", with(choice, "alder-mere", "quillmarsh-pit"), nil, invalid, "invalid", "waters", "named twice", "once"},
		{"a choice of too many days", "POST", "/v1/choices", with(choice, `"days":2`, `"days":15`), nil, invalid, "invalid", "days", "15 days", "1 to 14"},
		{"a choice of days that are over", "POST", "/v1/choices", with(choice, "2026-11-26", "2026-10-26"), nil, invalid, "invalid", "from", "are past", "from today on"},
		{"a choice from a day in words", "POST", "/v1/choices", with(choice, "2026-11-26", "Saturday"), nil, invalid, "invalid", "from", `"Saturday"`, "2026-11-28"},
		{"a choice at no time of day", "POST", "/v1/choices", with(choice, `"hours"`, `"start_time":"9 am","hours"`), nil, invalid, "invalid", "start_time", `"9 am"`, "07:30"},
		{"a choice of a peg of two waters", "POST", "/v1/choices", with(choice, `"hours"`, `"peg":"7","hours"`), nil, invalid, "invalid", "peg", "one water", "that water alone"},
		{"a choice with an unknown field", "POST", "/v1/choices", with(choice, `"days"`, `"day"`), nil, invalid, "invalid", "day", "no such field", "spelling"},

		{"an endless idempotency key", "POST", "/v1/plans", question, []header{{"Idempotency-Key", strings.Repeat("k", 201)}}, invalid, "invalid", "Idempotency-Key", "201", "at most 200"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			h := h.on(t)
			p := h.problem(h.send(tc.method, tc.path, tc.body, tc.headers...), tc.status)
			if p.Code != tc.code || p.Field != tc.field {
				t.Errorf("the problem is %s about %q, want %s about %q", p.Code, p.Field, tc.code, tc.field)
			}
			if !strings.Contains(p.Wrong, tc.wrong) || !strings.Contains(p.Detail, tc.wrong) {
				t.Errorf("wrong is %q and detail %q, want %q in both", p.Wrong, p.Detail, tc.wrong)
			}
			if !strings.Contains(p.Right, tc.right) {
				t.Errorf("right is %q, want %q in it", p.Right, tc.right)
			}
			if after := h.revision(); after != before {
				t.Errorf("the store went from revision %d to %d", before, after)
			}
		})
	}
}

// endless is a body that is made as it is read, and counts what was read.
type endless struct{ left, taken int }

func (e *endless) Read(p []byte) (int, error) {
	n := min(len(p), e.left)
	if n == 0 {
		return 0, io.EOF
	}
	for i := range p[:n] {
		p[i] = ' '
	}
	e.left -= n
	e.taken += n
	return n, nil
}

func TestABodyOf50MBIsNotReadToTheEnd(t *testing.T) {
	const mib = 1 << 20
	h := newPit(t)
	before := h.revision()
	for _, tc := range []struct {
		method, path string
		headers      []header
		most         int
	}{
		{"POST", "/v1/plans", nil, mib},
		{"PUT", "/v1/waters/quillmarsh-pit", nil, mib},
		{"POST", "/v1/sessions", nil, mib},
		{"PATCH", "/v1/sessions/s-0", nil, mib},
		{"POST", "/v1/imports", asType("text/csv"), 16 * mib},
		{"POST", "/v1/plans", []header{{"Idempotency-Key", "large"}}, 16 * mib},
	} {
		t.Run(tc.method+" "+tc.path, func(t *testing.T) {
			h := h.on(t)
			body := &endless{left: 50_000_000}
			p := h.problem(h.stream(tc.method, tc.path, body, tc.headers...), tooLarge)
			if p.Code != "too_large" || p.Field != "body" || p.Wrong == "" || !strings.Contains(p.Right, "at most") {
				t.Errorf("the problem is %+v", p)
			}
			if body.taken > tc.most+mib {
				t.Errorf("%d bytes were read of a body that may have %d", body.taken, tc.most)
			}
		})
	}
	if after := h.revision(); after != before {
		t.Errorf("the store went from revision %d to %d", before, after)
	}
}

func TestMethodsThatAPathDoesNotTake(t *testing.T) {
	h := newPit(t)
	for _, tc := range []struct{ method, path, allow string }{
		{"DELETE", "/v1/waters/quillmarsh-pit", "PUT"},
		{"PUT", "/v1/plans", "POST"},
		{"POST", "/healthz", "GET"},
	} {
		w := h.send(tc.method, tc.path, "{}")
		if p := h.problem(w, http.StatusMethodNotAllowed); p.Code != "method_not_allowed" {
			t.Errorf("%s %s: the problem is %+v", tc.method, tc.path, p)
		}
		if allow := w.Header().Get("Allow"); !strings.Contains(allow, tc.allow) {
			t.Errorf("%s %s: Allow is %q, want %s in it", tc.method, tc.path, allow, tc.allow)
		}
	}
}

func TestWritesOfAPageOfAnotherOriginAreRefused(t *testing.T) {
	for _, tc := range []struct {
		name    string
		headers []header
		status  int
	}{
		{"no browser", nil, 201},
		{"a page of ours", []header{{"Sec-Fetch-Site", "same-origin"}}, 201},
		{"another site", []header{{"Sec-Fetch-Site", "cross-site"}}, 403},
		{"another subdomain", []header{{"Sec-Fetch-Site", "same-site"}}, 403},
		{"an old browser on another site", []header{{"Origin", "https://elsewhere.example"}}, 403},
		{"an old browser on a page of ours", []header{{"Origin", "http://localhost"}}, 201},
	} {
		t.Run(tc.name, func(t *testing.T) {
			h := newPit(t)
			before := h.revision()
			w := h.send("POST", "/v1/sessions", summary, tc.headers...)
			if tc.status == 201 {
				h.wants(w, 201)
				return
			}
			if p := h.problem(w, tc.status); p.Code != "cross_origin" {
				t.Errorf("the problem is %+v", p)
			}
			if h.revision() != before {
				t.Error("the store changed")
			}
			h.wants(h.send("GET", "/v1/waters", "", tc.headers...), 200)
		})
	}
}
