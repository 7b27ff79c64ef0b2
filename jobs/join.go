package jobs

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"sort"
	"time"

	"osier/model"
	"osier/model/feeder"
	"osier/model/plan"
)

// JoinStore is what joining reads, and where it writes.
type JoinStore interface {
	Weather
	Water(ctx context.Context, id string) (model.Water, error)
	SessionWaters(ctx context.Context) ([]string, error)
	SessionsAfter(ctx context.Context, water string, start time.Time, id string, to time.Time, limit int) ([]model.Session, error)
	JoinedAt(ctx context.Context, water string, from, to time.Time) ([]model.JoinedSession, error)
	PutJoined(ctx context.Context, joined []model.JoinedSession) error
}

// Joiner lays each session beside the conditions that ruled it.
type Joiner struct {
	Store JoinStore
	Now   func() time.Time
}

// noWeather is what a joined session says in place of a weather version when no
// source reaches back to it. It is kept, and the water's climate stands in.
const noWeather = "no weather"

// Run joins every session whose record or weather has changed since it was
// joined last, and counts what it did. It goes from water to water and through
// the years of each, and holds no more than a run of sessions at a time.
func (j *Joiner) Run(ctx context.Context) (map[string]int, error) {
	counts := map[string]int{"sessions": 0}
	waters, err := j.Store.SessionWaters(ctx)
	if err != nil {
		return nil, err
	}
	for _, id := range waters {
		w, err := j.Store.Water(ctx, id)
		if err != nil {
			return counts, fmt.Errorf("join the sessions at %s: %w", id, err)
		}
		past, err := pastOf(j.Store, w, j.Now())
		if err != nil {
			return counts, err
		}
		for run, err := range runs(j.sessionsAt(ctx, id)) {
			if err == nil {
				err = j.joinRun(ctx, past, run, counts)
			}
			if err != nil {
				return counts, err
			}
		}
	}
	return counts, nil
}

// joinRun joins a run of sessions of one water and keeps those that came out
// otherwise than before.
func (j *Joiner) joinRun(ctx context.Context, past *past, run run, counts map[string]int) error {
	before, err := j.Store.JoinedAt(ctx, past.water.ID, run.from(), run.last())
	if err != nil {
		return err
	}
	was := make(map[string]model.JoinedSession, len(before))
	for _, b := range before {
		was[b.Session] = b
	}
	joined, err := joinAgain(ctx, past, run, was)
	if err != nil {
		return err
	}
	var changed []model.JoinedSession
	for _, one := range joined {
		counts["sessions"]++
		if one.Weather == noWeather {
			counts["without weather"]++
		}
		if one.Basis == model.AsForecast {
			counts["as forecast"]++
		}
		if was[one.Session].InputsDigest != one.InputsDigest {
			changed = append(changed, one)
		}
	}
	if len(changed) == 0 {
		return nil
	}
	if err := j.Store.PutJoined(ctx, changed); err != nil {
		return err
	}
	counts["joined"] += len(changed)
	return nil
}

// joinAgain joins a run of sessions to the weather of their water. was is what
// they were joined to before.
func joinAgain(ctx context.Context, past *past, run run, was map[string]model.JoinedSession) ([]model.JoinedSession, error) {
	out := make([]model.JoinedSession, 0, len(run.sessions))
	for _, s := range run.sessions {
		weather, readings, err := past.of(ctx, s)
		if err != nil {
			return nil, fmt.Errorf("the weather of session %s: %w", s.ID, err)
		}
		one := join(s, weather)
		record, err := json.Marshal(s)
		if err != nil {
			return nil, fmt.Errorf("name the inputs of %s: %w", s.ID, err)
		}
		one.Readings, one.ForeseenFrom = readings, foreseenFrom(record, past.name)
		if err := foresee(ctx, past, s, was[one.Session], &one); err != nil {
			return nil, fmt.Errorf("what was foreseen of session %s: %w", one.Session, err)
		}
		if one.InputsDigest, err = inputsDigest(record, one); err != nil {
			return nil, err
		}
		one.JoinedAt = past.now
		out = append(out, one)
	}
	return out, nil
}

