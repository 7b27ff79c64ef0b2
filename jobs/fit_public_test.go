package jobs_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/model"
	"osier/model/store"
)

// The rule is that of the statistics pack, section 6: five anglers, ten
// sessions, the largest share at most half.
func TestWhoseSessionsThePublicFitReads(t *testing.T) {
	carp := of(entry(40, "A4", 3), "reedmere", model.Carp)
	carpAgain := of(entry(41, "A4", 0), "reedmere", model.Carp)
	for _, c := range []struct {
		name     string
		sessions []model.Session
		admitted bool
	}{
		{"five anglers, ten sessions", club(1, 2, 2, 2, 2, 2), true},
		{"four anglers", club(1, 3, 3, 3, 3), false},
		{"nine sessions", club(1, 2, 2, 2, 2, 1), false},
		{"one angler has half", club(1, 5, 1, 1, 1, 1, 1), true},
		{"one angler has over half", club(1, 6, 1, 1, 1, 1, 1), false},
		{"the fifth angler fished for another group", append(club(1, 2, 2, 2, 2), carp, carpAgain), false},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t)
			b.store(t, c.sessions...)
			want := c.sessions
			if !c.admitted {
				want = nil
			}
			wantAdmitted(t, c.name, b.refit(t), want)
		})
	}
}

func TestWithNoRecordsTheFitIsThePrior(t *testing.T) {
	b := newBench(t)
	fits := b.fit(t)
	if f := fits.Public; f.ID != jobs.FitZero || f.Sessions != 0 || f.CutOff.Known || !f.Converged || len(fits.Own) != 0 {
		t.Errorf("fits %+v, want fit zero alone", fits)
	}
	byGroup := groupFits(t, fits.Public)
	for _, g := range model.Groups() {
		if byGroup[g].Sessions != 0 || byGroup[g].Group != string(g) {
			t.Errorf("%s: %d sessions of group %q, want the prior of its own", g, byGroup[g].Sessions, byGroup[g].Group)
		}
	}
	if again := b.fit(t); again.Made != 0 {
		t.Errorf("%d fits made of nothing the second time", again.Made)
	}
}

func TestEachWaterAndGroupIsAdmittedByItsOwnBatch(t *testing.T) {
	b := newChoiceBench(t)
	var four, carp []model.Session
	for _, s := range club(1, 3, 3, 3, 3) {
		four = append(four, of(s, "alder-mere", model.Bream))
	}
	for _, s := range club(30, 2, 2, 2, 2, 2) {
		carp = append(carp, of(s, "alder-mere", model.Carp))
	}
	here := club(1, 2, 2, 2, 2, 2)
	b.store(t, slices.Concat(here, four, carp)...)
	fits := b.refit(t)
	wantAdmitted(t, "two cells of three", fits, here, carp)
	if byGroup := groupFits(t, fits.Public); byGroup[model.Bream].Sessions != 10 || byGroup[model.Carp].Sessions != 10 || byGroup[model.Silver].Sessions != 0 {
		t.Errorf("sessions of bream %d, of carp %d, of silver %d; want 10, 10 and none", byGroup[model.Bream].Sessions, byGroup[model.Carp].Sessions, byGroup[model.Silver].Sessions)
	}
}

func TestThePublicFitTakesNewSessionsOnceAMonth(t *testing.T) {
	b := newChoiceBench(t)
	first := club(1, 3, 3, 2, 2, 2)
	b.store(t, first...)
	wantAdmitted(t, "the first", b.refit(t), first)

	// A second batch of five at Reedmere, and one of four at Alder Mere, come
	// in February; one more session when February is over.
	b.now = time.Date(2026, 2, 20, 12, 0, 0, 0, time.UTC)
	five := club(-13, 2, 2, 2, 2, 2) // up to 19 February
	var four []model.Session
	for _, s := range club(-13, 3, 3, 3, 3) {
		four = append(four, of(s, "alder-mere", model.Bream))
	}
	b.store(t, append(five, four...)...)
	if fits := b.refit(t); len(fits.Own) != 5 {
		t.Errorf("%d anglers have a fit of their own, want the five whose new sessions wait", len(fits.Own))
	}
	wantAdmitted(t, "the same month", b.fit(t), first)

	b.now = time.Date(2026, 3, 1, 0, 30, 0, 0, time.UTC)
	late := entry(-13, "A5", 4)
	late.EnteredAt = b.now.Add(-30 * time.Minute) // midnight is no longer February
	b.store(t, late)
	fits := b.refit(t)
	wantAdmitted(t, "the 1st", fits, first, five)
	if !fits.Public.MadeAt.Equal(b.now) || fits.Public.Anglers != 5 {
		t.Errorf("made at %v of %d anglers", fits.Public.MadeAt, fits.Public.Anglers)
	}
	if again := b.fit(t); again.Public.ID != fits.Public.ID || again.Made != 0 {
		t.Errorf("a second run of the day made %d fits", again.Made)
	}
}

