package storetest

import (
	"fmt"
	"sync/atomic"
	"testing"
	"time"

	"osier/model"
)

// leases takes two handles on one store: two programs.
func leases(t *testing.T, open Open) {
	ctx := t.Context()
	a, b := open(t), open(t)
	defer func() {
		done(t, a.Close())
		done(t, b.Close())
	}()
	minute := func(n float64) time.Time { return noon.Add(time.Duration(n * float64(time.Minute))) }
	acquire := func(s Store, holder string, at float64, again bool) (model.Lease, bool) {
		t.Helper()
		l, taken, err := s.AcquireLease(ctx, "pull", noon, holder, minute(at), minute(at+1), again)
		done(t, err)
		return l, taken
	}
	first, taken := acquire(a, "a", 0, false)
	wantSame(t, "the first lease", model.Lease{Job: "pull", Due: noon, Holder: "a", Fence: 1, Expires: minute(1)}, first)
	if !taken {
		t.Fatal("a lease that nobody has was not taken")
	}
	told, taken := acquire(b, "b", 0.99, true)
	if taken || told.Holder != "a" {
		t.Errorf("a lease in force was taken: %+v", told)
	}
	done(t, a.RenewLease(ctx, first, minute(2)))
	if told, taken := acquire(b, "b", 1.5, true); taken || !told.Expires.Equal(minute(2)) {
		t.Errorf("a lease renewed was taken: %+v", told)
	}
	second, taken := acquire(b, "b", 2, false)
	if !taken || second.Fence != 2 || second.Holder != "b" {
		t.Fatalf("an expired lease was not taken over: %+v", second)
	}

	// The first holder comes to itself. Whatever it did has failed.
	wantError(t, a.RenewLease(ctx, first, minute(9)), model.Conflict, "pull")
	wantError(t, a.ReleaseLease(ctx, first), model.Conflict, "pull")
	wantError(t, a.EndLease(ctx, first, run("r-1", "pull", noon, true, "")), model.Conflict, "pull")
	if last, err := b.LastSuccess(ctx, "pull"); model.CodeOf(err) != model.NotFound {
		t.Errorf("a run whose lease was lost counts as a success: %+v, %v", last, err)
	}
	list, err := b.JobRuns(ctx, 9)
	if len(got(t, list, err)) != 1 || list[0].ID != "r-1" || list[0].Error == "" {
		t.Errorf("runs %+v, want the one that lost its lease, as failed", list)
	}

	done(t, b.ReleaseLease(ctx, second)) // told to stop: at once another may have it
	third, taken := acquire(a, "a", 2.1, false)
	if !taken || third.Fence != 3 {
		t.Fatalf("a lease given back was not taken: %+v", third)
	}
	done(t, a.EndLease(ctx, third, run("r-2", "pull", noon, true, "the feed was down")))
	if told, taken := acquire(b, "b", 9, false); taken || told.Outcome != model.LeaseFailed {
		t.Errorf("a run that ended badly was begun again unasked: %+v", told)
	}
	fourth, taken := acquire(b, "b", 9, true)
	if !taken || fourth.Fence != 4 || fourth.Outcome != model.LeaseOpen {
		t.Fatalf("a run that ended badly cannot be made again: %+v", fourth)
	}
	good := run("r-3", "pull", noon.Add(time.Hour), true, "")
	done(t, b.EndLease(ctx, fourth, good))
	last, err := a.LastSuccess(ctx, "pull")
	wantSame(t, "the last success", good, got(t, last, err))
	for _, again := range []bool{false, true} {
		if told, taken := acquire(a, "a", 99, again); taken || told.Outcome != model.LeaseDone {
			t.Errorf("a run that went well was begun again: %+v", told)
		}
	}
	wantError(t, b.EndLease(ctx, fourth, good), model.Conflict, "pull") // it has ended

	next, taken, err := a.AcquireLease(ctx, "pull", noon.Add(time.Hour), "a", noon, noon.Add(time.Hour), false)
	if !got(t, taken, err) || next.Fence != 5 {
		t.Errorf("the lease on the next run has fence %d, want 5: it grows from run to run", next.Fence)
	}
	other, taken, err := a.AcquireLease(ctx, "fit", noon, "a", noon, noon.Add(time.Hour), false)
	if !got(t, taken, err) || other.Fence != 1 {
		t.Errorf("the lease on another job: %+v, %v", other, taken)
	}
}

func leasesAtOnce(t *testing.T, open Open) {
	handles := []Store{open(t), open(t)}
	defer func() {
		for _, s := range handles {
			done(t, s.Close())
		}
	}()
	var won [writesOfEach]atomic.Int64
	atOnce(t, func(writer int) error {
		for i := range writesOfEach {
			due := noon.Add(time.Duration(i) * time.Hour)
			_, taken, err := handles[writer%2].AcquireLease(t.Context(), "pull", due, fmt.Sprint(writer), noon, noon.Add(time.Minute), false)
			if err != nil {
				return err
			}
			if taken {
				won[i].Add(1)
			}
		}
		return nil
	})
	for i := range won {
		if n := won[i].Load(); n != 1 {
			t.Errorf("run %d was taken by %d of %d programs, want one", i, n, writers)
		}
	}
}
