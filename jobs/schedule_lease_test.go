package jobs_test

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"osier/jobs"
	"osier/model"
)

// leaseKey names a run.
type leaseKey struct {
	job string
	due int64
}

func (r *runs) AcquireLease(_ context.Context, job string, due time.Time, holder string, now, expires time.Time, again bool) (model.Lease, bool, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.leases == nil {
		r.leases = map[leaseKey]model.Lease{}
	}
	key := leaseKey{job, due.Unix()}
	l, held := r.leases[key]
	if held && (l.Outcome == model.LeaseDone || l.Outcome == model.LeaseFailed && !again || l.Outcome == model.LeaseOpen && l.Expires.After(now)) {
		return l, false, nil
	}
	l = model.Lease{Job: job, Due: due, Holder: holder, Fence: l.Fence + 1, Expires: expires}
	r.leases[key] = l
	return l, true, nil
}

// change is what a holder may do as long as it has the lease.
func (r *runs) change(l model.Lease, f func(*model.Lease)) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	now := r.leases[leaseKey{l.Job, l.Due.Unix()}]
	if now.Fence != l.Fence || now.Outcome != model.LeaseOpen {
		return &model.Error{Code: model.Conflict, Wrong: "lost"}
	}
	f(&now)
	r.leases[leaseKey{l.Job, l.Due.Unix()}] = now
	return nil
}

func (r *runs) RenewLease(_ context.Context, l model.Lease, expires time.Time) error {
	return r.change(l, func(l *model.Lease) { l.Expires = expires })
}

func (r *runs) ReleaseLease(_ context.Context, l model.Lease) error {
	return r.change(l, func(l *model.Lease) { l.Expires = time.Time{} })
}

func (r *runs) EndLease(ctx context.Context, l model.Lease, run model.JobRun) error {
	lost := r.change(l, func(l *model.Lease) {
		l.Outcome = model.LeaseDone
		if run.Error != "" {
			l.Outcome = model.LeaseFailed
		}
	})
	if lost != nil {
		run.Error = lost.Error()
	}
	return errors.Join(r.PutJobRun(ctx, run), lost)
}

// together runs so many programs on one store.
func together(t *testing.T, n int, long time.Duration, program func(i int) jobs.ScheduleOptions) {
	t.Helper()
	var all sync.WaitGroup
	for i := range n {
		all.Go(func() { runFor(t, program(i), long) })
	}
	all.Wait()
}

// counts adds up the runs of a job by how they ended.
func (r *runs) counts(job string) (good, bad int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, run := range r.all {
		switch {
		case run.Job != job:
		case run.Error == "":
			good++
		default:
			bad++
		}
	}
	return good, bad
}

func TestOfThreeProgramsOneRunsEachJob(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := &runs{all: map[string]model.JobRun{}}
		var worked atomic.Int64
		together(t, 3, 24*time.Hour, func(i int) jobs.ScheduleOptions {
			j := job("one", "13,43 * * * *", func(context.Context) error { worked.Add(1); time.Sleep(3 * time.Minute); return nil })
			j.Jitter = 4 * time.Minute
			return options(store, j)
		})
		if good, bad := store.counts("one"); good != 1+48 || bad != 0 || worked.Load() != 49 {
			t.Errorf("%d runs went well, %d badly, and the work was done %d times; want 49, none and 49", good, bad, worked.Load())
		}
	})
}

func TestARunThatEndedBadlyIsTriedOnceWhoeverIsThere(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := &runs{all: map[string]model.JobRun{}}
		together(t, 3, 5*time.Hour, func(i int) jobs.ScheduleOptions {
			j := job("one", "22 * * * *", func(context.Context) error { return errors.New("the feed was down") })
			j.Jitter = 4 * time.Minute
			return options(store, j)
		})
		// At the start each finds that the job never succeeded, and each may try.
		if good, bad := store.counts("one"); good != 0 || bad < 1+5 || bad > 3+5 {
			t.Errorf("%d runs went well and %d badly, want none and one each hour", good, bad)
		}
	})
}

