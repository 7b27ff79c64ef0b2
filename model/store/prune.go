package store

import (
	"context"
	"database/sql"
	"time"

	"osier/model"
)

// pruneAtOnce is how many rows go in one transaction, so that no other writer
// waits long; our choice.
const pruneAtOnce = 2000

// What may go, oldest or not, below the instant $1 and at most $2 at a time.
//
// Records, what was joined and fitted from them, plans, scores, events, reports,
// readings and restrictions are never pruned, and nor are observations: a water's
// model, a join made anew and the season page read years of them, and a station's
// report replaces the one before, so none is superseded.
//
// A forecast reaches 16 days ahead at most (the longest of our feeds), and a
// session or plan is met by those issued from that long before it to its end. So
// an issue stays while a session or a plan starts within 17 days after it, or two
// before, to be on the safe side, and the newest of a cell stays in any case.
var prunable = []struct{ table, statement string }{
	{"job_runs", `DELETE FROM job_runs WHERE id IN (SELECT id FROM (SELECT id, started_at,
		ROW_NUMBER() OVER (PARTITION BY job ORDER BY started_at DESC, id DESC) AS place FROM job_runs) AS ranked
		WHERE started_at < $1 AND place > 50 ORDER BY started_at LIMIT $2)`},
	{"answers", `DELETE FROM answers WHERE (idempotency_key, operation) IN (SELECT idempotency_key, operation FROM answers WHERE at < $1 LIMIT $2)`},
	{"forecasts", `DELETE FROM forecasts WHERE (source, lat, lon, issued_at) IN (SELECT source, lat, lon, issued_at FROM forecasts AS f
		WHERE fetched_at < $1
		AND issued_at < (SELECT MAX(issued_at) FROM forecasts AS later WHERE later.source = f.source AND later.lat = f.lat AND later.lon = f.lon)
		AND NOT EXISTS (SELECT 1 FROM sessions WHERE starts >= f.issued_at - 172800 AND starts <= f.issued_at + 1468800)
		AND NOT EXISTS (SELECT 1 FROM plans WHERE starts >= f.issued_at - 172800 AND starts <= f.issued_at + 1468800)
		LIMIT $2)`},
	{"leases", `DELETE FROM leases WHERE (job, due) IN (SELECT job, due FROM leases AS l
		WHERE due < $1 AND fence < (SELECT MAX(fence) FROM leases AS later WHERE later.job = l.job) LIMIT $2)`},
}

// Prune deletes what is older than it is to be kept, and needed by nothing, and
// says how many rows of each table went. It changes nothing that a plan may
// depend on.
func (db *DB) Prune(ctx context.Context, keep model.KeepFrom) (map[string]int, error) {
	from := map[string]time.Time{"job_runs": keep.JobRuns, "answers": keep.Answers, "forecasts": keep.Forecasts, "leases": keep.Leases}
	gone := map[string]int{}
	for _, p := range prunable {
		for n := int64(pruneAtOnce); n == pruneAtOnce; gone[p.table] += int(n) {
			err := db.inTx(ctx, func(tx *sql.Tx) (err error) {
				n, err = exec(ctx, tx, "pruning of "+p.table, p.statement, unix(from[p.table]), pruneAtOnce)
				return err
			})
			if err != nil {
				return gone, err
			}
		}
	}
	return gone, nil
}
