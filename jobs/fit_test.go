package jobs_test

import (
	"encoding/json"
	"math/rand/v2"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
	"osier/model/activity"
)

func (b *bench) fit(t *testing.T) model.FitRecord {
	t.Helper()
	record, err := (&jobs.Fitter{Store: b.db, Now: b.clock}).Run(t.Context())
	done(t, err)
	return record
}

var manyBites = []int{3, 5, 0, 8, 2, 2, 11, 4, 6, 1, 7, 3}

func TestWithNoRecordsTheFitIsThePrior(t *testing.T) {
	b := newBench(t)
	record := b.fit(t)
	if record.ID != jobs.FitZero || record.Sessions != 0 || record.CutOff.Known || !record.Converged {
		t.Errorf("fit %+v, want fit zero", record)
	}
	var fits map[model.Group]activity.Fit
	done(t, json.Unmarshal(record.Body, &fits))
	for _, g := range model.Groups() {
		if fits[g].Weight != 0 || fits[g].Group != string(g) {
			t.Errorf("%s: weight %v of group %q, want the prior of its own", g, fits[g].Weight, fits[g].Group)
		}
	}
}

func TestAFitIsNamedByWhatItHoldsAndKeptOnce(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	b.addRecords(t, manyBites...)
	b.join(t)
	first := b.fit(t)
	if first.Sessions != len(manyBites) || first.Anglers != 3 || !first.CutOff.Value.Equal(record(1, "A0", 0).Start) {
		t.Errorf("fit of %d sessions of %d anglers up to %v", first.Sessions, first.Anglers, first.CutOff.Value)
	}
	var fits map[model.Group]activity.Fit
	done(t, json.Unmarshal(first.Body, &fits))
	if fits[model.Bream].Weight != 12.0/32 || fits[model.Carp].Weight != 0 {
		t.Errorf("weights %v and %v, want 12 of 32 for bream and none for carp", fits[model.Bream].Weight, fits[model.Carp].Weight)
	}
	before := b.revision(t)
	b.now = noon.Add(time.Hour)
	again := b.fit(t)
	if again.ID != first.ID || !again.MadeAt.Equal(first.MadeAt) || b.revision(t) != before {
		t.Errorf("the same records made the fit %s of %v again, or it was kept twice", again.ID, again.MadeAt)
	}
	done(t, b.db.DeleteSession(t.Context(), record(1, "A0", 0).ID))
	if less := b.fit(t); less.ID == first.ID || less.Sessions != len(manyBites)-1 {
		t.Errorf("fit %s of %d sessions after one was deleted, want another", less.ID, less.Sessions)
	}
}

func TestTheOrderInWhichSessionsCameDoesNotMatter(t *testing.T) {
	ids := map[string]bool{}
	for seed := range uint64(4) {
		b := newBench(t)
		b.putWeather(t)
		random := rand.New(rand.NewPCG(seed, 1))
		for _, i := range random.Perm(len(manyBites)) {
			done(t, b.db.AddSession(t.Context(), record(i+1, []string{"A0", "A1", "A2"}[i%3], manyBites[i])))
		}
		b.join(t)
		ids[b.fit(t).ID] = true
	}
	if len(ids) != 1 {
		t.Errorf("%d different fits of the same sessions: %v", len(ids), ids)
	}
}

func TestSessionsKeptOutAreNotRead(t *testing.T) {
	b := newBench(t)
	out := record(1, "A0", 5)
	out.Bites = model.Maybe[int]{}
	done(t, b.db.AddSession(t.Context(), out))
	b.join(t)
	if f := b.fit(t); f.ID != jobs.FitZero || f.Sessions != 0 {
		t.Errorf("fit %s of %d sessions, want fit zero: none of them may be read", f.ID, f.Sessions)
	}
}
