package storetest

import (
	"testing"
	"time"

	"osier/model"
)

func sessions(t *testing.T, s Store) {
	ctx := t.Context()
	first, second, third := session(1), session(2), session(3)
	second.Angler, third.Water = "MK", "carr"
	for _, one := range []model.Session{third, first, second} {
		done(t, s.AddSession(ctx, one))
	}
	one, version, err := s.Session(ctx, first.ID)
	wantSame(t, "by identifier, offset and all", first, got(t, one, err))
	if version != 1 {
		t.Errorf("version %d of a new session, want 1", version)
	}
	one, err = s.SessionByIdentity(ctx, second.IdentityKey())
	wantSame(t, "by identity", second, got(t, one, err))
	far := noon.AddDate(1, 0, 0)
	for _, c := range []struct {
		name, water, angler string
		from, to            time.Time
		want                []model.Session
	}{
		{"all, by start", "", "", noon, far, []model.Session{first, second, third}},
		{"of a water", "carr", "", noon, far, []model.Session{third}},
		{"of an angler", "", "VP", noon, far, []model.Session{first, third}},
		{"of both", "reedmere", "VP", noon, far, []model.Session{first}},
		{"both ends included", "", "", first.Start, second.Start, []model.Session{first, second}},
		{"a second short of either", "", "", first.Start.Add(time.Second), second.Start.Add(-time.Second), nil},
	} {
		list, err := s.Sessions(ctx, c.water, c.angler, c.from, c.to)
		wantSame(t, c.name, c.want, got(t, list, err))
	}
}

func sessionIdentity(t *testing.T, s Store) {
	ctx := t.Context()
	first := session(1)
	done(t, s.AddSession(ctx, first))
	sameDay, sameID := first, session(2)
	sameDay.ID, sameDay.Bites = "s-other", model.Known(99)
	sameID.ID = first.ID
	for name, again := range map[string]model.Session{"sent again": first, "other identifier, same day": sameDay, "same identifier, other day": sameID} {
		t.Run(name, func(t *testing.T) {
			wantError(t, s.AddSession(ctx, again), model.Conflict, again.ID, "stored already")
			list, err := s.Sessions(ctx, "", "", noon, noon.AddDate(1, 0, 0))
			wantSame(t, "stored", []model.Session{first}, got(t, list, err))
		})
	}
}

func sessionReplace(t *testing.T, s Store) {
	ctx := t.Context()
	first := session(1)
	done(t, s.AddSession(ctx, first))
	done(t, s.PutJoined(ctx, []model.JoinedSession{joinedOf(first)}))
	changed := first
	changed.Bites = model.Known(7)
	wantError(t, s.ReplaceSession(ctx, changed, 2), model.Conflict, first.ID, "changed or deleted meanwhile", "read it again")
	one, version, err := s.Session(ctx, first.ID)
	wantSame(t, "after a change of a version nobody read", first, got(t, one, err))
	if list, err := s.Joined(ctx); len(got(t, list, err)) != 1 {
		t.Errorf("%d joined after the refused change, want 1", len(list))
	}
	done(t, s.ReplaceSession(ctx, changed, version))
	one, version, err = s.Session(ctx, first.ID)
	wantSame(t, "changed", changed, got(t, one, err))
	if version != 2 {
		t.Errorf("version %d after one change, want 2", version)
	}
	if list, err := s.Joined(ctx); len(got(t, list, err)) != 0 {
		t.Errorf("what was joined from the old record is still there: %v", list)
	}
	wantError(t, s.ReplaceSession(ctx, changed, 1), model.Conflict, "meanwhile")
	wantError(t, s.ReplaceSession(ctx, session(2), 1), model.Conflict, "s-02")
}

// Asking again later would never help here, so it must not look like a store in
// trouble.
func sessionReplaceIdentity(t *testing.T, s Store) {
	ctx := t.Context()
	first, second := session(1), session(2)
	done(t, s.AddSession(ctx, first))
	done(t, s.AddSession(ctx, second))
	moved := second
	moved.Start, moved.End = first.Start, first.End
	wantError(t, s.ReplaceSession(ctx, moved, 1), model.Conflict, first.ID)
	one, version, err := s.Session(ctx, second.ID)
	wantSame(t, "the session that was not changed", second, got(t, one, err))
	if version != 1 {
		t.Errorf("version %d, want 1", version)
	}
}

