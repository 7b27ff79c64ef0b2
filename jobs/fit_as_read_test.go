package jobs_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
)

// twoKinds is a public fit in force, and an angler with sessions of their own
// beside it.
func twoKinds(t *testing.T) (b *bench, public []model.Session) {
	t.Helper()
	b = newBench(t)
	b.putWeather(t)
	public = club(10, 3, 3, 2, 2, 2)
	b.store(t, public...)
	b.refit(t)
	b.now = noon.Add(time.Hour)
	b.store(t, entry(1, "VP", 4), entry(3, "VP", 9))
	return b, public
}

// change corrects how many bites there were in a session.
func (b *bench) change(t *testing.T, s model.Session, bites int) {
	t.Helper()
	stored, version, err := b.db.Session(t.Context(), s.ID)
	done(t, err)
	stored.Bites = model.Known(bites)
	done(t, b.db.ReplaceSession(t.Context(), stored, version))
}

// Statistics pack 6: nothing that is told to others may differ by what one angler
// did. A correction waits for the next public fit in everybody's fit but the
// corrector's own.
func TestAnothersCorrectionMovesNoOwnFit(t *testing.T) {
	b, public := twoKinds(t)
	before := ownFit(t, b.refit(t), "VP")
	b.now = noon.Add(2 * time.Hour)
	b.change(t, public[0], 40)
	fits := b.refit(t)
	if diff := cmp.Diff(before, ownFit(t, fits, "VP")); diff != "" || fits.Made != 0 {
		t.Errorf("%d fits made for one correction; the fit of another tells of it (-before +after):\n%s", fits.Made, diff)
	}

	// Nor is it told by what the angler adds: their fit is what it would be
	// without the correction.
	other, _ := twoKinds(t)
	other.refit(t)
	for _, world := range []*bench{b, other} {
		world.now = noon.Add(3 * time.Hour)
		world.store(t, entry(2, "VP", 7))
	}
	with, without := ownFit(t, b.refit(t), "VP"), ownFit(t, other.refit(t), "VP")
	if diff := cmp.Diff(without, with); diff != "" || with.ID == before.ID {
		t.Errorf("made anew, the fit of another tells of a correction (-without +with):\n%s", diff)
	}

	// The next public fit reads it, and own fits with it.
	b.now = noon.Add(4 * time.Hour)
	done(t, b.db.DeleteSession(t.Context(), public[3].ID))
	after := b.refit(t)
	other.now = b.now
	done(t, other.db.DeleteSession(t.Context(), public[3].ID))
	plain := other.refit(t)
	if after.Public.Data == plain.Public.Data || ownFit(t, after, "VP").Data == ownFit(t, plain, "VP").Data {
		t.Error("the correction is in no fit although the public one was made anew")
	}
}

// Who corrects a session of theirs sees it in their own plans at once.
func TestOnesOwnCorrectionMovesOnesOwnFit(t *testing.T) {
	b, public := twoKinds(t)
	b.store(t, entry(2, "A0", 6))
	before := b.refit(t)
	b.now = noon.Add(2 * time.Hour)
	b.change(t, public[0], 40)
	after := b.refit(t)
	if public[0].Angler != "A0" || ownFit(t, after, "A0").Data == ownFit(t, before, "A0").Data || after.Made != 1 {
		t.Errorf("%d fits made, want the corrector's own", after.Made)
	}
}

// A record that was corrected and is not joined again yet has not gone: it stays
// in the public fit as it was read.
func TestACorrectedRecordStaysUntilItIsJoinedAgain(t *testing.T) {
	b, public := twoKinds(t)
	before := b.refit(t)
	b.now = noon.Add(2 * time.Hour)
	b.change(t, public[0], 40)
	after := b.fit(t)
	if after.Made != 0 || after.Public.ID != before.Public.ID {
		t.Errorf("%d fits made while a correction waits to be joined, want none", after.Made)
	}
}

// A reading inside a private record moves its angler's own rows, also those that
// are public; the public fit must not be made anew for it alone.
func TestAPrivateReadingWaitsForTheNextPublicFit(t *testing.T) {
	b := newBench(t)
	b.putDays(t, 80)
	public := club(10, 3, 3, 2, 2, 2)
	b.store(t, public...)
	before := b.refit(t)
	b.now = noon.Add(time.Hour)
	b.store(t, entry(1, "VP", 4), readOn(40, "A0", true))
	rows := map[string]model.JoinedSession{}
	for _, j := range b.joined(t) {
		rows[j.Session] = j
	}
	after := b.refit(t)
	moved := 0
	for _, j := range b.joined(t) {
		if was, known := rows[j.Session]; known && was.InputsDigest != j.InputsDigest {
			if moved++; j.Angler != "A0" || j.Readings == "" {
				t.Errorf("a reading of A0 moves a row of %s", j.Angler)
			}
		}
	}
	if moved == 0 {
		t.Error("the reading moves no row, which shows nothing")
	}
	if after.Public.ID != before.Public.ID {
		t.Errorf("public fit %s, made for one private reading, want %s still", after.Public.ID, before.Public.ID)
	}
	if vp, without := ownFit(t, after, "VP"), ownFitWithout(t, public); vp.Data != without.Data {
		t.Error("a private reading of A0 shows in the fit of VP")
	}
}

// ownFitWithout is VP's fit in a world without the reading.
func ownFitWithout(t *testing.T, public []model.Session) model.FitRecord {
	t.Helper()
	b := newBench(t)
	b.putDays(t, 80)
	b.store(t, public...)
	b.refit(t)
	b.now = noon.Add(time.Hour)
	b.store(t, entry(1, "VP", 4), readOn(40, "A0", false))
	return ownFit(t, b.refit(t), "VP")
}
