package jobs

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"math"
	"runtime/debug"
	"time"

	"github.com/oklog/ulid/v2"

	"osier/model"
)

// RunJob runs one job now and keeps a record of it: that it began, and how it
// ended. A job that panics has failed, and the record says that it panicked.
func RunJob(ctx context.Context, store RunStore, now func() time.Time, j Job) (model.JobRun, error) {
	return runJob(ctx, store, now, j, store.PutJobRun)
}

// runJob is RunJob where more is to be kept at the end than the record.
func runJob(ctx context.Context, store RunStore, now func() time.Time, j Job, end func(context.Context, model.JobRun) error) (model.JobRun, error) {
	id, err := ulid.New(ulid.Timestamp(now()), rand.Reader)
	if err != nil {
		return model.JobRun{}, fmt.Errorf("name the run: %w", err)
	}
	run := model.JobRun{ID: id.String(), Job: j.Name, StartedAt: now(), Counts: map[string]int{}}
	if err := store.PutJobRun(ctx, run); err != nil {
		run.Error = err.Error()
		return run, err
	}
	began := time.Now() // the given clock may stand still
	counts, fault := runGuarded(ctx, j)
	run.EndedAt = model.Known(now())
	run.DurationS = model.Known(math.Round(time.Since(began).Seconds()*1000) / 1000)
	if counts != nil {
		run.Counts = counts
	}
	if fault != nil {
		run.Error = fault.Error()
	}
	// The record outlives the deadline that may have ended the job.
	keep, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
	defer cancel()
	if err := end(keep, run); err != nil {
		fault = errors.Join(fault, err)
		run.Error = fault.Error()
	}
	return run, fault
}

// panicError is the end of a job that panicked. The stack is for the log.
type panicError struct {
	value any
	stack []byte
}

func (e *panicError) Error() string { return fmt.Sprintf("the job panicked: %v", e.value) }

// runGuarded runs a job and turns a panic into an error.
func runGuarded(ctx context.Context, j Job) (counts map[string]int, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = &panicError{value: fault, stack: debug.Stack()}
		}
	}()
	return j.Run(ctx)
}
