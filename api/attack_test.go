package api_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"osier/model"
)

// API1 and API3: what a change of a record may not reach, though its angler asks.
func TestAChangeOfARecordReachesNothingElse(t *testing.T) {
	m := newManned(t)
	before := read[model.Session](t, m.as("rush", "GET", "/v1/sessions/s-private", "", 200))
	for _, c := range []struct {
		name, patch string
		status      int
	}{
		{"another angler", `{"angler":"moss"}`, 403},
		{"no angler", `{"angler":null,"notes":"a"}`, 200}, // who asks
		{"another identifier", `{"id":"s-else"}`, 422},
		{"no identifier", `{"id":null}`, 422},
		{"that it is invented", `{"demo":true,"notes":"b"}`, 200},
		{"when it was entered", `{"entered_at":"2020-01-01T00:00:00Z","notes":"c"}`, 200},
		{"its doubts", `{"queries":[{"field":"start","text":"nobody asks this","excludes":"session"}],"notes":"d"}`, 200},
		{"a field that there is not", `{"owner":"moss"}`, 422},
		{"a water that there is not", `{"water":"nowhere"}`, 404},
	} {
		if w := m.ask("rush", "PATCH", "/v1/sessions/s-private", c.patch); w.Code != c.status {
			t.Errorf("%s: answered %d, want %d: %s", c.name, w.Code, c.status, w.Body)
		}
		is := read[model.Session](t, m.as("rush", "GET", "/v1/sessions/s-private", "", 200))
		if is.Angler != "rush" || is.ID != before.ID || is.Demo != before.Demo || !is.EnteredAt.Equal(before.EnteredAt) || len(is.Queries) != len(before.Queries) || is.Water != before.Water {
			t.Errorf("%s was changed: %+v", c.name, is)
		}
	}
	m.as("moss", "GET", "/v1/sessions/s-else", "", 404)
}

// API1: an officer decides for the club of the path and its waters, whatever else
// is named.
func TestAnOfficerDecidesForNoOtherClub(t *testing.T) {
	m := newManned(t)
	must(t, m.db.PutWater(t.Context(), model.Water{ID: "alder-mere", Name: "Alder Mere", LatDeg: 52, LonDeg: -1, MeanDepthM: 2, Bank: "earth", Zone: "Europe/London", Groups: []model.Group{model.Carp}, Colour: "clear"}))
	must(t, m.db.PutClub(t.Context(), model.Club{ID: "other-club", Name: "Other", Zone: "Europe/London", Waters: []string{"alder-mere"}, AddedAt: now}))
	m.as("officer", "POST", "/v1/clubs/quill-club/restrictions", `{"water":"alder-mere","kind":"closed","reason":"x","decided_by":"officer"}`, 422)
	made := read[model.Restriction](t, m.as("officer", "POST", "/v1/clubs/quill-club/restrictions",
		`{"id":"r-mine","club":"other-club","water":"quillmarsh-pit","kind":"no_keepnets","reason":"x","decided_by":"officer","made_at":"2020-01-01T00:00:00Z","lifted_by":"officer"}`, 201))
	if made.Club != "quill-club" || made.ID == "r-mine" || made.MadeAt.Year() == 2020 || made.LiftedBy != "" {
		t.Errorf("made is %+v", made)
	}
	theirs := read[model.Restriction](t, m.as("administrator", "POST", "/v1/clubs/other-club/restrictions", `{"water":"alder-mere","kind":"closed","reason":"x","decided_by":"officer"}`, 201))
	m.as("officer", "POST", "/v1/clubs/quill-club/restrictions/"+theirs.ID+"/lift", `{"by":"officer","why":"x"}`, 404)
	m.as("officer", "PUT", "/v1/clubs/quill-club", `{"name":"Q","zone":"Europe/London","waters":["quillmarsh-pit","alder-mere"]}`, 403)
	told := m.as("administrator", "POST", "/v1/clubs/other-club/outlooks", `{"days":1}`, 201).Header().Get("Location")
	asOurs := strings.Replace(told, "other-club", "quill-club", 1)
	m.as("officer", "GET", asOurs, "", 404)
	m.as("officer", "PATCH", asOurs, `{"by":"officer","note":"x"}`, 404)
	m.as("officer", "POST", asOurs+"/publish", `{"by":"officer"}`, 404)
}

