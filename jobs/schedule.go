package jobs

import (
	"context"
	"crypto/rand"
	"errors"
	"log/slog"
	"maps"
	mathrand "math/rand/v2"
	"slices"
	"sync"
	"time"

	"github.com/robfig/cron/v3"

	"osier/model"
)

// Job is one entry of the schedule.
type Job struct {
	Name     string
	When     string        // cron form, in UTC; never on the full hour, when everybody asks
	Jitter   time.Duration // a run begins at most this much after it is due
	Deadline time.Duration
	Run      func(ctx context.Context) (map[string]int, error)
}

// At is the job at other times, unless none are given.
func (j Job) At(when string) Job {
	if when != "" {
		j.When = when
	}
	return j
}

// RunStore keeps what the schedule did.
type RunStore interface {
	PutJobRun(ctx context.Context, r model.JobRun) error
	LastSuccess(ctx context.Context, job string) (model.JobRun, error)
}

// RunObserver is told what the schedule did, as it does it.
type RunObserver interface {
	RunEnded(r model.JobRun)
	RunSkipped(job string) // its last run still went on
}

// ScheduleOptions is all that a schedule needs; every field is required.
type ScheduleOptions struct {
	Store  LeaseStore
	Now    func() time.Time
	Log    *slog.Logger
	Random *mathrand.Rand // spreads the runs; the schedule alone may use it
	Jobs   []Job
}

// Schedule runs the stages by the clock. Everything is in UTC: a job at 01:30
// local time would run never in spring and twice in autumn.
type Schedule struct {
	ScheduleOptions
	holder  string // who this is, among the programs on one store
	entries []*entry
}

// entry is a job, its times, and whether it is running.
type entry struct {
	Job
	times cron.Schedule
	busy  sync.Mutex
}

// NewSchedule makes the schedule; an entry that cannot be read, or would never
// come due, is an error.
func NewSchedule(o ScheduleOptions) (*Schedule, error) {
	s := &Schedule{ScheduleOptions: o, holder: rand.Text()}
	for _, j := range o.Jobs {
		times, err := times("job "+j.Name, j.When, o.Now())
		if err != nil {
			return nil, err
		}
		s.entries = append(s.entries, &entry{Job: j, times: times})
	}
	return s, nil
}

// Run makes up what was missed, once, and runs the schedule until the context
// ends; it returns when the last job has. When the machine has slept meanwhile
// it begins anew, so that what was missed is made up at once and not when the
// timers, which slept too, come round.
func (s *Schedule) Run(ctx context.Context, observer RunObserver) {
	turns := cron.New(cron.WithLocation(time.UTC))
	for _, e := range s.entries {
		turns.Schedule(jittered{e.times, e.Jitter, s.Random}, cron.FuncJob(func() { s.turn(ctx, e, lastDue(e.times, time.Now()), false, observer) }))
	}
	for ctx.Err() == nil {
		began, awake := s.wall(), time.Now()
		turns.Start()
		s.makeUp(ctx, began, observer)
		s.untilSlept(ctx, began, awake)
		<-turns.Stop().Done()
	}
}

// makeUp runs each job once that missed a run, in the order of the table, since
// each reads what those before it write. What comes due from then on is the
// schedule's.
func (s *Schedule) makeUp(ctx context.Context, asOf time.Time, observer RunObserver) {
	for _, e := range s.entries {
		if s.missed(ctx, e, asOf) {
			s.turn(ctx, e, lastDue(e.times, asOf), true, observer)
		}
	}
}

// missed says whether a run came due since the last success began, or there
// never was one.
func (s *Schedule) missed(ctx context.Context, e *entry, asOf time.Time) bool {
	last, err := s.Store.LastSuccess(ctx, e.Name)
	return err != nil || !e.times.Next(last.StartedAt).After(asOf)
}

// turn runs a job that was due at an instant within its deadline, unless its last
// run still goes on or another program on the store has run it, and says in one
// line what came of it. With again, a run that ended badly is made once more.
func (s *Schedule) turn(ctx context.Context, e *entry, due time.Time, again bool, observer RunObserver) {
	if ctx.Err() != nil {
		return
	}
	if !e.busy.TryLock() {
		s.Log.Warn("job skipped: its last run still goes on", "job", e.Name)
		observer.RunSkipped(e.Name)
		return
	}
	defer e.busy.Unlock()
	ctx, cancel := context.WithTimeout(ctx, e.Deadline)
	defer cancel()
	lease, taken, err := s.acquire(ctx, e.Name, due, again)
	if err == nil && !taken {
		s.Log.Info("job left to another program, which has run it", "job", e.Name, "due", due, "outcome", string(lease.Outcome))
		return
	}
	run := model.JobRun{Job: e.Name, StartedAt: s.Now(), Counts: map[string]int{}}
	if err != nil {
		run.Error = err.Error()
	} else {
		run, err = s.runLeased(ctx, e.Job, lease)
	}
	observer.RunEnded(run)
	s.logRun(run, err)
}

func (s *Schedule) logRun(r model.JobRun, err error) {
	var counts []any
	for _, name := range slices.Sorted(maps.Keys(r.Counts)) {
		counts = append(counts, slog.Int(name, r.Counts[name]))
	}
	about := []any{"job", r.Job, "run", r.ID, "duration_s", r.DurationS.Value, slog.Group("counts", counts...)}
	var panicked *panicError
	if errors.As(err, &panicked) {
		about = append(about, "stack", string(panicked.stack))
	}
	if err != nil {
		s.Log.Error("job failed", append(about, "error", err)...)
		return
	}
	s.Log.Info("job done", about...)
}

// How a sleep is noticed; our choice.
const (
	lookForSleep = time.Minute // how often the clocks are compared
	leastSleep   = time.Minute // a smaller difference is the clock being set
)

// untilSlept waits until the machine has slept, or the context ends. A machine
// asleep stops the clock that timers go by, while the wall clock goes on.
func (s *Schedule) untilSlept(ctx context.Context, began, awake time.Time) {
	look := time.NewTicker(lookForSleep)
	defer look.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-look.C:
			if slept := s.wall().Sub(began) - time.Since(awake); slept > leastSleep {
				s.Log.Info("the clock went on without the program: what was missed is made up once", "slept_s", slept.Seconds())
				return
			}
		}
	}
}

// wall is the time without the reading of the clock that timers go by.
func (s *Schedule) wall() time.Time { return s.Now().Round(0) }
