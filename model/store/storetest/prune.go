package storetest

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"osier/model"
)

func prune(t *testing.T, s Store) {
	ctx := t.Context()
	day := func(n int) time.Time { return noon.AddDate(0, 0, n) }
	// The limits lie at noon of day 100.
	keep := model.KeepFrom{JobRuns: day(100), Answers: day(100), Forecasts: day(100), Leases: day(100)}

	for i := range 60 { // ten of them older than the newest fifty
		done(t, s.PutJobRun(ctx, run(fmt.Sprintf("pull-%02d", i), "pull", day(i), true, "")))
	}
	done(t, s.PutJobRun(ctx, run("fit-00", "fit", day(0), true, "")))
	done(t, s.KeepAnswer(ctx, "old", "o", "d", 200, day(100).Add(-time.Second), []byte("{}")))
	done(t, s.KeepAnswer(ctx, "young", "o", "d", 200, day(100), []byte("{}")))
	for _, f := range []struct{ issued, fetched int }{
		{0, 0}, {40, 40}, {70, 70}, {98, 98}, {99, 100}, // a session starts on day 57 and a plan on day 72
		{110, 110},
	} {
		done(t, s.PutForecast(ctx, forecast(day(f.issued), day(f.fetched))))
	}
	other := forecast(day(0), day(0))
	other.Source = "silent for long"
	done(t, s.PutForecast(ctx, other))
	done(t, s.AddSession(ctx, session(57)))
	p := plan("p-1")
	p.Start = day(72)
	done(t, s.AddPlan(ctx, p))
	for i, due := range []time.Time{day(1), day(2), day(100)} {
		_, taken, err := s.AcquireLease(ctx, "pull", due, "a", due, due.Add(time.Minute), false)
		if !got(t, taken, err) {
			t.Fatalf("lease %d was not taken", i)
		}
	}
	_, _, err := s.AcquireLease(ctx, "fit", day(1), "a", day(1), day(1).Add(time.Minute), false)
	done(t, err)
	before := revision(t, s)
	_, err = s.PutObservations(ctx, []model.Observation{observation(day(-4000))})
	done(t, err)
	_, err = s.PutWaterState(ctx, "reedmere", day(-4000), json.RawMessage(`{}`), before+1)
	done(t, err)

	before = revision(t, s)
	gone, err := s.Prune(ctx, keep)
	wantSame(t, "gone", map[string]int{"job_runs": 10, "answers": 1, "forecasts": 2, "leases": 2}, got(t, gone, err))
	if revision(t, s) != before {
		t.Error("pruning counted as a change")
	}
	gone, err = s.Prune(ctx, keep)
	wantSame(t, "gone the second time", map[string]int{"job_runs": 0, "answers": 0, "forecasts": 0, "leases": 0}, got(t, gone, err))

	list, err := s.Forecasts(ctx, 52.5, -0.75, farAhead, 99)
	var issued []int
	for _, f := range got(t, list, err) {
		issued = append(issued, int(f.IssuedAt.Sub(noon)/(24*time.Hour)))
	}
	wantSame(t, "issues left", []int{110, 99, 70, 40, 0}, issued)
	if _, err := s.LastSuccess(ctx, "fit"); err != nil {
		t.Errorf("the only run of a job went: %v", err)
	}
	runs, err := s.JobRuns(ctx, 99)
	if len(got(t, runs, err)) != 51 {
		t.Errorf("%d runs left, want 51", len(runs))
	}
	for key, want := range map[string]bool{"old": false, "young": true} {
		if _, _, _, found, err := s.AnswerTo(ctx, key, "o"); found != want || err != nil {
			t.Errorf("answer %s found: %v, %v", key, found, err)
		}
	}
	reports, err := s.Observations(ctx, "feed", "AAAA", day(-4000), day(-4000))
	if len(got(t, reports, err)) != 1 {
		t.Error("an observation went")
	}
	l, _, err := s.AcquireLease(ctx, "pull", day(101), "a", day(101), day(102), false)
	if got(t, l, err).Fence != 4 {
		t.Errorf("the fence after pruning is %d, want 4: it only grows", l.Fence)
	}
}
