package storetest

import (
	"testing"
	"time"

	"osier/model"
)

func clubs(t *testing.T, s Store) {
	ctx := t.Context()
	club := func(id string, waters ...string) model.Club {
		return model.Club{ID: id, Name: "Quill Club", Zone: "Europe/London", Waters: waters, About: "a \"club\" <of> two", AddedAt: noon}
	}
	a, b, c := club("a-club", "reedmere", "carr"), club("b-club"), club("c-club", "carr")
	for _, one := range []model.Club{c, a, b} {
		done(t, s.PutClub(ctx, one))
	}
	before := revision(t, s)
	done(t, s.PutClub(ctx, a))
	if revision(t, s) != before {
		t.Error("the same club again counts as a change")
	}
	a.Waters = []string{"carr"}
	done(t, s.PutClub(ctx, a))
	if revision(t, s) != before+1 {
		t.Error("a changed club does not count as one change")
	}
	found, err := s.Club(ctx, "a-club")
	wantSame(t, "the club", a, got(t, found, err))
	page, err := s.Clubs(ctx, "", 2)
	wantSame(t, "the first page", []model.Club{a, b}, got(t, page, err))
	page, err = s.Clubs(ctx, "b-club", 2)
	wantSame(t, "the second page", []model.Club{c}, got(t, page, err))
}

// draft is an outlook of two days at Reedmere, built at an hour.
func draft(t *testing.T, id string, builtAt time.Time) model.KeptOutlook {
	t.Helper()
	o := model.Outlook{
		ID: id, Club: "quill-club", ClubName: "Quill <Club>", Zone: "Europe/London", State: model.OutlookDraft, From: "2026-02-07", Days: 2,
		BuiltAt: builtAt, Fit: "fit-0", Deferral: model.Deferral,
		Waters: []model.OutlookWater{{Water: "reedmere", Name: "Reedmere", Zone: "Europe/London", Days: []model.OutlookDay{
			{Date: "2026-02-07", From: noon.Add(20 * time.Hour), Until: noon.Add(28 * time.Hour), Paragraph: "Mild."}, {Date: "2026-02-08"},
		}}},
	}
	basis := []model.OutlookBasis{{Water: "reedmere", Date: "2026-02-07", Group: model.Bream, Mean: 2.25, Basis: model.ForecastBasis{LogRateMean: 0.5, Alpha: 0.7}}}
	k, err := o.Keep(basis)
	done(t, err)
	return k
}

// published is the draft as it is published.
func published(t *testing.T, k model.KeptOutlook, at time.Time, follows string) model.KeptOutlook {
	t.Helper()
	o := k.Outlook
	o.State, o.Publish, o.Follows = model.OutlookPublished, &model.OutlookPublish{At: at, By: "officer"}, follows
	made, err := o.Keep(k.Basis)
	done(t, err)
	return made
}

func outlookIDs(t *testing.T, s Store, state model.OutlookState, before time.Time, beforeID string, limit int) []string {
	t.Helper()
	found, err := s.Outlooks(t.Context(), "quill-club", state, before, beforeID, limit)
	ids := []string{}
	for _, k := range got(t, found, err) {
		ids = append(ids, k.ID)
	}
	return ids
}

func drafts(t *testing.T, s Store) {
	ctx := t.Context()
	first, second, third := draft(t, "o-1", noon), draft(t, "o-2", noon.Add(time.Hour)), draft(t, "o-3", noon.Add(2*time.Hour))
	other := draft(t, "o-other", noon)
	other.Club = "other-club"
	other, err := other.Keep(other.Basis)
	done(t, err)
	done(t, s.AddDraft(ctx, other))
	done(t, s.AddDraft(ctx, first))
	done(t, s.AddDraft(ctx, first)) // the same again
	done(t, s.AddDraft(ctx, second))
	wantSame(t, "drafts", []string{"o-2"}, outlookIDs(t, s, model.OutlookDraft, noon, "", 9))
	found, err := s.Outlook(ctx, "o-2")
	wantSame(t, "the draft", second, got(t, found, err))
	_, err = s.Outlook(ctx, "o-1")
	wantError(t, err, model.NotFound)

	changed := second
	changed.Note = "Bring a mat."
	changed, err = changed.Keep(second.Basis)
	done(t, err)
	before := revision(t, s)
	done(t, s.ChangeDraft(ctx, changed, second.Body))
	if revision(t, s) != before+1 {
		t.Error("a changed draft does not count as one change")
	}
	wantError(t, s.ChangeDraft(ctx, second, second.Body), model.Conflict)
	done(t, s.AddDraft(ctx, third))
	wantSame(t, "an edited draft stays", []string{"o-3", "o-2"}, outlookIDs(t, s, model.OutlookDraft, noon, "", 9))
	found, err = s.Outlook(ctx, "o-2")
	wantSame(t, "the edited draft", changed, got(t, found, err))
	found, err = s.Outlook(ctx, "o-other")
	wantSame(t, "another club's", other, got(t, found, err))
}

