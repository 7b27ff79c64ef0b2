package main

import (
	"strings"
	"testing"
	"time"

	"osier/model"
)

// expectedBlankShare is what an angler's blanks are held against.
const expectedBlankShare = 0.20

func TestFlawsArePlantedInTheirNumbers(t *testing.T) {
	for _, now := range append([]time.Time{demoNow}, otherNows...) {
		w := inventWorld(t, demoSeed, now)
		got, sent, own := map[string]int{}, 0, map[string]bool{}
		for _, s := range w.Truth.Sessions {
			if s.SentIn {
				sent++
			}
		}
		for _, f := range w.Truth.Flaws {
			got[f.Kind]++
			if own[f.Session] {
				t.Errorf("%s: two flaws in %s", now, f.Session)
			}
			own[f.Session] = true
		}
		for kind, want := range map[string]int{
			flawClock: 3, flawPounds: 4, flawLoads: 6, flawLate: 5, flawTwice: 2, flawAir: 1, flawNoPlan: (sent + 5) / 10,
		} {
			if got[kind] != want {
				t.Errorf("%s: %d sessions with the flaw %q, want %d", now, got[kind], kind, want)
			}
		}
		if got[flawNoBlanks] == 0 {
			t.Errorf("%s: quill2 wrote every blank down", now)
		}
	}
}

// Every planted flaw is caught by the product's own rules, and next to nothing
// else is: a dozen line bites without a bite do happen.
func TestEveryFlawIsCaughtAndLittleElse(t *testing.T) {
	for _, now := range []time.Time{demoNow, otherNows[5], otherNows[6], otherNows[7]} {
		in, err := takeIn(inventWorld(t, demoSeed, now))
		if err != nil {
			t.Fatalf("%s: %v", now, err)
		}
		planted := map[string]bool{}
		for _, f := range in.world.Truth.Flaws {
			planted[f.Session] = true
			if !in.caught(f) {
				t.Errorf("%s: nothing caught %+v in %+v", now, f, in.stored[f.Session].Queries)
			}
		}
		for mark, problems := range in.refused {
			if !planted[mark] {
				t.Errorf("%s: %s was refused: %v", now, mark, problems)
			}
		}
		falseQueries := 0
		for id, s := range in.stored {
			for _, q := range s.Queries {
				if planted[id] {
					continue
				}
				falseQueries++
				if q.Field != "line_bites" && q.Field != "water_temp" {
					t.Errorf("%s: %s has no flaw, and was asked: %s", now, id, q.Text)
				}
			}
		}
		t.Logf("%s: %d stored, %d refused, %d duplicates, %d queries without a flaw", now, len(in.stored), len(in.refused), len(in.twice), falseQueries)
		if falseQueries > 5 {
			t.Errorf("%s: %d queries about records without a flaw", now, falseQueries)
		}
	}
}

// caught says whether the rules found a flaw as the truth says they should.
func (in takenIn) caught(f demoFlaw) bool {
	r := in.stored[f.Session]
	switch f.Kind {
	case flawClock:
		return asks(r, "start") && asks(r, "end")
	case flawPounds:
		return strings.Contains(strings.Join(in.refused[f.Session], " "), "decimal pound")
	case flawNoPlan:
		return asks(r, "planned_feed")
	case flawLoads:
		return asks(r, "bites") && r.BitesText == "loads" && !r.Bites.Known
	case flawLate:
		return asks(r, "written_at") && r.LagWeight() < 1
	case flawTwice:
		return in.twice[f.Session+"-again"]
	case flawAir:
		return asks(r, "water_temp") && r.Excluded("water_temp")
	case flawNoBlanks:
		found, _ := model.MissingBlanks(in.of("quill2"), expectedBlankShare)
		_, stored := in.stored[f.Session]
		return found && !stored
	}
	return false
}

func (in takenIn) of(angler string) []model.Session {
	var out []model.Session
	for _, s := range in.stored {
		if s.Angler == angler {
			out = append(out, s)
		}
	}
	return out
}

func TestOnlyQuill2SeemsToLeaveBlanksOut(t *testing.T) {
	in := foundClub(t)
	for _, a := range demoAnglers {
		found, text := model.MissingBlanks(in.of(a.handle), expectedBlankShare)
		if want := a.handle == "quill2"; found != want {
			t.Errorf("%s: blanks missing %v, want %v: %s", a.handle, found, want, text)
		}
	}
}

// A club can be invented for any seed, on any day of the year.
func TestAnySeedAndDateGiveAClub(t *testing.T) {
	for i := range 24 {
		seed, now := mix64(uint64(i)), demoNow.Add(time.Duration(i)*(31*24+7)*time.Hour)
		w, err := newDemoWorld(seed, now)
		if err != nil {
			t.Errorf("seed %d at %s: %v", seed, now, err)
			continue
		}
		if n := len(w.Truth.Sessions); n < 195 || n > 240 {
			t.Errorf("seed %d at %s: %d sessions", seed, now, n)
		}
	}
}
