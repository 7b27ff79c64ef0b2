package jobs_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/model"
)

// fishedOn is a session of bream at Reedmere on a day of February, four hours from
// an hour on.
func fishedOn(day, hour int, angler string, bites int) model.Session {
	start := time.Date(2026, 2, day, hour, 0, 0, 0, time.UTC)
	s := model.Session{
		Water: "reedmere", Angler: angler, Group: model.Bream, Style: model.Summary, Start: start, End: start.Add(4 * time.Hour), Rods: 1,
		WrittenAt: model.Known(start.Add(5 * time.Hour)), Bites: model.Known(bites), Fish: map[model.Group]int{model.Bream: bites / 2},
	}
	s.ID = s.DerivedID()
	return s
}

// crowd is so many sessions of each of several anglers on a day.
func crowd(day int, anglers string, each, bites int) []model.Session {
	var out []model.Session
	for _, a := range anglers {
		for i := range each {
			out = append(out, fishedOn(day, 8+i, fmt.Sprintf("A%c", a), bites))
		}
	}
	return out
}

func (b *bench) scoreOutlooks(t *testing.T) map[string]model.OutlookScore {
	t.Helper()
	_, err := (&jobs.OutlookScorer{Store: b.db, Now: b.clock}).Run(t.Context())
	done(t, err)
	out := map[string]model.OutlookScore{}
	for after := ""; ; {
		page, next, err := b.outlooker().OutlookScores(t.Context(), "quill-club", after, 3)
		done(t, err)
		for _, s := range page {
			out[s.Date+" "+string(s.Group)] = s
		}
		if next == "" {
			return out
		}
		after = next
	}
}

func wantWithheld(t *testing.T, s model.OutlookScore, sessions string, why ...string) {
	t.Helper()
	if s.Expected.Known || s.Observed.Known || s.Inside90.Known || s.Sessions != sessions {
		t.Errorf("%s %s: %s sessions, want %s and no figure: %+v", s.Date, s.Group, s.Sessions, sessions, s)
	}
	if diff := cmp.Diff(why, s.Withheld); diff != "" {
		t.Errorf("%s %s is withheld for (-want +got):\n%s", s.Date, s.Group, diff)
	}
}

func TestOutlooksAreScoredUnderTheDisclosureRule(t *testing.T) {
	b := withClub(t)
	o := b.publish(t, b.build(t, 3).ID) // the 6th to the 8th, at five past twelve
	b.store(t, crowd(6, "abcdef", 2, 3)...)
	b.store(t, crowd(7, "abcdef", 2, 6)...)
	b.store(t, crowd(8, "xyz", 1, 1)...)

	b.now = time.Date(2026, 2, 9, 8, 0, 0, 0, time.UTC)
	scores := b.scoreOutlooks(t)
	if _, scored := scores["2026-02-06 bream"]; scored || len(scores) != 6 {
		t.Errorf("%d scores; a day that had begun when its outlook was published is not scored", len(scores))
	}
	wantWithheld(t, scores["2026-02-07 bream"], "10-19", "records may still come in")
	wantWithheld(t, scores["2026-02-08 bream"], "under 5", "contributors", "sessions", "records may still come in")
	wantWithheld(t, scores["2026-02-07 carp"], "under 5", "contributors", "sessions", "records may still come in")

	b.now = time.Date(2026, 2, 12, 8, 0, 0, 0, time.UTC)
	scores = b.scoreOutlooks(t)
	shown := scores["2026-02-07 bream"]
	told := o.Waters[0].Days[1].Groups[1]
	if !shown.Observed.Known || shown.Observed.Value != 1.5 || shown.Expected.Value != told.Activity.BitesPerH.Mean || shown.Inside90.Value != 1 || shown.Outlook != o.ID || shown.Sessions != "10-19" || len(shown.Withheld) != 0 {
		t.Errorf("shown %+v, published %+v", shown, told.Activity.BitesPerH)
	}
	wantWithheld(t, scores["2026-02-08 bream"], "under 5", "contributors", "sessions")
	if beside := b.kept(t, o.ID).Scores; len(beside) != 6 {
		t.Errorf("%d scores are told beside the outlook", len(beside))
	}

	// What is shown stays, whatever comes in late; running again writes nothing.
	b.store(t, fishedOn(7, 14, "Aq", 40))
	before := b.revision(t)
	b.now = b.now.Add(24 * time.Hour)
	if diff := cmp.Diff(shown, b.scoreOutlooks(t)["2026-02-07 bream"]); diff != "" || b.revision(t) != before {
		t.Errorf("a late record changed it (-was +is):\n%s", diff)
	}

	// A month that differs from its shown days by three anglers is not told.
	b.now = time.Date(2026, 3, 16, 8, 0, 0, 0, time.UTC)
	wantWithheld(t, b.scoreOutlooks(t)["2026-02 "], "10-19", "what it differs by from days that are shown")

	// A figure goes for good when a session behind it is deleted.
	done(t, b.db.DeleteSession(t.Context(), fishedOn(7, 8, "Aa", 6).ID))
	wantWithheld(t, b.scoreOutlooks(t)["2026-02-07 bream"], "10-19", "a session behind it was deleted")
	b.store(t, crowd(7, "uvw", 2, 6)...)
	wantWithheld(t, b.scoreOutlooks(t)["2026-02-07 bream"], "10-19", "a session behind it was deleted")
}