// A batch that becomes fit to be read within the month waits for the next too.
func TestABatchWaitsForTheNextMonthThoughItsRuleIsMetBefore(t *testing.T) {
	b := newChoiceBench(t)
	first := club(7, 2, 2, 2, 2, 2) // all of them in January
	var over []model.Session
	for _, s := range club(7, 6, 1, 1, 1, 1, 1) {
		over = append(over, of(s, "alder-mere", model.Bream))
	}
	b.store(t, append(first, over...)...)
	wantAdmitted(t, "the first", b.refit(t), first)
	b.now = noon.AddDate(0, 0, 10)
	done(t, b.db.DeleteSession(t.Context(), over[0].ID))
	wantAdmitted(t, "half is one angler's", b.refit(t), first)
	b.now = time.Date(2026, 3, 1, 0, 30, 0, 0, time.UTC)
	wantAdmitted(t, "the 1st", b.refit(t), first, over[1:])
}

func TestADeletedSessionLeavesThePublicFitAtOnce(t *testing.T) {
	b := newBench(t)
	all := club(1, 3, 2, 2, 2, 2)
	b.store(t, all...)
	before := b.refit(t)
	wantAdmitted(t, "before", before, all)

	b.now = noon.Add(time.Hour)
	done(t, b.db.DeleteSession(t.Context(), all[0].ID))
	after := b.refit(t)
	wantAdmitted(t, "one deleted", after, all[1:])
	if after.Public.ID == before.Public.ID {
		t.Errorf("fit %s still, want another", after.Public.ID)
	}

	// Nine are too few to stay: each angler has theirs left, and nobody's plan
	// rests on the others'.
	b.now = noon.Add(2 * time.Hour)
	done(t, b.db.DeleteSession(t.Context(), all[1].ID))
	none := b.refit(t)
	wantAdmitted(t, "two deleted", none)
	if len(none.Own) != 5 {
		t.Errorf("%d own fits, want those of the five", len(none.Own))
	}
}

// With the last of a group its fit is the prior again, also between renewals.
func TestAGroupWhoseSessionsAllLeftIsThePriorAgain(t *testing.T) {
	b := newBench(t)
	bream := club(1, 6, 6, 6, 6, 6)
	var carp []model.Session
	for _, s := range club(40, 2, 2, 2, 2, 2) {
		carp = append(carp, of(s, "reedmere", model.Carp))
	}
	prior := groupFits(t, b.fit(t).Public)[model.Carp]
	b.store(t, append(bream, carp...)...)
	wantAdmitted(t, "both", b.refit(t), bream, carp)
	b.now = noon.Add(time.Hour)
	done(t, b.db.DeleteSession(t.Context(), carp[0].ID))
	fits := b.refit(t)
	wantAdmitted(t, "carp went", fits, bream)
	if diff := cmp.Diff(prior, groupFits(t, fits.Public)[model.Carp]); diff != "" || !fits.Public.RenewedAt.Equal(noon) {
		t.Errorf("renewed at %v; carp is not the prior (-prior +carp):\n%s", fits.Public.RenewedAt, diff)
	}
}

// Issue 7's test of disclosure: between any two public fits in a row, what came
// in at a water for a group is from five anglers or more, none with over half.
func TestNoTwoPublicFitsTellWhatOneAnglerDid(t *testing.T) {
	for seed := range uint64(1) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			b := newChoiceBench(t)
			year := simulatedYear(rand.New(rand.NewPCG(seed, 7)))
			b.now = time.Date(2027, 1, 2, 0, 0, 0, 0, time.UTC)
			b.store(t, year...)
			b.join(t)
			byID := map[string]model.Session{}
			for _, s := range year {
				byID[s.ID] = s
			}
			fitter := jobs.Fitter{Store: publicAlone{b.db}, Now: b.clock}
			var before []string
			changes, waited := 0, 0
			for month := range 12 {
				b.now = time.Date(2026, time.Month(month+2), 1, 0, 40, 0, 0, time.UTC)
				fits, err := fitter.Run(t.Context())
				if !errors.Is(err, errOwnFit) {
					t.Fatalf("error %v; somebody's sessions always wait", err)
				}
				if len(fits.Public.Admitted) > len(before) {
					changes++
				}
				waited += enteredBefore(year, b.now) - len(fits.Public.Admitted)
				checkDifference(t, byID, before, fits.Public.Admitted)
				before = fits.Public.Admitted
			}
			if changes < 6 || waited < 50 {
				t.Errorf("%d public fits let sessions in, and %d had to wait; the test wants many of both", changes, waited)
			}
		})
	}
}

