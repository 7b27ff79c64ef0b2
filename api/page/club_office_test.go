package page_test

import (
	"slices"
	"testing"
	"time"

	"osier/api/page"
	"osier/model"
)

func officePage() page.OfficePage {
	draft := publishedOutlook()
	draft.ID, draft.State, draft.Publish, draft.Follows = "o-5", model.OutlookDraft, nil, ""
	draft.Edits = []model.OutlookEdit{{At: clubNow, By: "match-secretary", What: "the note"}}
	c := clubPage()
	hot := model.Caution{ID: "low_oxygen", Level: model.Care, From: clubNow, Until: clubNow.Add(3 * time.Hour), Text: "Oxygen may be low.", AdviseClosure: true}
	return page.OfficePage{Advised: []page.ClosureAdvice{{Water: c.Waters[0], Cautions: []model.Caution{hot}}}, Once: "ONCE", Club: c.Club, Waters: c.Waters, Drafts: []model.Outlook{draft}, Published: []model.OutlookEntry{c.Published[0].Entry()}, Restrictions: c.Restrictions, At: clubNow, By: "water-officer"}
}

func TestTheOfficeShowsTheDraftAndItsForms(t *testing.T) {
	body, err := page.Office(officePage())
	all := sound(t, body, err)
	holds(
		t, all, "Close or restrict a water", "Consider closing The Pit, Sat 28 Nov 2026, 07:30 to Sat 28 Nov 2026, 10:30: Oxygen may be low. Only officers see this.", "Restrictions in force or to come", "The Pit: Feed limit: 500 g dry a day", "The Mere: Closed", "The draft", "Saturday 28 to Sunday 29 November 2026", "Read the whole draft",
		"For all waters", "Wrap up warm.", "For The Pit", "The gate sticks.", "Changed so far", "match-secretary: the note", "Publish this outlook", "Published",
	)
	if !slices.ContainsFunc(named(all, "input"), func(e *element) bool {
		return e.attr["type"] == "hidden" && e.attr["name"] == page.OnceField && e.attr["value"] == "ONCE"
	}) {
		t.Error("the form of a restriction has no mark of its own")
	}
	var forms []string
	for _, f := range named(all, "form") {
		if f.attr["method"] != "post" {
			t.Errorf("form %v is no post", f.attr)
		}
		forms = append(forms, f.attr["action"])
	}
	want := []string{
		"/clubs/hobbin-row/office/restrictions", "/clubs/hobbin-row/office/restrictions/r-2/lift", "/clubs/hobbin-row/office/restrictions/r-1/lift",
		"/clubs/hobbin-row/office/outlooks/o-5/notes", "/clubs/hobbin-row/office/outlooks/o-5/publish",
	}
	if len(forms) != len(want) {
		t.Fatalf("forms %v, want %v", forms, want)
	}
	for i := range want {
		if forms[i] != want[i] {
			t.Errorf("form %d goes to %s, want %s", i, forms[i], want[i])
		}
	}
}

// A form that was refused is shown as it was sent, with what was wrong where it
// stands.
func TestARefusedFormNamesItsField(t *testing.T) {
	o := officePage()
	o.Refused = &page.RefusedForm{
		Of: page.OfficeRestrict, Field: "reason", Text: "the reason has 0 characters; say why in 1 to 200",
		Values: map[string]string{"water": "mere", "kind": "no_keepnets", "reason": "", "from": "2026-11-29T08:00", "decided_by": "bailiff"},
	}
	body, err := page.Office(o)
	all := sound(t, body, err)
	holds(t, all, "Not done.", "the reason has 0 characters")
	for _, e := range all {
		switch {
		case e.attr["name"] == "reason" && (e.attr["aria-invalid"] != "true" || e.attr["aria-describedby"] == ""):
			t.Errorf("the wrong field is %v", e.attr)
		case e.attr["name"] == "from" && e.attr["value"] != "2026-11-29T08:00", e.attr["name"] == "decided_by" && e.attr["value"] != "bailiff":
			t.Errorf("what was sent is lost: %v", e.attr)
		case e.name == "option" && (e.attr["value"] == "mere" || e.attr["value"] == "no_keepnets") && e.attr["selected"] == "":
			t.Errorf("what was picked is lost: %v", e.attr)
		case e.attr["name"] != "reason" && e.attr["aria-invalid"] != "":
			t.Errorf("another field is called wrong: %v", e.attr)
		}
	}
	o = officePage()
	o.Refused = &page.RefusedForm{Of: page.OfficeLift, About: "r-1", Field: "why", Text: "say why"}
	body, err = page.Office(o)
	all = sound(t, body, err)
	wrong := 0
	for _, e := range all {
		if e.attr["aria-invalid"] == "true" {
			wrong++
			if e.attr["id"] != "lift-r-1-why" {
				t.Errorf("wrong is %v", e.attr)
			}
		}
	}
	if wrong != 1 {
		t.Errorf("%d fields are wrong, want one", wrong)
	}
}

func TestAnEmptyOffice(t *testing.T) {
	o := officePage()
	o.Drafts, o.Published, o.Restrictions, o.Done = nil, nil, nil, "Lifted."
	body, err := page.Office(o)
	holds(t, sound(t, body, err), "Lifted.", "Restrictions in force or to come", "None.", "There is no draft.", "None yet.")
}