// Five anglers of two sessions each would do, were the bites not one angler's.
func TestADayIsNotToldWhereMostBitesAreOneAnglers(t *testing.T) {
	b := withClub(t)
	b.publish(t, b.build(t, 3).ID)
	b.store(t, crowd(7, "abcd", 2, 1)...)
	b.store(t, crowd(7, "e", 2, 30)...)
	b.now = time.Date(2026, 2, 12, 8, 0, 0, 0, time.UTC)
	wantWithheld(t, b.scoreOutlooks(t)["2026-02-07 bream"], "10-19", "one contributor dominates")
}

func TestAMonthIsToldWhereItsDaysAreNot(t *testing.T) {
	b := withClub(t)
	b.publish(t, b.build(t, 3).ID)
	b.store(t, crowd(7, "abcd", 2, 4)...)
	b.store(t, crowd(8, "efgh", 1, 8)...)
	b.now = time.Date(2026, 3, 14, 23, 0, 0, 0, time.UTC)
	if _, told := b.scoreOutlooks(t)["2026-02 "]; told {
		t.Error("a month is told before records are in")
	}
	b.now = time.Date(2026, 3, 15, 8, 0, 0, 0, time.UTC)
	scores := b.scoreOutlooks(t)
	month := scores["2026-02 "]
	// 8 sessions of 4 bites and 4 of 8, each in four hours: 64 bites in 48 h.
	if month.Observed.Value != 1.5 || !month.Expected.Known || month.Sessions != "10-19" || month.Outlook != "" || month.Group != "" {
		t.Errorf("the month is %+v", month)
	}
	wantWithheld(t, scores["2026-02-07 bream"], "5-9", "contributors", "sessions")

	// Then no day of it is told any more: their difference would tell of the rest.
	b.store(t, crowd(7, "ijkl", 2, 4)...)
	wantWithheld(t, b.scoreOutlooks(t)["2026-02-07 bream"], "10-19", "its month is told instead")
}

func TestADayIsScoredAgainstWhatWasInForceAsItBegan(t *testing.T) {
	b := withClub(t)
	b.publish(t, b.build(t, 3).ID)
	b.now = time.Date(2026, 2, 7, 6, 0, 0, 0, time.UTC)
	inForce := b.publish(t, b.build(t, 2).ID)
	b.now = time.Date(2026, 2, 7, 12, 0, 0, 0, time.UTC)
	late := b.publish(t, b.build(t, 2).ID)
	b.now = time.Date(2026, 2, 20, 12, 0, 0, 0, time.UTC)
	scores := b.scoreOutlooks(t)
	if scores["2026-02-07 bream"].Outlook != inForce.ID || scores["2026-02-08 bream"].Outlook != late.ID {
		t.Errorf("scored against %q and %q, want %q and %q", scores["2026-02-07 bream"].Outlook, scores["2026-02-08 bream"].Outlook, inForce.ID, late.ID)
	}
}
