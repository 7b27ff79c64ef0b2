package api_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"osier/model"
)

func TestAClubReadsWhatIsSharedAndForAsLong(t *testing.T) {
	m := newManned(t)
	type page struct {
		Sessions []model.Session
		Next     *string
	}
	list := func(query string) (page, []string) {
		t.Helper()
		p := read[page](t, m.as("officer", "GET", "/v1/clubs/quill-club/sessions"+query, "", 200))
		var ids []string
		for _, s := range p.Sessions {
			ids = append(ids, s.ID)
		}
		return p, ids
	}
	if _, ids := list(""); !slices.Equal(ids, []string{"s-shared"}) {
		t.Errorf("the club reads %v", ids)
	}
	m.as("rush", "PATCH", "/v1/sessions/s-private", `{"shared_with":["quill-club"]}`, 200)
	first, ids := list("?limit=1")
	if !slices.Equal(ids, []string{"s-shared"}) || first.Next == nil { // the newest first
		t.Fatalf("the first page is %v, the next %v", ids, first.Next)
	}
	if second, ids := list("?limit=1&after=" + *first.Next); !slices.Equal(ids, []string{"s-private"}) || second.Next != nil {
		t.Errorf("the second page is %v, the next %v", ids, second.Next)
	}
	m.as("officer", "GET", "/v1/sessions/s-private", "", 200)
	m.as("officer", "GET", "/v1/sessions/s-private/advice", "", 404) // it rests on the angler's own fit
	m.as("rush", "PATCH", "/v1/sessions/s-private", `{"shared_with":null}`, 200)
	m.as("officer", "GET", "/v1/sessions/s-private", "", 404)
	m.as("officer", "GET", "/v1/sessions/s-private/summary", "", 404)
	if _, ids := list(""); !slices.Equal(ids, []string{"s-shared"}) {
		t.Errorf("once sharing has ended the club reads %v", ids)
	}
	m.as("rush", "PATCH", "/v1/sessions/s-private", `{"shared_with":["Quill Club"]}`, http.StatusUnprocessableEntity)
	m.as("officer", "GET", "/v1/clubs/quill-club/sessions?after=x", "", http.StatusUnprocessableEntity)

	// With whom it is shared is no part of what a record says: sent again with
	// another it is the same, and sharing stays.
	again := with(summary, "{", `{"id":"s-shared",`)
	if kept := read[model.Session](t, m.as("rush", "POST", "/v1/sessions", again, 200)); !slices.Equal(kept.SharedWith, []string{"quill-club"}) {
		t.Errorf("sent again it is shared with %v", kept.SharedWith)
	}
}

func TestAFileOfOthersRecordsBringsNone(t *testing.T) {
	m := newManned(t)
	report := read[model.Import](t, m.wants(m.ask("moss", "POST", "/v1/imports", csvFile, asType("text/csv")...), 201))
	if report.Stored != 0 || report.Angler != "moss" || !strings.Contains(strings.Join(report.Rows[0].Problems, " "), "another angler than moss") {
		t.Errorf("the report is %+v", report)
	}
	mine := read[model.Import](t, m.wants(m.ask("moss", "POST", "/v1/imports", strings.ReplaceAll(csvFile, "quillmarsh-pit,rush", "quillmarsh-pit,"), asType("text/csv")...), 201))
	if mine.Stored != 1 || mine.Refused != 1 {
		t.Errorf("the report is %+v", mine)
	}
}

// A record that is shared tells of no other: not by what was doubtful in it, and
// not by what its angler's other logs make typical.
func TestASharedRecordTellsOfNoOther(t *testing.T) {
	m := newManned(t)
	log := strings.NewReplacer("sedge", "rush", "2026-11-22", "2026-11-19", "T08:", "T09:", "T09:", "T10:", "{\"water\"", `{"id":"s-over","shared_with":["quill-club"],"water"`).Replace(fullLog)
	own := m.as("rush", "POST", "/v1/sessions", log, 201).Body.String() // it overlaps with s-private
	if !strings.Contains(own, "s-private") {
		t.Fatalf("the angler is not asked which of the two is right: %s", own)
	}
	for path, theirs := range map[string]bool{
		"/v1/sessions/s-over": true, "/v1/sessions/s-over/summary": true, "/v1/clubs/quill-club/sessions": false,
	} {
		if theirs && !strings.Contains(m.as("rush", "GET", path, "", 200).Body.String(), "s-private") {
			t.Errorf("%s does not tell the angler", path)
		}
		body := m.as("officer", "GET", path, "", 200).Body.String()
		if !strings.Contains(body, "s-over") || strings.Contains(body, "s-private") {
			t.Errorf("%s tells an officer of a record that is not shared: %s", path, body)
		}
	}
	told := read[model.SessionSummary](t, m.as("officer", "GET", "/v1/sessions/s-over/summary", "", 200))
	if told.Waiting == nil || told.Waiting.TypicalSessions != 0 || len(told.Waiting.Typical) != 0 || !strings.Contains(told.WaitingText, "is not shared with this one") {
		t.Errorf("an officer is told %s: %+v", told.WaitingText, told.Waiting)
	}
}
