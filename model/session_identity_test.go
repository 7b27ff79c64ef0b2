package model_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
)

func TestIdentityIsByQuarterHour(t *testing.T) {
	a := summaryDay()
	if got, want := a.IdentityKey(), "quillmarsh-pit|VP|bream|2025-06-14T06:00:00Z"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	b := a
	b.Start = a.Start.Add(7 * time.Minute).UTC()
	if a.IdentityKey() != b.IdentityKey() || a.DerivedID() != b.DerivedID() {
		t.Error("7 minutes apart is the same session")
	}
	b.Start = a.Start.Add(8 * time.Minute)
	if a.IdentityKey() == b.IdentityKey() || a.DerivedID() == b.DerivedID() {
		t.Error("8 minutes later is another slot")
	}
	if err := model.ValidateID("id", a.DerivedID()); err != nil {
		t.Error(err)
	}
	// SHA-256 of the key above, computed apart; it must never change.
	if got, want := a.DerivedID(), "s-bf91f5130f410e55"; got != want {
		t.Errorf("derived %s, want %s", got, want)
	}
}

func TestDuplicateAndConflict(t *testing.T) {
	for _, c := range []struct {
		name    string
		change  func(*model.Session)
		same    bool
		differs []string
	}{
		{"sent twice", func(s *model.Session) {
			s.ID, s.EnteredAt, s.Queries = "other", testNow, []model.Query{{Field: "bites"}}
			s.WrittenAt = model.Known(testNow)
		}, true, nil},
		{"same instants in UTC", func(s *model.Session) {
			s.Start, s.End = s.Start.UTC(), s.End.UTC()
			for i := range s.Casts {
				s.Casts[i].In = s.Casts[i].In.UTC()
			}
		}, true, nil},
		{"other bites and notes", func(s *model.Session) { s.Bites, s.Notes = model.Known(2), "windy" }, false, []string{"bites", "notes"}},
		{"other start in the slot", func(s *model.Session) { s.Start = s.Start.Add(5 * time.Minute) }, false, []string{"start"}},
		{"other cast", func(s *model.Session) {
			s.Casts = append([]model.Cast(nil), s.Casts...)
			s.Casts[0].Outcome = model.LineBite
		}, false, []string{"casts"}},
		{"other group", func(s *model.Session) { s.Group = model.Silver }, false, nil},
	} {
		a, b := fullDay(), fullDay()
		c.change(&b)
		same, differs := model.Duplicate(a, b)
		if diff := cmp.Diff(c.differs, differs); same != c.same || diff != "" {
			t.Errorf("%s: same %v %s", c.name, same, diff)
		}
	}
}
