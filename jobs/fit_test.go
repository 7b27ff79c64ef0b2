package jobs_test

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
)

func TestAFitIsNamedByWhatItHoldsAndKeptOnce(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	all := club(1, 3, 3, 2, 2, 2)
	b.store(t, all...)
	first := b.refit(t)
	f := first.Public
	if f.Sessions != 12 || f.Anglers != 5 || !f.CutOff.Value.Equal(all[0].Start) || first.Made != 1 || len(first.Own) != 0 {
		t.Errorf("fit of %d sessions of %d anglers up to %v, %d made", f.Sessions, f.Anglers, f.CutOff.Value, first.Made)
	}
	byGroup := groupFits(t, f)
	if byGroup[model.Bream].Sessions != 12 || byGroup[model.Carp].Sessions != 0 {
		t.Errorf("%d and %d sessions, want 12 of bream and none of carp", byGroup[model.Bream].Sessions, byGroup[model.Carp].Sessions)
	}
	before := b.revision(t)
	b.now = noon.Add(8 * 24 * time.Hour) // even when a renewal would be due
	again := b.fit(t)
	if again.Public.ID != f.ID || !again.Public.MadeAt.Equal(f.MadeAt) || again.Made != 0 || b.revision(t) != before {
		t.Errorf("the same records made the fit %s of %v again, or it was kept twice", again.Public.ID, again.Public.MadeAt)
	}
}

func TestTheOrderInWhichSessionsCameDoesNotMatter(t *testing.T) {
	public, own := map[string]bool{}, map[string]bool{}
	for seed := range uint64(4) {
		b := newBench(t)
		random := rand.New(rand.NewPCG(seed, 1))
		shared := club(5, 3, 3, 2, 2, 2)
		random.Shuffle(len(shared), func(i, j int) { shared[i], shared[j] = shared[j], shared[i] })
		b.store(t, shared...)
		public[b.refit(t).Public.ID] = true
		private := []model.Session{entry(1, "VP", 4), entry(2, "VP", 0), entry(3, "VP", 9)}
		random.Shuffle(len(private), func(i, j int) { private[i], private[j] = private[j], private[i] })
		b.store(t, private...)
		own[ownFit(t, b.refit(t), "VP").ID] = true
	}
	if len(public) != 1 || len(own) != 1 {
		t.Errorf("%d public fits and %d own ones of the same sessions: %v %v", len(public), len(own), public, own)
	}
}

func TestSessionsKeptOutAreNotRead(t *testing.T) {
	doubted := entry(1, "A0", 5)
	doubted.Queries = []model.Query{{Field: "bites", Text: "so many in an hour", Excludes: "session"}}
	uncounted := entry(2, "A0", 5)
	uncounted.Bites, uncounted.Fish = model.Maybe[int]{}, nil
	b := newBench(t)
	b.store(t, doubted, uncounted)
	if fits := b.refit(t); fits.Public.ID != jobs.FitZero || fits.Public.Sessions != 0 || len(fits.Own) != 0 {
		t.Errorf("fit %s of %d sessions and %d own fits, want fit zero alone: none of them may be read", fits.Public.ID, fits.Public.Sessions, len(fits.Own))
	}
}

// A fit adds what its angler fished on each peg lately itself: its doubt about
// that effect is then less than the prior's.
func TestTheEffortOnPegsIsLearntFrom(t *testing.T) {
	b := newBench(t)
	doubt := func(f model.FitRecord) float64 {
		count := groupFits(t, f)[model.Bream].Count
		return count.SEs[slices.Index(count.Columns, "peg_effort_7d_rod_h")]
	}
	prior := doubt(b.fit(t).Public)
	for day := range 12 {
		b.store(t, entry(1+day, "VP", manyBites[day]))
	}
	if got := doubt(ownFit(t, b.refit(t), "VP")); prior != 0.15 || !(got < 0.95*prior) {
		t.Errorf("standard error %v by the prior, %v after twelve days on one peg; want 0.15 and clearly less", prior, got)
	}
}

// Bites told as a word are no number, but the fish beside them were counted.
func TestAWordForBitesIsReadByItsFish(t *testing.T) {
	loads := entry(1, "VP", 0)
	loads.Bites, loads.BitesText, loads.Fish = model.Maybe[int]{}, "loads", map[model.Group]int{model.Bream: 24}
	blank := entry(1, "VP", 0)
	blank.Bites, blank.Fish, blank.Blank = model.Maybe[int]{}, nil, true
	rate := func(s model.Session) float64 {
		b := newBench(t)
		b.store(t, s)
		own := ownFit(t, b.refit(t), "VP")
		if own.Sessions != 1 {
			t.Errorf("%d sessions read, want one", own.Sessions)
		}
		return groupFits(t, own)[model.Bream].Count.Coefficients[0]
	}
	prior := groupFits(t, newBench(t).fit(t).Public)[model.Bream].Count.Coefficients[0]
	if many, none := rate(loads), rate(blank); !(none < prior && prior < many) {
		t.Errorf("intercept %v after loads with 24 fish, %v by the prior, %v after a blank; want them in this order", many, prior, none)
	}
}
