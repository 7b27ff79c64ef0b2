package storetest

import (
	"fmt"
	"sync"
	"testing"
	"time"

	"osier/model"
)

const (
	writers      = 8
	writesOfEach = 20
	allWrites    = writers * writesOfEach
)

// atOnce runs every writer's work side by side and reports what failed.
func atOnce(t *testing.T, work func(writer int) error) {
	t.Helper()
	var wg sync.WaitGroup
	for i := range writers {
		wg.Go(func() {
			if err := work(i); err != nil {
				t.Errorf("writer %d: %v", i, err)
			}
		})
	}
	wg.Wait()
}

// Each write reads before it writes, inside the store: the place of a fit in
// the order, the version of a session.
func manyWriters(t *testing.T, s Store) {
	ctx := t.Context()
	before := revision(t, s)
	atOnce(t, func(writer int) error {
		for i := range writesOfEach {
			if err := s.AddFit(ctx, fit(fmt.Sprintf("fit-%d-%d", writer, i))); err != nil {
				return err
			}
			if _, err := s.LatestFit(ctx, "", farAhead); err != nil {
				return err
			}
		}
		return nil
	})
	if after := revision(t, s); after != before+allWrites {
		t.Errorf("%d of %d writes were applied", after-before, allWrites)
	}
}

func noLostChange(t *testing.T, s Store) {
	ctx := t.Context()
	one := session(1)
	one.CastCount = model.Known(0)
	done(t, s.AddSession(ctx, one))
	atOnce(t, func(int) error {
		for applied := 0; applied < writesOfEach; {
			read, version, err := s.Session(ctx, one.ID)
			if err != nil {
				return err
			}
			read.CastCount = model.Known(read.CastCount.Value + 1)
			switch err := s.ReplaceSession(ctx, read, version); {
			case err == nil:
				applied++
			case model.CodeOf(err) != model.Conflict:
				return err
			}
		}
		return nil
	})
	read, version, err := s.Session(ctx, one.ID)
	done(t, err)
	if read.CastCount.Value != allWrites || version != 1+allWrites {
		t.Errorf("%d casts at version %d, want %d at %d", read.CastCount.Value, version, allWrites, 1+allWrites)
	}
}

func reopened(t *testing.T, open Open) {
	ctx := t.Context()
	s := open(t)
	done(t, s.AddSession(ctx, session(1)))
	for _, w := range changes {
		done(t, w.do(ctx, s))
	}
	done(t, s.AddPlan(ctx, plan("p-1")))
	done(t, s.PutJobRun(ctx, run("r-1", "pull", noon, true, "")))
	done(t, s.KeepAnswer(ctx, "k", "o", "d", 200, noon, []byte("{}")))
	before := revision(t, s)
	done(t, s.Close())

	for range 2 { // the second time the migrations have nothing left to do either
		s = open(t)
		done(t, s.Ping(ctx))
		w, err := s.Water(ctx, "reedmere")
		wantSame(t, "water", water("reedmere"), got(t, w, err))
		list, err := s.Sessions(ctx, "", "", noon, noon.AddDate(1, 0, 0))
		wantSame(t, "sessions", []model.Session{session(1)}, got(t, list, err))
		reports, err := s.Observations(ctx, "feed", "AAAA", noon, noon)
		wantSame(t, "observations", []model.Observation{observation(noon)}, got(t, reports, err))
		issues, err := s.Forecasts(ctx, 52.5, -0.75, noon.Add(time.Hour), 9)
		wantSame(t, "forecasts", []model.Forecast{forecast(noon, noon)}, got(t, issues, err))
		joined, err := s.Joined(ctx)
		wantSame(t, "joined", []model.JoinedSession{joinedOf(session(1))}, got(t, joined, err))
		f, err := s.LatestFit(ctx, "", farAhead)
		wantSame(t, "fit", fit("fit-a"), got(t, f, err))
		p, err := s.Plan(ctx, "p-1")
		wantSame(t, "plan", plan("p-1"), got(t, p, err))
		if _, err := s.LastSuccess(ctx, "pull"); err != nil {
			t.Errorf("run: %v", err)
		}
		if _, _, _, found, err := s.AnswerTo(ctx, "k", "o"); !found || err != nil {
			t.Errorf("answer: %v, %v", found, err)
		}
		if after := revision(t, s); after != before {
			t.Errorf("revision %d, want %d", after, before)
		}
		done(t, s.Close())
	}
}
