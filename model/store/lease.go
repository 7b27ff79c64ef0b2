package store

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"osier/model"
)

// AcquireLease takes the lease on the run of a job that was due at an instant,
// until it expires. Nobody has it when there is no row, or its holder let it
// expire without ending the run; with again, also when the run has ended badly.
// Otherwise the lease is told as it stands, and not taken.
//
// Each lease taken on a job has a higher fence than all before it.
func (db *DB) AcquireLease(ctx context.Context, job string, due time.Time, holder string, now, expires time.Time, again bool) (l model.Lease, taken bool, err error) {
	err = db.inTx(ctx, func(tx *sql.Tx) error {
		n, err := exec(ctx, tx, "lease", `INSERT INTO leases (job, due, holder, fence, expires, outcome)
			VALUES ($1, $2, $3, (SELECT COALESCE(MAX(fence), 0) + 1 FROM leases WHERE job = $1), $4, '')
			ON CONFLICT (job, due) DO UPDATE SET holder = excluded.holder, fence = excluded.fence, expires = excluded.expires, outcome = ''
			WHERE leases.outcome = '' AND leases.expires <= $5 OR leases.outcome = 'failed' AND $6 = 1`,
			job, unix(due), holder, unix(expires), unix(now), bit(again))
		if err != nil {
			return err
		}
		taken = n > 0
		l, err = leaseOf(ctx, tx, job, due)
		return err
	})
	return l, taken && err == nil, err
}

func leaseOf(ctx context.Context, tx *sql.Tx, job string, due time.Time) (model.Lease, error) {
	l := model.Lease{Job: job, Due: due}
	var expires int64
	err := tx.QueryRowContext(ctx, `SELECT holder, fence, expires, outcome FROM leases WHERE job = $1 AND due = $2`, job, unix(due)).
		Scan(&l.Holder, &l.Fence, &expires, &l.Outcome)
	if err != nil {
		return l, unavailable("find the lease", err)
	}
	l.Expires = fromUnix(expires)
	return l, nil
}

// RenewLease puts off when a lease expires. One that was taken over, or has
// ended, is a Conflict.
func (db *DB) RenewLease(ctx context.Context, l model.Lease, expires time.Time) error {
	return db.inTx(ctx, func(tx *sql.Tx) error {
		return held(ctx, tx, l, `UPDATE leases SET expires = $4 WHERE job = $1 AND due = $2 AND fence = $3 AND outcome = ''`, unix(expires))
	})
}

// ReleaseLease gives a lease back without the run having ended, so that another
// may take it at once.
func (db *DB) ReleaseLease(ctx context.Context, l model.Lease) error {
	return db.RenewLease(ctx, l, time.Unix(0, 0))
}

// EndLease ends a lease with its run: it keeps how the run ended, in the same
// transaction. A holder that has lost the lease meanwhile is told so, a Conflict,
// and its run is kept as one that failed: another does the work.
func (db *DB) EndLease(ctx context.Context, l model.Lease, run model.JobRun) error {
	outcome := model.LeaseDone
	if run.Error != "" {
		outcome = model.LeaseFailed
	}
	var lost error
	err := db.inTx(ctx, func(tx *sql.Tx) error {
		lost = held(ctx, tx, l, `UPDATE leases SET outcome = $4 WHERE job = $1 AND due = $2 AND fence = $3 AND outcome = ''`, string(outcome))
		if lost != nil && model.CodeOf(lost) != model.Conflict {
			return lost
		}
		if lost != nil {
			run.Error = errors.Join(lost, errorOf(run)).Error()
		}
		return putJobRun(ctx, tx, run)
	})
	return errors.Join(err, lost)
}

func errorOf(r model.JobRun) error {
	if r.Error == "" {
		return nil
	}
	return errors.New(r.Error)
}

// held changes a lease that its holder still has.
func held(ctx context.Context, tx *sql.Tx, l model.Lease, statement string, value any) error {
	n, err := exec(ctx, tx, "lease", statement, l.Job, unix(l.Due), l.Fence, value)
	if err == nil && n == 0 {
		return &model.Error{Code: model.Conflict, Field: "lease on " + l.Job, Wrong: "it was lost: it expired, and another took the run over"}
	}
	return err
}
