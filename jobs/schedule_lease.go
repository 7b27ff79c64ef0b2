package jobs

import (
	"context"
	"errors"
	"time"

	"osier/model"
)

// LeaseStore keeps who runs what, for all the programs on one store.
type LeaseStore interface {
	RunStore
	AcquireLease(ctx context.Context, job string, due time.Time, holder string, now, expires time.Time, again bool) (l model.Lease, taken bool, err error)
	RenewLease(ctx context.Context, l model.Lease, expires time.Time) error
	ReleaseLease(ctx context.Context, l model.Lease) error
	EndLease(ctx context.Context, l model.Lease, run model.JobRun) error
}

// How long a lease lasts, and when it is renewed; our choice. A program that
// stood still for half a minute keeps its run, and one that was killed loses it
// after a minute. The clocks of the machines may differ by no more than the time
// between the two.
const (
	leaseLasts = time.Minute
	renewEvery = leaseLasts / 4
)

// errLeaseLost ends a run whose lease could not be renewed in time.
var errLeaseLost = errors.New("the lease on the run was lost: another program may have taken it over")

// acquire takes the lease on a run. While another program has it, it waits: that
// one may die. It gives up when the run has ended, whoever ran it.
func (s *Schedule) acquire(ctx context.Context, job string, due time.Time, again bool) (l model.Lease, taken bool, err error) {
	for {
		now := s.wall()
		l, taken, err = s.Store.AcquireLease(ctx, job, due, s.holder, now, now.Add(leaseLasts), again)
		if err != nil || taken || l.Outcome != model.LeaseOpen {
			return l, taken, err
		}
		again = false // what ends badly while we wait has been tried
		select {
		case <-ctx.Done():
			return l, false, ctx.Err()
		case <-time.After(max(l.Expires.Sub(now), time.Second)):
		}
	}
}

// runLeased runs a job under its lease, which it renews meanwhile. When the
// lease is lost the run is ended, and has failed.
func (s *Schedule) runLeased(ctx context.Context, j Job, l model.Lease) (model.JobRun, error) {
	working, lose := context.WithCancelCause(ctx)
	defer lose(nil)
	renewed := make(chan struct{})
	go func() {
		defer close(renewed)
		s.renew(working, l, lose)
	}()
	return runJob(working, s.Store, s.Now, j, func(keep context.Context, run model.JobRun) error {
		lost := context.Cause(working) // before the renewals are ended
		lose(nil)
		<-renewed
		if errors.Is(lost, context.Canceled) && run.Error != "" { // the program is told to stop: others may go on at once
			return errors.Join(s.Store.ReleaseLease(keep, l), s.Store.PutJobRun(keep, run))
		}
		return s.Store.EndLease(keep, l, run)
	})
}

// renew puts off the end of a lease until the context ends, and ends it itself
// when the lease is lost: taken over, or perhaps so, since the store has not
// been reached for as long as it lasts.
func (s *Schedule) renew(ctx context.Context, l model.Lease, lose context.CancelCauseFunc) {
	tick := time.NewTicker(renewEvery)
	defer tick.Stop()
	for last := time.Now(); ; {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		asked := time.Now()
		attempt, cancel := context.WithTimeout(ctx, renewEvery) // a store that never answers must not hold this up
		err := s.Store.RenewLease(attempt, l, s.wall().Add(leaseLasts))
		cancel()
		switch {
		case err == nil:
			last = asked
		case model.CodeOf(err) == model.Conflict || time.Since(last) >= leaseLasts-renewEvery-time.Second: // the next try would come too late
			lose(errLeaseLost)
			return
		}
	}
}
