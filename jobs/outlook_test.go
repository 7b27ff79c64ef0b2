package jobs_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/model"
	"osier/model/store"
)

func (b *bench) outlooker() *jobs.Outlooker { return &jobs.Outlooker{Store: b.db, Now: b.clock} }

// withClub registers a club that looks after Reedmere, over known weather.
func withClub(t *testing.T) *bench {
	t.Helper()
	b := newBench(t)
	b.putWeather(t)
	b.putClub(t)
	return b
}

func (b *bench) putClub(t *testing.T) {
	t.Helper()
	register := jobs.ClubRegister{Store: b.db, Now: b.clock}
	_, fresh, err := register.PutClub(t.Context(), model.Club{ID: "quill-club", Name: "Quill Club", Zone: "Europe/London", Waters: []string{"reedmere"}})
	done(t, err)
	if !fresh {
		t.Fatal("the club was registered before")
	}
}

func (b *bench) build(t *testing.T, days int) model.Outlook {
	t.Helper()
	o, err := b.outlooker().Build(t.Context(), "quill-club", days)
	done(t, err)
	return o
}

func (b *bench) publish(t *testing.T, id string) model.Outlook {
	t.Helper()
	o, fresh, err := b.outlooker().Publish(t.Context(), "quill-club", id, "water-officer")
	done(t, err)
	if !fresh {
		t.Fatalf("%s was published before", id)
	}
	return o
}

func (b *bench) kept(t *testing.T, id string) model.KeptOutlook {
	t.Helper()
	k, err := b.outlooker().KeptOutlook(t.Context(), "quill-club", id)
	done(t, err)
	return k
}

func (b *bench) drafts(t *testing.T) []string {
	t.Helper()
	found, _, err := b.outlooker().Outlooks(t.Context(), "quill-club", model.OutlookDraft, "", 50)
	done(t, err)
	var ids []string
	for _, e := range found {
		ids = append(ids, e.ID)
	}
	return ids
}

// close closes Reedmere from an instant on.
func (b *bench) close(t *testing.T, from time.Time) model.Restriction {
	t.Helper()
	r, _, err := (&jobs.Restrictor{Store: b.db, Now: b.clock}).Restrict(t.Context(), model.Restriction{
		Club: "quill-club", Water: "reedmere", Kind: model.WaterClosed, From: from, Reason: "fish in distress", DecidedBy: "water-officer",
	})
	done(t, err)
	return r
}