func outlooksPublished(t *testing.T, s Store) {
	ctx := t.Context()
	_, err := s.LastPublished(ctx, "quill-club")
	wantError(t, err, model.NotFound)
	a, b, c := draft(t, "o-a", noon), draft(t, "o-b", noon.Add(time.Hour)), draft(t, "o-c", noon.Add(2*time.Hour))
	done(t, s.AddDraft(ctx, a))
	_, err = s.OutlookInForce(ctx, "reedmere", "2026-02-07")
	wantError(t, err, model.NotFound)
	wantError(t, s.PublishOutlook(ctx, published(t, a, noon, ""), b.Body), model.Conflict)
	pa := published(t, a, noon, "")
	done(t, s.PublishOutlook(ctx, pa, a.Body))
	wantError(t, s.PublishOutlook(ctx, pa, a.Body), model.Conflict)
	wantError(t, s.ChangeDraft(ctx, a, pa.Body), model.Conflict)
	done(t, s.AddDraft(ctx, b))
	pb := published(t, b, noon, "o-a") // in the same second
	done(t, s.PublishOutlook(ctx, pb, b.Body))
	done(t, s.AddDraft(ctx, c))
	wantError(t, s.PublishOutlook(ctx, published(t, c, noon, "o-a"), c.Body), model.Conflict)
	pc := published(t, c, noon.Add(time.Minute), "o-b")
	pc.Waters = []model.OutlookWater{{Water: "reedmere", Days: []model.OutlookDay{{Date: "2026-02-08"}, {Date: "2026-02-09"}}}}
	if pc, err = pc.Keep(c.Basis); err != nil {
		t.Fatal(err)
	}
	done(t, s.PublishOutlook(ctx, pc, c.Body))

	for day, want := range map[string]model.KeptOutlook{"2026-02-07": pb, "2026-02-08": pc, "2026-02-09": pc} {
		want.SupersededBy = map[string]string{"o-b": "o-c"}[want.ID]
		found, err := s.OutlookInForce(ctx, "reedmere", day)
		wantSame(t, "in force on "+day, want, got(t, found, err))
	}
	_, err = s.OutlookInForce(ctx, "carr", "2026-02-07")
	wantError(t, err, model.NotFound)
	last, err := s.LastPublished(ctx, "quill-club")
	wantSame(t, "the last", "o-c", got(t, last, err).ID)
	wantSame(t, "the newest two", []string{"o-c", "o-b"}, outlookIDs(t, s, model.OutlookPublished, noon, "", 2))
	wantSame(t, "those before", []string{"o-a"}, outlookIDs(t, s, "", noon, "o-b", 2))
	done(t, s.AddDraft(ctx, draft(t, "o-z", noon.Add(5*time.Hour))))
	wantSame(t, "a new draft leaves them", []string{"o-z", "o-c", "o-b", "o-a"}, outlookIDs(t, s, "", noon, "", 9))
}

// changedSince is a score of another body, so that it is written over the first.
func changedSince(s model.KeptOutlookScore) model.KeptOutlookScore {
	s.Expected = model.Known(3.0)
	return s
}

func outlookScores(t *testing.T, s Store) {
	ctx := t.Context()
	score := func(date string, g model.Group) model.KeptOutlookScore {
		return model.KeptOutlookScore{
			OutlookScore: model.OutlookScore{Club: "quill-club", Water: "reedmere", Date: date, Group: g, Sessions: "10-19", Expected: model.Known(2.5), ScoredAt: noon},
			Behind:       []string{"s-1", "s-2"},
		}
	}
	day, other, month := score("2026-02-07", model.Bream), score("2026-02-08", model.Bream), score("2026-02", "")
	before := revision(t, s)
	done(t, s.PutOutlookScores(ctx, []model.KeptOutlookScore{month, day, other}))
	done(t, s.PutOutlookScores(ctx, []model.KeptOutlookScore{day}))
	if after := revision(t, s); after != before+1 {
		t.Errorf("scores took the revision from %d to %d", before, after)
	}
	page, next, err := s.OutlookScores(ctx, "quill-club", "", 2)
	wantSame(t, "the month, then its days", []model.KeptOutlookScore{month, other}, got(t, page, err))
	page, _, err = s.OutlookScores(ctx, "quill-club", next, 2)
	wantSame(t, "those before", []model.KeptOutlookScore{day}, got(t, page, err))
	withdrawn := day
	withdrawn.Expected, withdrawn.Withheld, withdrawn.Behind = model.Maybe[float64]{}, []string{"sessions"}, nil
	done(t, s.PutOutlookScores(ctx, []model.KeptOutlookScore{withdrawn}))
	page, _, err = s.OutlookScores(ctx, "quill-club", "", 9)
	wantSame(t, "one withdrawn", []model.KeptOutlookScore{month, other, withdrawn}, got(t, page, err))
	// What a deleted session stood behind is withdrawn, and names it no longer.
	month.Behind = []string{"s-01", "s-02"}
	done(t, s.PutOutlookScores(ctx, []model.KeptOutlookScore{changedSince(month)}))
	done(t, s.AddSession(ctx, session(1)))
	done(t, s.DeleteSession(ctx, "s-01"))
	page, _, err = s.OutlookScores(ctx, "quill-club", "", 9)
	wantSame(t, "once a session is deleted", []model.KeptOutlookScore{changedSince(month).Withdrawn(), other, withdrawn}, got(t, page, err))
	page, _, err = s.OutlookScores(ctx, "other-club", "", 9)
	if len(got(t, page, err)) != 0 {
		t.Errorf("another club has %d scores", len(page))
	}
}