// API1: a plan made for an angler rests on the angler's own readings and records. It
// is theirs by every door, also when it is told of a closure since, and also when
// somebody else's record names it.
func TestAPlanForAnAnglerIsTheirs(t *testing.T) {
	m := newManned(t)
	id := m.plan("rush")
	m.as("officer", "POST", "/v1/clubs/quill-club/restrictions", `{"water":"quillmarsh-pit","kind":"closed","reason":"thin ice","decided_by":"officer"}`, 201)
	for _, role := range roles {
		json := m.ask(role, "GET", "/v1/plans/"+id, "")
		html := m.askPage(role, "GET", "/plans/"+id, nil)
		theirs := role == "rush" || role == "rush, read-only" || role == "administrator"
		if (json.Code == 200) != theirs || (html.Code == 200) != theirs || strings.Contains(json.Body.String()+html.Body.String(), "thin ice") != theirs {
			t.Errorf("%s reads the plan: %d, the page: %d", role, json.Code, html.Code)
		}
	}
	named := with(strings.NewReplacer(`"angler":"moss",`, "").Replace(hourly), "{", `{"id":"s-moss","plan_id":"`+id+`",`)
	m.as("moss", "POST", "/v1/sessions", named, 201)
	told := read[model.SessionSummary](t, m.as("moss", "GET", "/v1/sessions/s-moss/summary", "", 200))
	if told.Plan != nil || len(told.Cautions) != 0 || !strings.Contains(told.PlanText, "is not held against this session") {
		t.Errorf("by naming a plan in a record one is told of it: %+v", told)
	}
}

// API4: who writes other addresses into headers is still one asker.
func TestALimitIsNotWalkedRound(t *testing.T) {
	h := newPit(t)
	h.from = "203.0.113.20:1"
	status := 200
	for i := 0; status == 200 && i < 3000; i++ {
		at := fmt.Sprintf("198.51.%d.%d", i/250, i%250)
		status = h.send("GET", "/healthz", "", header{"X-Forwarded-For", at}, header{"X-Real-Ip", at}, header{"Forwarded", "for=" + at}, header{"Cf-Connecting-Ip", at}).Code
	}
	if status != http.StatusTooManyRequests {
		t.Errorf("after 3000 requests with invented addresses the answer is %d", status)
	}
}

// API8: an identifier that no store can hold is as one that is not there, by every
// door.
func TestWhatCannotBeAnIdentifierIsNotThere(t *testing.T) {
	m := newManned(t)
	for _, bad := range []string{"a%00b", "%FF", "%ED%A0%80"} {
		for _, s := range []step{
			{"GET", "/v1/sessions/" + bad, "", nil, 404},
			{"GET", "/v1/sessions/" + bad + "/live", "", nil, 404},
			{"GET", "/v1/sessions/" + bad + "/advice", "", nil, 404},
			{"GET", "/v1/sessions/" + bad + "/summary", "", nil, 404},
			{"PATCH", "/v1/sessions/" + bad, "{}", nil, 404},
			{"DELETE", "/v1/sessions/" + bad, "", nil, 404},
			{"GET", "/v1/plans/" + bad, "", nil, 404},
			{"GET", "/v1/imports/" + bad, "", nil, 404},
			{"DELETE", "/v1/tokens/" + bad, "", nil, 404},
			{"GET", "/v1/waters/" + bad, "", nil, 404},
			{"GET", "/v1/clubs/" + bad, "", nil, 404},
			{"GET", "/v1/clubs/quill-club/outlooks/" + bad, "", nil, 404},
			{"GET", "/clubs/quill-club/outlooks/" + bad + "/table.csv", "", nil, 404},
			{"POST", "/v1/clubs/quill-club/restrictions/" + bad + "/lift", `{"by":"officer","why":"x"}`, nil, 404},
			{"GET", "/v1/tokens?after=" + bad, "", nil, 422},
			{"GET", "/v1/clubs/quill-club/outlook-scores?after=" + bad, "", nil, 422},
			{"GET", "/v1/clubs/quill-club/outlooks?after=1." + bad, "", nil, 422},
		} {
			for _, role := range []string{"administrator", "rush"} {
				if role == "rush" && s.method != "GET" || role == "rush" && s.status != 404 {
					continue
				}
				if w := m.ask(role, s.method, s.path, s.body); w.Code != s.status {
					t.Errorf("%s %s %s: answered %d, want %d: %s", role, s.method, s.path, w.Code, s.status, w.Body)
				}
			}
		}
	}
}