func sessionDelete(t *testing.T, s Store) {
	ctx := t.Context()
	first, second := session(1), session(2)
	done(t, s.AddSession(ctx, first))
	done(t, s.AddSession(ctx, second))
	done(t, s.PutJoined(ctx, []model.JoinedSession{joinedOf(first), joinedOf(second)}))
	done(t, s.DeleteSession(ctx, first.ID))
	_, _, err := s.Session(ctx, first.ID)
	wantError(t, err, model.NotFound, first.ID)
	list, err := s.Joined(ctx)
	wantSame(t, "joined", []model.JoinedSession{joinedOf(second)}, got(t, list, err))
	done(t, s.AddSession(ctx, first)) // the same session may be recorded anew
}

func imports(t *testing.T, s Store) {
	ctx := t.Context()
	report := model.Import{ID: "i-1", File: "records.csv", At: noon, Stored: 2, Rows: []model.RowReport{{Row: 2, Session: "s-01", Status: model.RowStored}}}
	done(t, s.AddImport(ctx, []model.Session{session(1), session(2)}, report))
	stored, err := s.Import(ctx, "i-1")
	wantSame(t, "the report", report, got(t, stored, err))

	before := revision(t, s)
	clash := model.Import{ID: "i-2", At: noon}
	wantError(t, s.AddImport(ctx, []model.Session{session(3), session(1), session(4)}, clash), model.Conflict, "s-01")
	_, err = s.Import(ctx, "i-2")
	wantError(t, err, model.NotFound, "i-2")
	list, err := s.Sessions(ctx, "", "", noon, noon.AddDate(1, 0, 0))
	wantSame(t, "sessions after a batch with a conflict", []model.Session{session(1), session(2)}, got(t, list, err))
	if after := revision(t, s); after != before {
		t.Errorf("revision %d after a refused batch, want %d", after, before)
	}

	again := report
	again.Stored, again.Duplicates = 0, 2
	done(t, s.AddImport(ctx, nil, again))
	stored, err = s.Import(ctx, "i-1")
	wantSame(t, "the same file again gets a new report", again, got(t, stored, err))
}

func joined(t *testing.T, s Store) {
	ctx := t.Context()
	first, second, deleted := session(1), session(2), session(3)
	done(t, s.AddSession(ctx, first))
	done(t, s.AddSession(ctx, second))
	done(t, s.PutJoined(ctx, []model.JoinedSession{joinedOf(deleted), joinedOf(second), joinedOf(first)}))
	list, err := s.Joined(ctx)
	wantSame(t, "by start, without the deleted one", []model.JoinedSession{joinedOf(first), joinedOf(second)}, got(t, list, err))
	anew := joinedOf(first)
	anew.Weather, anew.InputsDigest, anew.Use, anew.Why = "w-2", "d-2", false, "the bites were not counted"
	done(t, s.PutJoined(ctx, []model.JoinedSession{anew}))
	list, err = s.Joined(ctx)
	wantSame(t, "one joined anew", []model.JoinedSession{anew, joinedOf(second)}, got(t, list, err))
}

func waterByWater(t *testing.T, s Store) {
	ctx := t.Context()
	var want []model.Session
	for i := range 6 {
		one := session(i)
		if i == 3 { // two that start alike are told apart by their identifier
			one.Start, one.End, one.Peg, one.Angler = want[2].Start, want[2].End, "7", "MK"
		}
		if i == 5 {
			one.Water = "alder"
		} else {
			want = append(want, one)
		}
		done(t, s.AddSession(ctx, one))
		done(t, s.PutJoined(ctx, []model.JoinedSession{joinedOf(one)}))
	}
	waters, err := s.SessionWaters(ctx)
	wantSame(t, "the waters fished", []string{"alder", "reedmere"}, got(t, waters, err))
	var read []model.Session
	for last := (model.Session{}); ; last = read[len(read)-1] {
		page, err := s.SessionsAfter(ctx, "reedmere", last.Start, last.ID, want[4].Start, 2)
		if read = append(read, got(t, page, err)...); len(page) < 2 {
			break
		}
	}
	wantSame(t, "two at a time", want, read)
	early, err := s.SessionsAfter(ctx, "reedmere", time.Time{}, "", want[1].Start, 9)
	wantSame(t, "those that start by an instant", want[:2], got(t, early, err))
	joined, err := s.JoinedAt(ctx, "reedmere", want[1].Start, want[3].Start)
	wantSame(t, "joined in a span", []model.JoinedSession{joinedOf(want[1]), joinedOf(want[2]), joinedOf(want[3])}, got(t, joined, err))
}