var errOwnFit = errors.New("own fits are not made here")

// publicAlone stops a run after the public fit.
type publicAlone struct{ *store.DB }

func (s publicAlone) LatestFit(ctx context.Context, angler string, at time.Time) (model.FitRecord, error) {
	if angler != "" {
		return model.FitRecord{}, errOwnFit
	}
	return s.DB.LatestFit(ctx, angler, at)
}

// simulatedYear is some 45 sessions a month of 30 anglers at three waters. A few
// go very often, most have a water of their own, and some enter their sessions a
// month late.
func simulatedYear(random *rand.Rand) []model.Session {
	waters := []string{"reedmere", "alder-mere", "olsza"}
	var out []model.Session
	for day := range 365 {
		fished := map[int]bool{}
		for range 1 + random.IntN(2) {
			angler := int(30 * math.Pow(random.Float64(), 2))
			if fished[angler] {
				continue
			}
			fished[angler] = true
			water := waters[angler%3]
			if random.Float64() < 0.3 {
				water = waters[random.IntN(3)]
			}
			group := model.Bream
			if random.Float64() < 0.3 {
				group = model.Silver
			}
			s := of(entry(36-day, fmt.Sprintf("A%d", angler), int(random.ExpFloat64()*6)), water, group)
			s.EnteredAt = s.EnteredAt.Add(time.Duration(random.IntN(2)*random.IntN(40)) * 24 * time.Hour)
			out = append(out, s)
		}
	}
	return out
}

func enteredBefore(sessions []model.Session, at time.Time) int {
	n := 0
	for _, s := range sessions {
		if s.EnteredAt.Before(at) {
			n++
		}
	}
	return n
}

// checkDifference holds what came in or went out, by water and group, against
// the rule.
func checkDifference(t *testing.T, sessions map[string]model.Session, before, after []string) {
	t.Helper()
	changed := map[string]bool{}
	for _, id := range slices.Concat(before, after) {
		changed[id] = slices.Contains(before, id) != slices.Contains(after, id)
	}
	cells := map[string]map[string]int{}
	for id := range changed {
		if !changed[id] {
			continue
		}
		s := sessions[id]
		cell := s.Water + " " + string(s.Group)
		if cells[cell] == nil {
			cells[cell] = map[string]int{}
		}
		cells[cell][s.Angler]++
	}
	for cell, anglers := range cells {
		total, most := 0, 0
		for _, n := range anglers {
			total, most = total+n, max(most, n)
		}
		if len(anglers) < 5 || total < 10 || 2*most > total {
			t.Errorf("%s: two public fits differ by %d sessions of %d anglers, %d of them one angler's", cell, total, len(anglers), most)
		}
	}
}

// A correction of one session must not be told by a public fit made for it.
func TestACorrectionWaitsForTheNextPublicFit(t *testing.T) {
	b := newBench(t)
	all := club(7, 3, 3, 2, 2, 2)
	b.store(t, all...)
	first := b.refit(t).Public
	corrected := all[0]
	corrected.Bites = model.Known(40)
	done(t, b.db.ReplaceSession(t.Context(), corrected, 1))
	b.now = noon.AddDate(0, 1, 0)
	if again := b.refit(t); again.Public.ID != first.ID {
		t.Errorf("fit %s, made for one correction, want %s still", again.Public.ID, first.ID)
	}
	// One that takes the record out of fits is gone at once.
	corrected.Queries = []model.Query{{Field: "bites", Text: "?", Excludes: "session"}}
	done(t, b.db.ReplaceSession(t.Context(), corrected, 2))
	if gone := b.refit(t); gone.Public.Sessions != first.Sessions-1 {
		t.Errorf("%d sessions, want the one out of it", gone.Public.Sessions)
	}
}

// Weather that comes in later is everybody's, and is read at once.
func TestWeatherThatComesInLaterIsReadByThePublicFit(t *testing.T) {
	b := newBench(t)
	b.store(t, club(1, 3, 3, 2, 2, 2)...)
	first := b.refit(t).Public
	b.putWeather(t)
	if again := b.refit(t); again.Public.ID == first.ID || again.Public.Sessions != first.Sessions {
		t.Errorf("fit %s of %d sessions still, want another of the same", again.Public.ID, again.Public.Sessions)
	}
}
