package api_test

import (
	"strings"
	"testing"

	"osier/model"
)

// That closing a water should be considered is told to officers of a club that
// has it, and to administrators. Nobody else sees it by any door, whoever asked
// first; and what a club publishes never holds it.
func TestAdviceToCloseIsForWhoDecides(t *testing.T) {
	m := newManned(t)
	must(t, m.db.PutReport(t.Context(), model.Report{ID: "seen-1", Water: "quillmarsh-pit", Kind: model.SawDistress, At: now}))
	must(t, m.db.PutClub(t.Context(), model.Club{ID: "dry-club", Name: "Dry", Zone: "Europe/London", Waters: []string{}, AddedAt: now}))
	must(t, m.db.AddToken(t.Context(), model.Token{ID: "t-dry", Role: model.Officer, Clubs: []string{"dry-club", "gone-club"}, MadeAt: now}, model.SecretDigest(secretOf(21))))
	dry := header{"Authorization", "Bearer " + secretOf(21)}
	published := m.published()
	const mark = `"advise_closure":true`
	const conditions = "/v1/waters/quillmarsh-pit/conditions"
	told := func(who, body string, want bool) {
		t.Helper()
		if !strings.Contains(body, "distress") {
			t.Errorf("%s is not told of fish in distress: %s", who, body)
		}
		if strings.Contains(body, mark) != want {
			t.Errorf("%s is told of advice to close: %v, want %v", who, !want, want)
		}
	}
	for range 2 { // also from what was rendered for others
		for role, want := range map[string]bool{"public": false, "moss": false, "rush": false, "officer": true, "officer of another club": true, "administrator": true} {
			told(role, m.as(role, "GET", conditions, "", 200).Body.String(), want)
		}
		told("an officer of a club without the water", m.wants(m.send("GET", conditions, "", dry), 200).Body.String(), false)
	}
	if cache := m.as("officer", "GET", conditions, "", 200).Header().Get("Cache-Control"); cache != "private, no-cache" {
		t.Errorf("what officers are told may be kept: %s", cache)
	}
	for _, path := range []string{published, "/v1/waters/quillmarsh-pit/outlook?days=1", "/v1/plans/" + m.plan("public")} {
		told("the public at "+path, m.as("public", "GET", path, "", 200).Body.String(), false)
	}
	told("an angler with a plan", m.as("rush", "POST", "/v1/plans", question, 200).Body.String(), false)

	kept, err := m.db.Outlook(t.Context(), published[strings.LastIndex(published, "/")+1:])
	must(t, err)
	told("the published bytes", string(kept.Body), false)
	const said = "Only officers see this."
	office := m.house.visit("/clubs/quill-club/office", nil, header{"Authorization", "Bearer " + secretOf(6)}).Body.String()
	if !strings.Contains(office, "Consider closing Quillmarsh Pit") || !strings.Contains(office, said) {
		t.Errorf("the office does not show it: %s", office)
	}
	for _, path := range []string{"/clubs/quill-club", "/waters/quillmarsh-pit", "/waters/quillmarsh-pit/outlook", strings.TrimPrefix(published, "/v1")} {
		if body := m.house.visit(path, nil).Body.String(); strings.Contains(body, said) || strings.Contains(body, "Consider closing") {
			t.Errorf("%s shows it to the public", path)
		}
	}
}
