package jobs

import (
	"math/rand/v2"
	"strconv"
	"time"

	"github.com/robfig/cron/v3"

	"osier/model"
)

// CheckTimes says what is wrong with times in cron form: minute, hour, day of
// the month, month and day of the week, in UTC. The error names the field.
func CheckTimes(field, when string, now time.Time) error {
	_, err := times(field, when, now)
	return err
}

// times reads times in cron form. The zone is set here, so that times cannot
// bring one of their own: an hour that the clock change skips or repeats would
// run never or twice. Nor are "@every 1h" and the like taken: they count from
// the start of the program.
func times(field, when string, now time.Time) (cron.Schedule, error) {
	const right = `give minute, hour, day of the month, month and day of the week, in UTC, such as "13,43 * * * *"`
	parser := cron.NewParser(cron.Minute | cron.Hour | cron.Dom | cron.Month | cron.Dow)
	t, err := parser.Parse("CRON_TZ=UTC " + when)
	if err != nil {
		return nil, &model.Error{Code: model.Invalid, Field: field, Wrong: "cannot read the times " + quoted(when), Right: right, Err: err}
	}
	if t.Next(now).IsZero() {
		return nil, model.Invalidf(field, right, "the times %s never come", quoted(when))
	}
	return t, nil
}

// lastDue is the last time that came at or before an instant: what names a run
// to all the programs on one store, whenever each of them comes to it.
func lastDue(times cron.Schedule, at time.Time) time.Time {
	// Times give the next one only. Leap days are up to eight years apart.
	const longest = 9 * 366 * 24 * time.Hour
	for back := time.Minute; back < longest; back *= 2 {
		due := times.Next(at.Add(-back))
		if due.IsZero() || due.After(at) {
			continue
		}
		for next := times.Next(due); !next.After(at); next = times.Next(due) {
			due = next
		}
		return due.UTC()
	}
	return time.Unix(0, 0).UTC()
}

// quoted keeps what somebody typed from spoiling the line it is shown in.
func quoted(s string) string {
	const most = 60
	if len(s) > most {
		s = s[:most] + "..."
	}
	return strconv.Quote(s)
}

// jittered moves each run of a schedule back by a random part of most, and by
// no more than half of the time to the next: a run never comes after the next
// is due, and has time to end before.
type jittered struct {
	times  cron.Schedule
	most   time.Duration
	random *rand.Rand
}

// Next gives the next run after t, zero when there is none. From one run it
// leads to the next, since no run comes after the next is due.
func (j jittered) Next(t time.Time) time.Time {
	due := j.times.Next(t)
	if due.IsZero() {
		return due
	}
	most := j.most
	if following := j.times.Next(due); !following.IsZero() {
		most = min(most, following.Sub(due)/2)
	}
	return due.Add(time.Duration(j.random.Int64N(int64(most/time.Second)+1)) * time.Second)
}
