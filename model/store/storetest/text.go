package storetest

import (
	"testing"

	"osier/model"
)

// order is by the bytes of the text, whatever language the engine was set up in:
// capitals first, accents last, and marks count.
func order(t *testing.T, s Store) {
	inOrder := []string{"B", "Z", "_", "a", "a b", "a-b", "a_b", "ab", "b", "É", "é", "Ω", "中", "\U0001F41F"}
	for _, i := range []int{7, 2, 11, 0, 13, 5, 9, 1, 12, 3, 10, 4, 8, 6} {
		done(t, s.PutWater(t.Context(), water(inOrder[i])))
	}
	var listed []string
	after := ""
	for range len(inOrder) {
		page, err := s.Waters(t.Context(), after, 3)
		for _, w := range got(t, page, err) {
			listed = append(listed, w.ID)
			after = w.ID
		}
	}
	wantSame(t, "waters in pages of three", inOrder, listed)
}

// What one engine takes and the other does not, neither may see.
func notText(t *testing.T, s Store) {
	ctx := t.Context()
	for _, bad := range []string{"a\x00b", "\xff", "\xed\xa0\x80"} {
		before := revision(t, s)
		o := observation(noon)
		o.Raw = bad
		one := session(1)
		one.Water = bad
		_, errObservations := s.PutObservations(ctx, []model.Observation{o})
		for what, err := range map[string]error{
			"water": s.PutWater(ctx, water(bad)), "session": s.AddSession(ctx, one), "observations": errObservations,
			"answer":   s.KeepAnswer(ctx, bad, "o", "d", 200, noon, nil),
			"stations": s.PutStations(ctx, []model.Station{station(bad, 52, 0)}),
		} {
			if model.CodeOf(err) != model.Invalid {
				t.Errorf("%s of %q: error %v, want it refused as invalid", what, bad, err)
			}
		}
		_, errWater := s.Water(ctx, bad)
		_, _, errSession := s.Session(ctx, bad)
		_, errToken := s.Token(ctx, bad)
		_, errOutlook := s.Outlook(ctx, bad)
		_, errDay := s.OutlookInForce(ctx, "reedmere", bad)
		for what, err := range map[string]error{
			"water": errWater, "session": errSession, "deleted session": s.DeleteSession(ctx, bad),
			"token": errToken, "revoked token": s.RevokeToken(ctx, bad, noon), "outlook": errOutlook, "day of an outlook": errDay,
		} {
			if model.CodeOf(err) != model.NotFound {
				t.Errorf("%s named %q: error %v, want not found", what, bad, err)
			}
		}
		_, errTokens := s.Tokens(ctx, "", bad, 9)
		_, errOutlooks := s.Outlooks(ctx, bad, "", noon, "", 9)
		_, _, errScores := s.OutlookScores(ctx, "quill-club", bad, 9)
		for what, err := range map[string]error{"tokens after": errTokens, "outlooks of": errOutlooks, "outlook scores before": errScores} {
			if model.CodeOf(err) != model.Invalid {
				t.Errorf("%s %q: error %v, want it refused as invalid", what, bad, err)
			}
		}
		events, errEvents := s.Events(ctx, bad)
		wantSame(t, "events of what cannot be", []model.LoggedEvent(nil), got(t, events, errEvents))
		claimed, errClaim := s.SessionClaim(ctx, bad)
		wantSame(t, "who claimed what cannot be", "", got(t, claimed, errClaim))
		if after := revision(t, s); after != before {
			t.Errorf("%q: revision %d, want %d as before", bad, after, before)
		}
	}
	// In the text of a record both are escaped, and come back.
	w := water("reedmere")
	w.Name = "a\x00b"
	done(t, s.PutWater(ctx, w))
	back, err := s.Water(ctx, "reedmere")
	wantSame(t, "a NUL in a name", w.Name, got(t, back, err).Name)
}
