package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"
	"github.com/riverqueue/river/rivermigrate"
	"github.com/riverqueue/river/rivertype"

	"osier/model"
)

// Do does one piece of a work, and counts what it came to.
type Do func(ctx context.Context, piece string) (map[string]int, error)

// Queue hands pieces of work to all the programs on one PostgreSQL database, and
// takes its share of them. It is River's; only what is asked of it is ours.
type Queue struct {
	pool   *pgxpool.Pool
	client *river.Client[pgx.Tx]
}

// How a piece is treated; our choice. One that met a store out of reach is tried
// again, and one whose program died is done by another after the rescue.
const (
	pieceWithin  = 2 * time.Minute
	rescueAfter  = 3 * time.Minute
	pieceTries   = 3
	piecesAtOnce = 2
	lookAgain    = 500 * time.Millisecond
)

// queueTables is held while the queue's own tables are made (a CRC-32 of
// "osier queue").
const queueTables = 412760291

// pieceArgs is what is kept of a piece.
type pieceArgs struct {
	Work  string `json:"work"`
	Piece string `json:"piece"`
}

// Kind names what is in the queue.
func (pieceArgs) Kind() string { return "piece" }

// worker does pieces by the table of works.
type worker struct {
	river.WorkerDefaults[pieceArgs]
	works map[string]Do
}

// Work does one piece.
func (w worker) Work(ctx context.Context, job *river.Job[pieceArgs]) error {
	do, known := w.works[job.Args.Work]
	if !known {
		return fmt.Errorf("this program knows no work %q", job.Args.Work)
	}
	counts, err := do(ctx, job.Args.Piece)
	if err != nil && model.CodeOf(err) != model.Unavailable {
		err = river.JobCancel(err) // to try again would not help
	}
	return errors.Join(err, river.RecordOutput(ctx, counts))
}

// OpenQueue makes the queue's tables as needed and begins to do pieces, of the
// works given, until it is closed.
func OpenQueue(ctx context.Context, address string, log *slog.Logger, works map[string]Do) (*Queue, error) {
	config, err := postgresConfig(address)
	if err != nil {
		return nil, err
	}
	pooled, err := pgxpool.ParseConfig("")
	if err != nil {
		return nil, fmt.Errorf("open the queue: %w", err)
	}
	pooled.ConnConfig = config
	pool, err := pgxpool.NewWithConfig(ctx, pooled)
	if err != nil {
		return nil, unavailable("open the queue", err)
	}
	q := &Queue{pool: pool}
	if err := q.start(ctx, log, works); err != nil {
		pool.Close()
		return nil, unavailable("open the queue", err)
	}
	return q, nil
}

func (q *Queue) start(ctx context.Context, log *slog.Logger, works map[string]Do) error {
	driver := riverpgxv5.New(q.pool)
	if err := q.makeTables(ctx, driver, log); err != nil {
		return err
	}
	workers := river.NewWorkers()
	if err := river.AddWorkerSafely(workers, worker{works: works}); err != nil {
		return err
	}
	client, err := river.NewClient(driver, &river.Config{
		Logger: log, Workers: workers, Queues: map[string]river.QueueConfig{river.QueueDefault: {MaxWorkers: piecesAtOnce}},
		JobTimeout: pieceWithin, RescueStuckJobsAfter: rescueAfter, MaxAttempts: pieceTries,
	})
	if err != nil {
		return err
	}
	q.client = client
	// It ends when it is closed, so that a piece that was begun is finished.
	return client.Start(context.WithoutCancel(ctx))
}

// makeTables is for one program at a time.
func (q *Queue) makeTables(ctx context.Context, driver *riverpgxv5.Driver, log *slog.Logger) error {
	migrator, err := rivermigrate.New(driver, &rivermigrate.Config{Logger: log})
	if err != nil {
		return err
	}
	return pgx.BeginFunc(ctx, q.pool, func(turn pgx.Tx) error {
		if _, err := turn.Exec(ctx, `SELECT pg_advisory_xact_lock($1)`, queueTables); err != nil {
			return err
		}
		_, err := migrator.Migrate(ctx, rivermigrate.DirectionUp, nil)
		return err
	})
}

// Each has every piece of a work done by whichever program is free, and adds up
// what they came to; the errors of those that failed come back together. When
// the context ends, what was not begun is called off.
func (q *Queue) Each(ctx context.Context, work string, pieces []string) (map[string]int, error) {
	if len(pieces) == 0 {
		return map[string]int{}, nil
	}
	var params []river.InsertManyParams
	for _, piece := range pieces {
		params = append(params, river.InsertManyParams{Args: pieceArgs{work, piece}})
	}
	inserted, err := q.client.InsertMany(ctx, params)
	if err != nil {
		return nil, unavailable("queue the work", err)
	}
	var ids []int64
	for _, r := range inserted {
		ids = append(ids, r.Job.ID)
	}
	done, err := q.wait(ctx, ids)
	if err != nil {
		q.callOff(context.WithoutCancel(ctx), ids)
		return nil, err
	}
	return sumUp(done)
}

// wait looks at the pieces until all have ended.
func (q *Queue) wait(ctx context.Context, ids []int64) (map[int64]*rivertype.JobRow, error) {
	ended := map[int64]*rivertype.JobRow{}
	for {
		for _, id := range ids {
			if ended[id] != nil {
				continue
			}
			job, err := q.client.JobGet(ctx, id)
			if err != nil {
				return nil, unavailable("look at the work queued", err)
			}
			if job.FinalizedAt != nil {
				ended[id] = job
			}
		}
		if len(ended) == len(ids) {
			return ended, nil
		}
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-time.After(lookAgain):
		}
	}
}

// callOff takes back what nobody waits for any more, as far as it can.
func (q *Queue) callOff(ctx context.Context, ids []int64) {
	ctx, cancel := context.WithTimeout(ctx, connectWithin)
	defer cancel()
	for _, id := range ids {
		if _, err := q.client.JobCancel(ctx, id); err != nil {
			return // it is done at worst, and nobody hears of it
		}
	}
}

func sumUp(done map[int64]*rivertype.JobRow) (map[string]int, error) {
	sum := map[string]int{}
	var faults []error
	for _, job := range done {
		var args pieceArgs
		counts := map[string]int{}
		if err := json.Unmarshal(job.EncodedArgs, &args); err != nil {
			faults = append(faults, fmt.Errorf("read a piece of work: %w", err))
		}
		if output := job.Output(); output != nil {
			if err := json.Unmarshal(output, &counts); err != nil {
				faults = append(faults, fmt.Errorf("read what %s %s came to: %w", args.Work, args.Piece, err))
			}
		}
		for name, n := range counts {
			sum[name] += n
		}
		if job.State != rivertype.JobStateCompleted {
			why := string(job.State)
			if n := len(job.Errors); n > 0 {
				why = job.Errors[n-1].Error
			}
			faults = append(faults, fmt.Errorf("%s %s: %s", args.Work, args.Piece, why))
		}
	}
	return sum, errors.Join(faults...)
}

// Close finishes the pieces that were begun, and takes no more.
func (q *Queue) Close(ctx context.Context) error {
	err := q.client.Stop(ctx)
	q.pool.Close()
	return err
}
