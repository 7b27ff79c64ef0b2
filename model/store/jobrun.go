package store

import (
	"context"
	"database/sql"

	"osier/model"
)

// PutJobRun keeps a run of a job: once when it starts, and again when it ends.
func (db *DB) PutJobRun(ctx context.Context, r model.JobRun) error {
	return db.inTx(ctx, func(tx *sql.Tx) error { return putJobRun(ctx, tx, r) })
}

func putJobRun(ctx context.Context, tx *sql.Tx, r model.JobRun) error {
	body, err := encode("run of "+r.Job, r)
	if err != nil {
		return err
	}
	_, err = exec(ctx, tx, "job run", `INSERT INTO job_runs (id, job, started_at, body) VALUES ($1, $2, $3, $4)
		ON CONFLICT (id) DO UPDATE SET body = excluded.body`, r.ID, r.Job, unix(r.StartedAt), body)
	return err
}

// JobRuns lists runs, the newest first, at most limit.
func (db *DB) JobRuns(ctx context.Context, limit int) ([]model.JobRun, error) {
	return list[model.JobRun](ctx, db.read, "job runs", `SELECT body FROM job_runs ORDER BY started_at DESC, id DESC LIMIT $1`, limit)
}

// LastSuccess finds the newest run of a job that ended without an error;
// NotFound when there is none.
func (db *DB) LastSuccess(ctx context.Context, job string) (model.JobRun, error) {
	runs, err := list[model.JobRun](ctx, db.read, "job runs", `SELECT body FROM job_runs WHERE job = $1 ORDER BY started_at DESC, id DESC LIMIT 50`, job)
	if err != nil {
		return model.JobRun{}, err
	}
	for _, r := range runs {
		if r.EndedAt.Known && r.Error == "" {
			return r, nil
		}
	}
	return model.JobRun{}, model.NotFoundf("job run", "", "job %s has not succeeded yet", job)
}