func TestADraftTellsEachDayOfEachWater(t *testing.T) {
	b := withClub(t)
	o := b.build(t, 2)
	if o.State != model.OutlookDraft || o.From != "2026-02-06" || o.Club != "quill-club" || o.Fit != jobs.FitZero || o.Publish != nil || o.Deferral != model.Deferral || len(o.Notes) == 0 {
		t.Errorf("the draft is %+v", o)
	}
	if len(o.Waters) != 1 || len(o.Waters[0].Days) != 2 {
		t.Fatalf("%d waters", len(o.Waters))
	}
	for i, want := range []struct {
		date, from, until string
		hours             int
	}{
		{"2026-02-06", "12:00", "17:00", 5}, // what is left of today's light
		{"2026-02-07", "08:00", "17:00", 9},
	} {
		d := o.Waters[0].Days[i]
		if d.Date != want.date || d.From.Format("15:04") != want.from || d.Until.Format("15:04") != want.until || d.Struck || d.Closed {
			t.Errorf("day %d is %s from %s to %s", i, d.Date, d.From, d.Until)
		}
		if len(d.Groups) != 3 {
			t.Fatalf("%d groups", len(d.Groups))
		}
		for _, g := range d.Groups {
			if g.Activity == nil || g.Level == "" || g.CapacityMl <= 0 || len(g.HoursCompared) != want.hours || g.Hours != 5 {
				t.Errorf("%s on %s: %+v", g.Group, d.Date, g)
			}
		}
	}
	if diff := cmp.Diff([]string{o.ID}, b.drafts(t)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestDraftsAreReplacedUnlessSomebodyEditedThem(t *testing.T) {
	b := withClub(t)
	first := b.build(t, 2)
	b.now = noon.Add(time.Hour)
	second := b.build(t, 2)
	if diff := cmp.Diff([]string{second.ID}, b.drafts(t)); diff != "" || first.ID == second.ID {
		t.Errorf("drafts (-want +got):\n%s", diff)
	}
	note := "Bring a landing mat."
	edited, err := b.outlooker().Edit(t.Context(), "quill-club", second.ID, model.OutlookChange{By: "VP", Note: &note, Waters: map[string]string{"reedmere": "The gate code has changed."}})
	done(t, err)
	if edited.Note != note || edited.Waters[0].Note != "The gate code has changed." || len(edited.Edits) != 2 || edited.Edits[1].By != "VP" || edited.NewerDraft != "" {
		t.Errorf("edited %+v", edited)
	}
	b.now = noon.Add(2 * time.Hour)
	counts, err := b.outlooker().Run(t.Context())
	done(t, err)
	if counts["drafts"] != 1 || counts["clubs"] != 1 {
		t.Errorf("the run counted %v", counts)
	}
	left := b.drafts(t)
	if len(left) != 2 || left[1] != second.ID {
		t.Fatalf("drafts %v, want the edited one kept beside a new one", left)
	}
	if again, err := b.outlooker().Outlook(t.Context(), "quill-club", second.ID); err != nil || again.NewerDraft != left[0] {
		t.Errorf("the edited one tells of %q, %v", again.NewerDraft, err)
	}
}

// Whatever happens to the store's clock, weather, fits and restrictions, and
// whichever process reads: what was published keeps its bytes.
func TestAPublishedOutlookKeepsItsBytes(t *testing.T) {
	b := newBench(t)
	dir := t.TempDir()
	db, err := store.OpenSQLite(t.Context(), dir)
	done(t, err)
	b.db = db
	done(t, db.PutWater(t.Context(), reedmere))
	b.putWeather(t)
	b.putClub(t)
	draft := b.build(t, 2)
	published := b.publish(t, draft.ID)
	if published.State != model.OutlookPublished || published.Publish.By != "water-officer" || !published.Publish.At.Equal(b.now) {
		t.Errorf("published %+v", published.Publish)
	}
	was := b.kept(t, draft.ID)
	if told, err := was.Told(); err != nil || !bytes.Equal(told, was.Body) {
		t.Errorf("read with nothing beside it, it is %s, %v", told, err)
	}
	if bytes.Contains(was.Body, []byte(`"basis"`)) || bytes.Contains(was.Body, []byte(`log_rate`)) {
		t.Error("what the rates were computed from is published")
	}

	// A correction of the weather, records and a fit.
	amended := report(b.now.Truncate(time.Hour))
	amended.AirC, amended.Raw = model.Known[model.Celsius](-3), amended.Raw+" AMENDED"
	_, err = db.PutObservations(t.Context(), []model.Observation{amended})
	done(t, err)
	b.store(t, club(1, 4, 4, 4, 4, 4, 4)...)
	b.refit(t)
	// A restart.
	done(t, db.Close())
	db, err = store.OpenSQLite(t.Context(), dir)
	done(t, err)
	t.Cleanup(func() { done(t, db.Close()) })
	b.db = db
	if now := b.kept(t, draft.ID); !bytes.Equal(now.Body, was.Body) {
		t.Errorf("it changed from %s to %s", was.Body, now.Body)
	}

	// Published again it is recognised, whoever asks.
	before := b.revision(t)
	again, fresh, err := b.outlooker().Publish(t.Context(), "quill-club", draft.ID, "VP")
	done(t, err)
	if fresh || again.Publish.By != "water-officer" || b.revision(t) != before {
		t.Errorf("published again: fresh %v, by %s", fresh, again.Publish.By)
	}
	note := "too late"
	_, err = b.outlooker().Edit(t.Context(), "quill-club", draft.ID, model.OutlookChange{By: "VP", Note: &note})
	wantCode(t, err, model.Conflict)

	// One that follows it is told beside it.
	b.now = b.now.Add(time.Hour)
	next := b.publish(t, b.build(t, 2).ID)
	if next.Follows != draft.ID || next.Fit == published.Fit {
		t.Errorf("the next follows %q, on fit %s", next.Follows, next.Fit)
	}
	told := b.kept(t, draft.ID)
	out, err := told.Told()
	done(t, err)
	if want := `{"superseded_by":"` + next.ID + `",`; told.SupersededBy != next.ID || !bytes.HasPrefix(out, []byte(want)) || !bytes.HasSuffix(out, was.Body[1:]) {
		t.Errorf("read now it is %s", out)
	}

	// So is what is decided since.
	r := b.close(t, b.now)
	told = b.kept(t, draft.ID)
	if len(told.SincePublished) != 1 || told.SincePublished[0].Restriction.ID != r.ID || !strings.Contains(told.SincePublished[0].Text, "Reedmere: closed from Friday 6 February 2026, 13:05 GMT until it is lifted: fish in distress. Decided by water-officer, after this outlook was published.") {
		t.Errorf("decided since: %+v", told.SincePublished)
	}
	if !bytes.Equal(told.Body, was.Body) {
		t.Error("a closure changed it")
	}
	var decoded model.Outlook
	out, err = told.Told()
	done(t, err)
	done(t, json.Unmarshal(out, &decoded))
	now := decoded.AsNow()
	for i, d := range now.Waters[0].Days {
		if d.Closed != (i == 1) || d.Groups[0].Activity != nil || len(d.Groups[0].HoursCompared) != 0 || !strings.Contains(d.Paragraph, "withdrawn") {
			t.Errorf("as of now %s is %+v", d.Date, d)
		}
	}
	if decoded.Waters[0].Days[1].Groups[0].Activity == nil {
		t.Error("what was published changed with what is told of it now")
	}
}

func TestADraftIsPublishedWithTheRestrictionsInForce(t *testing.T) {
	b := withClub(t)
	draft := b.build(t, 2)
	note := "See you there."
	_, err := b.outlooker().Edit(t.Context(), "quill-club", draft.ID, model.OutlookChange{By: "VP", Note: &note})
	done(t, err)
	r := b.close(t, time.Date(2026, 2, 7, 0, 0, 0, 0, time.UTC))
	read, err := b.outlooker().Outlook(t.Context(), "quill-club", draft.ID)
	done(t, err)
	if !read.Waters[0].Days[1].Closed {
		t.Error("a draft read after a closure does not say so")
	}
	published := b.publish(t, draft.ID)
	d := published.Waters[0].Days[1]
	if !d.Closed || !d.Struck || len(d.Groups) != 0 || d.Confidence.Level != "none" || !strings.HasPrefix(d.Paragraph, "quill-club has closed this water until it is lifted: fish in distress. Decided by water-officer.") {
		t.Errorf("the closed day is %+v", d)
	}
	if open := published.Waters[0].Days[0]; open.Closed || len(open.Groups) != 3 {
		t.Errorf("the open day is %+v", open)
	}
	if published.Note != note || len(published.SincePublished) != 0 || published.Waters[0].Restrictions[0].ID != r.ID {
		t.Errorf("published %+v", published)
	}
	b.now = b.now.Add(time.Hour)
	_, err = (&jobs.Restrictor{Store: b.db, Now: b.clock}).Lift(t.Context(), r.ID, "VP", "fish recovered")
	done(t, err)
	since := b.kept(t, draft.ID).SincePublished
	if len(since) != 1 || !strings.Contains(since[0].Text, "(closed) was lifted on Friday 6 February 2026, 13:05 GMT: fish recovered. Decided by VP.") {
		t.Errorf("once it is lifted: %+v", since)
	}
}

func TestWhatIsInForceForAWater(t *testing.T) {
	b := withClub(t)
	o := b.outlooker()
	none, err := o.WaterOutlook(t.Context(), "reedmere", 3)
	done(t, err)
	if len(none.Days) != 3 || none.Days[0].Published || none.Days[0].Day.Date != "2026-02-06" || len(none.Days[0].Day.Groups) != 3 {
		t.Fatalf("with nothing published: %+v", none)
	}
	first := b.publish(t, b.build(t, 2).ID)
	b.now = b.now.Add(time.Hour)
	second := b.publish(t, b.build(t, 1).ID)
	got, err := o.WaterOutlook(t.Context(), "reedmere", 3)
	done(t, err)
	var from []string
	for _, d := range got.Days {
		from = append(from, d.Outlook)
	}
	if diff := cmp.Diff([]string{second.ID, first.ID, ""}, from); diff != "" {
		t.Errorf("outlooks of the days (-want +got):\n%s", diff)
	}
	b.close(t, time.Date(2026, 2, 7, 0, 0, 0, 0, time.UTC))
	got, err = o.WaterOutlook(t.Context(), "reedmere", 3)
	done(t, err)
	if d := got.Days[1]; len(d.Since) != 1 || !d.Day.Closed || d.Day.Groups[0].Activity != nil {
		t.Errorf("closed since: %+v", d)
	}
	if d := got.Days[0]; len(d.Since) != 0 || d.Day.Groups[0].Activity == nil {
		t.Errorf("the day before is %+v", d)
	}
	if d := got.Days[2]; d.Published || !d.Day.Closed || len(d.Day.Groups) != 0 {
		t.Errorf("the unpublished day is %+v", d)
	}
	b.now = time.Date(2026, 2, 6, 18, 0, 0, 0, time.UTC) // the light of today is over
	got, err = o.WaterOutlook(t.Context(), "reedmere", 1)
	done(t, err)
	if got.Days[0].Day.Date != "2026-02-07" {
		t.Errorf("in the evening the first day is %s", got.Days[0].Day.Date)
	}
}

func TestOutlooksComeInPagesNewestFirst(t *testing.T) {
	b := withClub(t)
	var want []string
	for range 5 {
		want = append([]string{b.publish(t, b.build(t, 1).ID).ID}, want...)
		b.now = b.now.Add(time.Minute)
	}
	var got []string
	for after := ""; ; {
		page, next, err := b.outlooker().Outlooks(t.Context(), "quill-club", model.OutlookPublished, after, 2)
		done(t, err)
		for _, e := range page {
			got = append(got, e.ID)
			if superseded := e.ID != want[0]; superseded != (e.SupersededBy != "") {
				t.Errorf("%s is superseded by %q", e.ID, e.SupersededBy)
			}
		}
		if next == "" {
			break
		}
		after = next
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestOutlooksThatCannotBe(t *testing.T) {
	b := withClub(t)
	o := b.outlooker()
	draft := b.build(t, 1)
	note, long := "one", strings.Repeat("x", 601)
	for name, c := range map[string]struct {
		do   func() error
		code model.Code
	}{
		"no such club":           {func() error { _, err := o.Build(t.Context(), "nobody", 2); return err }, model.NotFound},
		"no days":                {func() error { _, err := o.Build(t.Context(), "quill-club", 0); return err }, model.Invalid},
		"more than forecasts":    {func() error { _, err := o.Build(t.Context(), "quill-club", 8); return err }, model.Invalid},
		"another club's":         {func() error { _, err := o.Outlook(t.Context(), "other-club", draft.ID); return err }, model.NotFound},
		"published by nobody":    {func() error { _, _, err := o.Publish(t.Context(), "quill-club", draft.ID, ""); return err }, model.Invalid},
		"another club publishes": {func() error { _, _, err := o.Publish(t.Context(), "other-club", draft.ID, "VP"); return err }, model.NotFound},
		"nothing changed": {func() error {
			_, err := o.Edit(t.Context(), "quill-club", draft.ID, model.OutlookChange{By: "VP"})
			return err
		}, model.Invalid},
		"changed by nobody": {func() error {
			_, err := o.Edit(t.Context(), "quill-club", draft.ID, model.OutlookChange{Note: &note})
			return err
		}, model.Invalid},
		"too long": {func() error {
			_, err := o.Edit(t.Context(), "quill-club", draft.ID, model.OutlookChange{By: "VP", Note: &long})
			return err
		}, model.Invalid},
		"a note for another water": {func() error {
			_, err := o.Edit(t.Context(), "quill-club", draft.ID, model.OutlookChange{By: "VP", Waters: map[string]string{"carr": "x"}})
			return err
		}, model.Invalid},
		"no such water": {func() error { _, err := o.WaterOutlook(t.Context(), "nowhere", 2); return err }, model.NotFound},
		"no such place": {func() error { _, _, err := o.Outlooks(t.Context(), "quill-club", "", "here", 5); return err }, model.Invalid},
	} {
		if err := c.do(); err == nil || model.CodeOf(err) != c.code {
			t.Errorf("%s: error %v, want one of code %q", name, err, c.code)
		}
	}
	b.now = b.now.AddDate(0, 0, 2)
	_, _, err := o.Publish(t.Context(), "quill-club", draft.ID, "VP")
	wantCode(t, err, model.Conflict) // its hours are over
}

func TestAClubDecidesForItsOwnWaters(t *testing.T) {
	b := withClub(t)
	other := reedmere
	other.ID = "carr"
	done(t, b.db.PutWater(t.Context(), other))
	decided := model.Restriction{Club: "quill-club", Water: "carr", Kind: model.WaterClosed, From: noon, Reason: "r", DecidedBy: "officer"}
	restrictor := jobs.Restrictor{Store: b.db, Now: b.clock}
	_, _, err := restrictor.Restrict(t.Context(), decided)
	wantCode(t, err, model.Invalid)
	decided.Club = "unregistered"
	_, _, err = restrictor.Restrict(t.Context(), decided)
	done(t, err)
	register := jobs.ClubRegister{Store: b.db, Now: b.clock}
	_, _, err = register.PutClub(t.Context(), model.Club{ID: "x", Name: "X", Zone: "Europe/London", Waters: []string{"nowhere"}})
	wantCode(t, err, model.NotFound)
}
