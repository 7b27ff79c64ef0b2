package contract_test

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"osier/model"
	"osier/openapi"
	"osier/openapi/contract"
)

func load(t *testing.T) *contract.Contract {
	t.Helper()
	c, err := contract.Load(openapi.Document())
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestTypesAndSchemasAgree(t *testing.T) {
	c := load(t)
	for name, value := range map[string]any{
		"Water": model.Water{}, "Conditions": model.Conditions{}, "Question": model.Question{}, "Plan": model.Plan{},
		"Choice": model.Choice{}, "ChoiceQuestion": model.ChoiceQuestion{}, "Session": model.Session{}, "Import": model.Import{}, "JobRun": model.JobRun{}, "TrackRecord": model.TrackRecord{}, "Erasure": model.Erasure{}, "Restriction": model.Restriction{},
		"Event": model.Event{}, "EventsTaken": model.EventsTaken{}, "SessionSummary": model.SessionSummary{}, "Live": model.Live{}, "BankAdvice": model.BankAdvice{},
	} {
		for _, difference := range c.Differences(name, value) {
			t.Error(difference)
		}
	}
}

// The check of types must itself be able to fail.
func TestDifferencesAreFound(t *testing.T) {
	type almost struct {
		Field    string              `json:"field"`
		Text     int                 `json:"text"`
		Excludes model.Maybe[string] `json:"excludes"`
		New      bool                `json:"new"`
	}
	got := strings.Join(load(t).Differences("Query", almost{}), "\n")
	want := strings.Join([]string{
		"Query.excludes: null is allowed in the schema: false, in Go: true",
		"Query.new: it is not in the schema",
		"Query.text: the type is [string], and Go encodes integer",
	}, "\n")
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

const (
	health  = `{"status":"ok","demo":false}`
	problem = `{"type":"about:blank","title":"Not Found","status":404,"detail":"nothing","code":"not_found","demo":false}`
	jobRun  = `{"id":"1","job":"pull","started_at":"2026-01-31T12:00:00Z","ended_at":null,"duration_s":null,"counts":{"waters":1}}`
)

func TestCheck(t *testing.T) {
	c := load(t)
	plain := map[string]string{"Content-Type": "application/json", "Cache-Control": "no-store"}
	tagged := map[string]string{"Content-Type": "application/json", "Cache-Control": "no-cache", "ETag": `"a"`}
	asProblem := map[string]string{"Content-Type": "application/problem+json", "Cache-Control": "no-store"}
	for _, tc := range []struct {
		name, method, path string
		status             int
		header             map[string]string
		body               string
		wrong              string // part of the complaint; empty where all is well
	}{
		{"a right answer", "GET", "/healthz", 200, plain, health, ""},
		{"a null where null may stand", "GET", "/v1/jobs", 200, tagged, `{"runs":[` + jobRun + `],"demo":true}`, ""},
		{"a HEAD is a GET without a body", "HEAD", "/healthz", 200, plain, "", ""},
		{"an unknown path is a problem", "GET", "/nowhere", 404, asProblem, problem, ""},
		{"304 without a body", "GET", "/v1/jobs", 304, tagged, "", ""},

		{"a field too many", "GET", "/healthz", 200, plain, `{"status":"ok","demo":false,"more":1}`, "more"},
		{"a field too few", "GET", "/healthz", 200, plain, `{"status":"ok"}`, "demo"},
		{"another type", "GET", "/healthz", 200, plain, `{"status":"ok","demo":"no"}`, "demo"},
		{"a word of another list", "GET", "/healthz", 200, plain, `{"status":"fine","demo":false}`, "status"},
		{"null where none may stand", "GET", "/v1/jobs", 200, tagged, `{"runs":null,"demo":true}`, "runs"},
		{"a time that is none", "GET", "/v1/jobs", 200, tagged, `{"runs":[` + strings.Replace(jobRun, "2026-01-31T12:00:00Z", "noon", 1) + `],"demo":true}`, "started_at"},
		{"a status that is not declared", "GET", "/healthz", 418, plain, health, "418"},
		{"a media type that is not declared", "GET", "/healthz", 200, map[string]string{"Content-Type": "text/html", "Cache-Control": "no-store"}, health, "text/html"},
		{"a header that is missing", "GET", "/v1/jobs", 200, plain, `{"runs":[],"demo":true}`, "ETag"},
		{"a header that is not declared", "GET", "/healthz", 200, tagged, health, "ETag"},
		{"304 with a body", "GET", "/v1/jobs", 304, tagged, health, "body"},
		{"an unknown path that is no problem", "GET", "/nowhere", 200, plain, health, "not in the document"},
		{"an unknown path with a broken problem", "GET", "/nowhere", 404, asProblem, health, "status"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			header := http.Header{}
			for name, value := range tc.header {
				header.Set(name, value)
			}
			_, err := c.Check(t.Context(), contract.Exchange{
				Request: httptest.NewRequest(tc.method, tc.path, nil), Status: tc.status, Header: header, Body: []byte(tc.body),
			})
			switch {
			case tc.wrong == "" && err != nil:
				t.Error(err)
			case tc.wrong != "" && (err == nil || !strings.Contains(err.Error(), tc.wrong)):
				t.Errorf("got %v, want a complaint about %q", err, tc.wrong)
			}
		})
	}
}

func TestCheckHoldsGrantedRequestsAgainstTheDocument(t *testing.T) {
	c := load(t)
	request := httptest.NewRequest("POST", "/v1/plans", nil)
	request.Header.Set("Content-Type", "application/json")
	_, err := c.Check(t.Context(), contract.Exchange{
		Request: request, Sent: []byte(`{"water":"pit","start":"2026-01-31T12:00:00Z","hours":40,"group":"pike"}`), Status: 200,
		Header: http.Header{"Content-Type": {"application/json"}, "Cache-Control": {"no-store"}}, Body: []byte(`{}`),
	})
	for _, want := range []string{"hours", "group", "plan_id"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want a complaint about %q", err, want)
		}
	}
}

func TestLoadRefusesWhatIsNoContract(t *testing.T) {
	for _, document := range []string{"", "openapi: 3.1.0", "{"} {
		if _, err := contract.Load([]byte(document)); err == nil {
			t.Errorf("%q was taken as a contract", document)
		}
	}
}
