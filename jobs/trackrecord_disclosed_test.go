package jobs_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
)

// scoredAt keeps a session of an angler and its score, made at an instant.
func (b *bench) scoredAt(t *testing.T, water, angler string, g model.Group, at time.Time, fish int) model.Session {
	t.Helper()
	s := of(record(0, angler, 2*fish), water, g)
	s.Start = at.Add(-20 * time.Hour)
	s.End = s.Start.Add(4 * time.Hour)
	s.ID = fmt.Sprintf("%s-%d-%s-%s", angler, at.Unix(), water, g)
	done(t, b.db.AddSession(t.Context(), s))
	done(t, b.db.PutScores(t.Context(), []model.Score{{
		Session: s.ID, Water: water, Angler: angler, Group: g, Start: s.Start, Bites: 2 * fish, Fish: model.Known(fish),
		Forecast: model.CountScore{LogScore: model.Known(2.0), CRPS: 1, PITHigh: 0.5, Cover90: true, Mean: 4}, ScoredAt: at, FirstScoredAt: at,
	}}))
	return s
}

func (b *bench) public(t *testing.T, water string, g model.Group) model.TrackRecord {
	t.Helper()
	r, err := (&jobs.TrackRecorder{Store: b.db, Now: b.clock}).TrackRecord(t.Context(), water, g)
	done(t, err)
	return r
}

func TestThePublicRecordTellsOfNoFewerThanFiveAnglers(t *testing.T) {
	for _, c := range []struct {
		name     string
		sessions []int // of each angler
		told     bool
		why      []string
	}{
		{"five anglers, ten sessions", []int{2, 2, 2, 2, 2}, true, nil},
		{"four anglers", []int{3, 3, 3, 3}, false, []string{"contributors"}},
		{"nine sessions", []int{2, 2, 2, 2, 1}, false, []string{"sessions"}},
		{"one has over half", []int{6, 1, 1, 1, 1}, false, []string{"one contributor dominates"}},
		{"two have nearly all", []int{50, 40, 1, 1, 1}, false, []string{"one contributor dominates", "p-percent"}},
	} {
		b := newBench(t)
		b.now = time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
		n := 0
		for angler, times := range c.sessions {
			for range times {
				b.scoredAt(t, "reedmere", fmt.Sprintf("A%d", angler), model.Bream, time.Date(2026, 2, 3, n, 0, 0, 0, time.UTC), n%3)
				n++
			}
		}
		r := b.public(t, "", "")
		if c.told {
			if r.Sessions != n || r.Waiting != nil || len(r.Months) != 1 || r.Months[0].Month != "2026-02" || r.Months[0].Sessions != n {
				t.Errorf("%s: %+v, want all of them told", c.name, r)
			}
			continue
		}
		if r.Sessions != 0 || r.FishKnown != 0 || len(r.Months) != 0 || r.Waiting == nil || r.Waiting.Sessions != model.CountBand(n) || !slices.Equal(r.Waiting.Why, c.why) {
			t.Errorf("%s: %+v, waiting %+v; want %s withheld for %v", c.name, r, r.Waiting, model.CountBand(n), c.why)
		}
	}
}

// The bites of a batch are told as well: they wait where one angler caught most.
func TestThePublicRecordTellsNobodysBites(t *testing.T) {
	for _, c := range []struct {
		fish []int // of each of two sessions of an angler; twice as many bites
		told bool
	}{
		{[]int{4, 4, 4, 4, 4}, true},
		{[]int{16, 4, 4, 4, 4}, true},  // one has half
		{[]int{17, 4, 4, 4, 4}, false}, // and here over half
		{[]int{20, 20, 1, 0, 0}, false},
		{[]int{0, 0, 0, 0, 0}, true},
	} {
		b := newBench(t)
		b.now = time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
		bites := 0
		for angler, fish := range c.fish {
			for i := range 2 {
				b.scoredAt(t, "reedmere", fmt.Sprintf("A%d", angler), model.Bream, time.Date(2026, 2, 3, 2*angler+i, 0, 0, 0, time.UTC), fish)
				bites += 2 * fish
			}
		}
		r := b.public(t, "", "")
		if told := len(r.Months) == 1; told != c.told || told && (r.Months[0].Bites != bites || r.Months[0].Expected != nil) {
			t.Errorf("%v: %+v, want told %v with %d bites", c.fish, r.Months, c.told, bites)
		}
	}
}

