package jobs

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"github.com/oklog/ulid/v2"
	"github.com/robfig/cron/v3"

	"osier/model"
)

// RunStore keeps what the schedule did.
type RunStore interface {
	PutJobRun(ctx context.Context, r model.JobRun) error
	LastSuccess(ctx context.Context, job string) (model.JobRun, error)
}

// Job is one entry of the schedule.
type Job struct {
	Name     string
	When     string        // cron form, in UTC; never on the full hour, when everybody asks
	Overdue  time.Duration // run at start when the last success is older
	Deadline time.Duration
	Run      func(ctx context.Context) (map[string]int, error)
}

// Schedule runs the stages by the clock. Everything is in UTC: a job at 01:30
// local time would run never in spring and twice in autumn.
type Schedule struct {
	store RunStore
	now   func() time.Time
	log   *slog.Logger
	cron  *cron.Cron
	jobs  []Job
}

// NewSchedule makes the schedule; an entry that cannot be read, or would never
// come due, is an error.
func NewSchedule(store RunStore, now func() time.Time, log *slog.Logger, jobs []Job) (*Schedule, error) {
	s := &Schedule{store: store, now: now, log: log, cron: cron.New(cron.WithLocation(time.UTC)), jobs: jobs}
	for _, j := range jobs {
		when, err := cron.ParseStandard(j.When)
		if err != nil {
			return nil, fmt.Errorf("job %s: %w", j.Name, err)
		}
		if when.Next(now()).IsZero() {
			return nil, fmt.Errorf("job %s: %q never comes due", j.Name, j.When)
		}
	}
	return s, nil
}

// Run runs what is overdue, then the schedule, until the context ends; it
// returns when the last job has.
func (s *Schedule) Run(ctx context.Context) error {
	logger := cronLog{s.log}
	for _, j := range s.jobs {
		// Skip stands outside Recover: the other way round a job that panics
		// keeps its turn for ever (robfig/cron v3.0.1).
		job := cron.NewChain(cron.SkipIfStillRunning(logger), cron.Recover(logger)).Then(cron.FuncJob(func() { s.once(ctx, j) }))
		if _, err := s.cron.AddJob(j.When, job); err != nil {
			return fmt.Errorf("job %s: %w", j.Name, err)
		}
		if s.overdue(ctx, j) {
			job.Run()
		}
	}
	s.cron.Start()
	<-ctx.Done()
	<-s.cron.Stop().Done()
	return nil
}

func (s *Schedule) overdue(ctx context.Context, j Job) bool {
	last, err := s.store.LastSuccess(ctx, j.Name)
	if err != nil {
		return true
	}
	return s.now().Sub(last.StartedAt) > j.Overdue
}

// once runs a job within its deadline and records what came of it.
func (s *Schedule) once(ctx context.Context, j Job) {
	if ctx.Err() != nil {
		return
	}
	ctx, cancel := context.WithTimeout(ctx, j.Deadline)
	defer cancel()
	if _, err := RunJob(ctx, s.store, s.now, j); err != nil {
		s.log.Error("job failed", "job", j.Name, "error", err)
		return
	}
	s.log.Info("job done", "job", j.Name)
}

// RunJob runs one job now and keeps a record of it: that it began, and how it
// ended.
func RunJob(ctx context.Context, store RunStore, now func() time.Time, j Job) (model.JobRun, error) {
	id, err := ulid.New(ulid.Timestamp(now()), rand.Reader)
	if err != nil {
		return model.JobRun{}, fmt.Errorf("name the run: %w", err)
	}
	run := model.JobRun{ID: id.String(), Job: j.Name, StartedAt: now(), Counts: map[string]int{}}
	if err := store.PutJobRun(ctx, run); err != nil {
		return run, err
	}
	counts, fault := j.Run(ctx)
	run.EndedAt = model.Known(now())
	if counts != nil {
		run.Counts = counts
	}
	if fault != nil {
		run.Error = fault.Error()
	}
	// The record outlives the deadline that may have ended the job.
	keep, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
	defer cancel()
	return run, errors.Join(fault, store.PutJobRun(keep, run))
}

// cronLog writes the scheduler's own messages where all others go.
type cronLog struct{ log *slog.Logger }

func (l cronLog) Info(msg string, keysAndValues ...any) { l.log.Debug(msg, keysAndValues...) }

func (l cronLog) Error(err error, msg string, keysAndValues ...any) {
	l.log.Error(msg, append(keysAndValues, "error", err)...)
}