// join lays one session beside the weather that ruled it. Of what happened after
// the first cast only the counts and the weather are read, and nothing of other
// sessions: how much was fished on the peg lately is added by fits, each from the
// sessions that it may read.
func join(s model.Session, weather loaded) model.JoinedSession {
	outing := outingOf(s)
	out := model.JoinedSession{
		Session: s.ID, Water: s.Water, Angler: s.Angler, Group: s.Group, Start: s.Start, End: s.End,
		EnteredAt: s.EnteredAt, Weight: s.LagWeight(),
		Bites: bitesOf(s), Fish: fishOf(s), RodHours: s.RodHours(), Weather: weatherOf(s, weather.hours),
		Drivers: weather.history.Drivers(outing), Intervals: intervals(s, outing, weather.history),
	}
	if !s.Excluded("peg") {
		out.Peg = s.Peg
	}
	out.Use, out.Why = usable(s)
	return out
}

// outingOf is what of a record the drivers read.
func outingOf(s model.Session) plan.Outing {
	return plan.Outing{
		Start: s.Start, End: s.End, Group: s.Group,
		PlannedGH: plannedRate(s), CapacityMl: s.Feeder.CapacityMl,
		DistanceM: s.DistanceM, DepthM: s.DepthM,
	}
}

// usable says whether a fit may read the session, and why not. Fish alone tell
// of bites too, those that were landed.
func usable(s model.Session) (use bool, why string) {
	switch {
	case s.Excluded(""):
		return false, "a query about the record keeps it out"
	case !bitesOf(s).Known && !fishOf(s).Known:
		return false, "neither bites nor fish were counted"
	case s.RodHours() <= 0 || math.IsNaN(s.RodHours()):
		return false, "no time fished"
	}
	return true, ""
}

// bitesOf is the bites that were counted and are not in doubt.
func bitesOf(s model.Session) model.Maybe[int] {
	if s.Excluded("bites") {
		return model.Maybe[int]{}
	}
	return s.Bites
}

// fishOf is the fish that were counted and are not in doubt.
func fishOf(s model.Session) model.Maybe[int] {
	if s.Excluded("fish") {
		return model.Maybe[int]{}
	}
	return s.FishLanded()
}

// plannedRate is the feed decided before the first cast. A level counts at the
// middle of its range; a plan decided after the first cast counts as missing,
// since bites may have led to it (statistics pack 2.2).
func plannedRate(s model.Session) model.Maybe[model.GramsPerHour] {
	if s.Planned.DecidedAt.Known && s.Planned.DecidedAt.Value.After(s.Start) || s.Excluded("planned_feed") {
		return model.Maybe[model.GramsPerHour]{}
	}
	if s.Planned.RateGH.Known {
		if s.Planned.RateGH.Value < 1 { // nothing planned has no logarithm
			return model.Maybe[model.GramsPerHour]{}
		}
		return s.Planned.RateGH
	}
	low, high, ok := feeder.LevelRangeGH(feeder.Group(s.Group), feeder.Level(s.Planned.Level))
	if !ok {
		return model.Maybe[model.GramsPerHour]{}
	}
	return model.Known(model.GramsPerHour(math.Sqrt(low * high)))
}

// weatherOf names the weather of the hours fished, of hours in order of time.
func weatherOf(s model.Session, hours []model.WeatherHour) string {
	from, to := s.Start.Add(-time.Hour), s.End
	first := sort.Search(len(hours), func(i int) bool { return hours[i].At.After(from) })
	last := sort.Search(len(hours), func(i int) bool { return !hours[i].At.Before(to) })
	during := hours[first:max(first, last)]
	if !slices.ContainsFunc(during, func(h model.WeatherHour) bool { return h.AirC.Known }) {
		return noWeather
	}
	return model.WeatherVersion(during)
}

// inputsDigest names the record and all that was made of it, but for the time:
// a row that would be made otherwise today has another.
func inputsDigest(record []byte, j model.JoinedSession) (string, error) {
	row, err := json.Marshal(j)
	if err != nil {
		return "", fmt.Errorf("name the inputs of %s: %w", j.Session, err)
	}
	sum := sha256.New()
	for _, part := range [][]byte{record, []byte("|"), row} {
		sum.Write(part)
	}
	return hex.EncodeToString(sum.Sum(nil)), nil
}