// What was expected is summed over the very sessions whose bites are told.
func TestAMonthSetsExpectedAgainstObserved(t *testing.T) {
	b := newBench(t)
	basis := model.ForecastBasis{LogRateMean: math.Log(2), LogRateVariance: 0.3, Alpha: 0.6}
	for i := range 12 {
		at := time.Date(2026, 2, 3, i, 0, 0, 0, time.UTC)
		b.scoredAt(t, "reedmere", fmt.Sprintf("A%d", i%6), model.Bream, at, 1)
	}
	b.scoredAt(t, "reedmere", "A0", model.Carp, time.Date(2026, 2, 3, 13, 0, 0, 0, time.UTC), 40) // withheld
	scores := b.scores(t)
	for i := range scores {
		scores[i].Basis, scores[i].RodHours, scores[i].Fit = basis, 4, jobs.FitZero
	}
	done(t, b.db.PutScores(t.Context(), scores))
	b.now = time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
	r := b.public(t, "", "")
	if len(r.Months) != 1 || r.Months[0].Sessions != 12 || r.Months[0].Bites != 24 || r.Months[0].Expected == nil {
		t.Fatalf("months %+v", r.Months)
	}
	e, mean := *r.Months[0].Expected, 12*4*2*math.Exp(0.15)
	if math.Abs(e.Mean-mean) > 1e-9*mean || float64(e.Low90) >= mean/2 || float64(e.High90) <= 2*mean {
		t.Errorf("expected %+v, want %g and as wide as the doubt they share", e, mean)
	}
	if !slices.ContainsFunc(r.Notes, func(n string) bool { return strings.Contains(n, "stood on the prior alone") }) {
		t.Errorf("notes %q", r.Notes)
	}
	owners, err := (&jobs.TrackRecorder{Store: b.db, Now: b.clock}).OwnersRecord(t.Context(), "", "")
	done(t, err)
	if len(owners.Months) != 1 || owners.Months[0].Bites != 104 || owners.Months[0].Expected.Mean <= e.Mean {
		t.Errorf("the owner's months %+v", owners.Months)
	}
}

func TestWhatAQuietMonthHeldBackIsToldWithALaterOne(t *testing.T) {
	b := newBench(t)
	for angler := range 4 { // three each in January: an angler too few
		for i := range 3 {
			b.scoredAt(t, "reedmere", fmt.Sprintf("A%d", angler), model.Bream, time.Date(2026, 1, 4+i, angler, 0, 0, 0, time.UTC), 1)
		}
	}
	b.scoredAt(t, "reedmere", "A4", model.Bream, time.Date(2026, 2, 5, 9, 0, 0, 0, time.UTC), 1)
	for _, c := range []struct {
		now  time.Time
		told int
		why  []string
	}{
		{time.Date(2026, 1, 31, 23, 0, 0, 0, time.UTC), 0, []string{"the month is not over"}},
		{time.Date(2026, 2, 1, 0, 0, 0, 0, time.UTC), 0, []string{"contributors", "the month is not over"}},
		{time.Date(2026, 2, 28, 23, 0, 0, 0, time.UTC), 0, []string{"contributors", "the month is not over"}},
		{time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC), 13, nil},
	} {
		b.now = c.now
		r := b.public(t, "", "")
		if r.Sessions != c.told || (r.Waiting == nil) != (c.why == nil) || r.Waiting != nil && c.now.Month() > 1 && !slices.Equal(r.Waiting.Why, c.why) {
			t.Errorf("on %s: %d told, waiting %+v; want %d, %v", c.now.Format(time.DateOnly), r.Sessions, r.Waiting, c.told, c.why)
		}
		if c.told > 0 && (len(r.Months) != 1 || r.Months[0].Month != "2026-02") {
			t.Errorf("months %+v, want February's alone", r.Months)
		}
	}
}