// A program that dies in a run leaves it to the others, after the lease; one
// that is told to stop, at once.
func TestWhatAProgramLeavesUndoneAnotherDoes(t *testing.T) {
	for name, c := range map[string]struct {
		dies   bool
		within time.Duration
	}{"killed": {true, 2 * time.Minute}, "told to stop": {false, 70 * time.Second}} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				store := &runs{all: map[string]model.JobRun{}}
				began := time.Now()
				due := began.Add(-17 * time.Minute) // 23:43
				var ended time.Time
				var all sync.WaitGroup
				if c.dies { // all that is left of it is its lease
					_, _, err := store.AcquireLease(t.Context(), "one", due, "dead", began, began.Add(time.Minute), false)
					done(t, err)
				} else {
					all.Go(func() {
						runFor(t, options(store, job("one", "13,43 * * * *", func(ctx context.Context) error { <-ctx.Done(); return ctx.Err() })), 30*time.Second)
					})
				}
				all.Go(func() {
					time.Sleep(time.Second)
					runFor(t, options(store, job("one", "13,43 * * * *", func(context.Context) error { ended = time.Now(); return nil })), 10*time.Minute)
				})
				all.Wait()
				if good, _ := store.counts("one"); good != 1 || ended.Sub(began) > c.within {
					t.Errorf("%d runs went well, the last %v after the start; want one within %v", good, ended.Sub(began), c.within)
				}
			})
		})
	}
}

// A holder that comes to itself after its lease was taken over has failed,
// whatever it did.
func TestAProgramThatLostItsLeaseDidNotSucceed(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := &runs{all: map[string]model.JobRun{}}
		due := time.Now().Add(-17 * time.Minute)
		work := func(context.Context) error {
			l := store.leases[leaseKey{"one", due.Unix()}]
			l.Fence++ // as when another took it
			store.leases[leaseKey{"one", due.Unix()}] = l
			return nil
		}
		observer := runFor(t, options(store, job("one", "13,43 * * * *", work)), time.Minute)
		if good, bad := store.counts("one"); good != 0 || bad != 1 || len(observer.ended) != 1 || observer.ended[0].Error == "" {
			t.Errorf("%d runs went well and %d badly; told: %+v", good, bad, observer.ended)
		}
	})
}

func TestARunEndsWhenItsLeaseIsTakenOver(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := &runs{all: map[string]model.JobRun{}}
		began := time.Now()
		var cause error
		work := func(ctx context.Context) error {
			store.mu.Lock()
			l := store.leases[leaseKey{"one", began.Add(-17 * time.Minute).Unix()}]
			l.Fence++
			store.leases[leaseKey{"one", l.Due.Unix()}] = l
			store.mu.Unlock()
			<-ctx.Done()
			cause = context.Cause(ctx)
			return ctx.Err()
		}
		runFor(t, options(store, job("one", "13,43 * * * *", work)), time.Minute)
		if cause == nil || errors.Is(cause, context.Canceled) {
			t.Errorf("the run ended by %v, want it told that the lease was lost", cause)
		}
	})
}

// mute is a store that hears no renewal: every one waits until it is given up.
type mute struct{ *runs }

func (m mute) RenewLease(ctx context.Context, _ model.Lease, _ time.Time) error {
	<-ctx.Done()
	return ctx.Err()
}

// A program that is cut off from the store stops its run before its lease has run
// out and another may take it, however long the store is silent.
func TestARunEndsBeforeItsLeaseWhereTheStoreIsSilent(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := mute{&runs{all: map[string]model.JobRun{}}}
		var began, ended time.Time
		runFor(t, options(store, job("one", "13,43 * * * *", func(ctx context.Context) error {
			began = time.Now()
			<-ctx.Done()
			ended = time.Now()
			return context.Cause(ctx)
		})), 5*time.Minute)
		if took := ended.Sub(began); took <= 0 || took >= time.Minute {
			t.Errorf("cut off from the store it went on for %s, and its lease lasts 60 s", took)
		}
	})
}
