package jobs

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"time"

	"osier/model"
	"osier/model/feeder"
	"osier/model/plan"
)

// JoinStore is what joining reads, and where it writes.
type JoinStore interface {
	Weather
	Water(ctx context.Context, id string) (model.Water, error)
	Sessions(ctx context.Context, water, angler string, from, to time.Time) ([]model.Session, error)
	Joined(ctx context.Context) ([]model.JoinedSession, error)
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
// joined last, and counts what it did.
func (j *Joiner) Run(ctx context.Context) (map[string]int, error) {
	sessions, err := j.Store.Sessions(ctx, "", "", time.Unix(0, 0), j.Now())
	if err != nil {
		return nil, err
	}
	before, err := j.Store.Joined(ctx)
	if err != nil {
		return nil, err
	}
	digests := map[string]string{}
	for _, b := range before {
		digests[b.Session] = b.InputsDigest
	}
	counts := map[string]int{"sessions": len(sessions)}
	for water, here := range byWater(sessions) {
		joined, err := j.joinWater(ctx, water, here)
		if err != nil {
			return counts, err
		}
		var changed []model.JoinedSession
		for _, one := range joined {
			if one.Weather == noWeather {
				counts["without weather"]++
			}
			if digests[one.Session] != one.InputsDigest {
				changed = append(changed, one)
			}
		}
		if len(changed) == 0 {
			continue
		}
		if err := j.Store.PutJoined(ctx, changed); err != nil {
			return counts, err
		}
		counts["joined"] += len(changed)
	}
	return counts, nil
}

func byWater(sessions []model.Session) map[string][]model.Session {
	out := map[string][]model.Session{}
	for _, s := range sessions {
		out[s.Water] = append(out[s.Water], s)
	}
	return out
}

// joinWater joins the sessions of one water, given by start, against one run of
// its weather.
func (j *Joiner) joinWater(ctx context.Context, id string, sessions []model.Session) ([]model.JoinedSession, error) {
	w, err := j.Store.Water(ctx, id)
	if err != nil {
		return nil, fmt.Errorf("join the sessions at %s: %w", id, err)
	}
	now := j.Now()
	out := make([]model.JoinedSession, 0, len(sessions))
	for _, run := range runs(sessions) {
		weather, err := loadWeather(ctx, j.Store, w, sessions[run.first].Start, run.end, now)
		if err != nil {
			return nil, err
		}
		for i := run.first; i <= run.last; i++ {
			one, err := join(sessions[i], weather, now)
			if err != nil {
				return nil, err
			}
			out = append(out, one)
		}
	}
	return out, nil
}

// longestRun bounds the weather that is held at once. Our choice.
const longestRun = 180 * 24 * time.Hour

// span is some sessions in a row, by position, and when the last of them ends.
type span struct {
	first, last int
	end         time.Time
}

// runs parts sessions, given by start, where so long passed between two that
// they share no weather, or where a run would grow too long. One record with a
// mistyped year then costs its own weather and not that of all the years between.
func runs(sessions []model.Session) []span {
	var out []span
	for i, s := range sessions {
		n := len(out) - 1
		if n < 0 || s.Start.Sub(out[n].end) > runIn || s.End.Sub(sessions[out[n].first].Start) > longestRun {
			out = append(out, span{first: i, last: i, end: s.End})
			continue
		}
		out[n].last = i
		if s.End.After(out[n].end) {
			out[n].end = s.End
		}
	}
	return out
}

// join lays one session beside its weather. Nothing that happened after the
// first cast is read but the counts themselves, and nothing of other sessions:
// how much was fished on the peg lately is added by fits, each from the sessions
// that it may read.
func join(s model.Session, weather loaded, now time.Time) (model.JoinedSession, error) {
	outing := plan.Outing{
		Start: s.Start, End: s.End, Group: s.Group,
		PlannedGH: plannedRate(s), CapacityMl: s.Feeder.CapacityMl,
		DistanceM: s.DistanceM, DepthM: s.DepthM,
	}
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
	digest, err := inputsDigest(s, out)
	out.InputsDigest, out.JoinedAt = digest, now
	return out, err
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

// weatherOf names the weather of the hours fished.
func weatherOf(s model.Session, hours []model.WeatherHour) string {
	var during []model.WeatherHour
	known := false
	for _, h := range hours {
		if h.At.After(s.Start.Add(-time.Hour)) && h.At.Before(s.End) {
			during = append(during, h)
			known = known || h.AirC.Known
		}
	}
	if !known {
		return noWeather
	}
	return model.WeatherVersion(during)
}

// inputsDigest names the record and all that was made of it, but for the time:
// a row that would be made otherwise today has another.
func inputsDigest(s model.Session, j model.JoinedSession) (string, error) {
	record, err := json.Marshal(s)
	if err != nil {
		return "", fmt.Errorf("name the inputs of %s: %w", s.ID, err)
	}
	row, err := json.Marshal(j)
	if err != nil {
		return "", fmt.Errorf("name the inputs of %s: %w", s.ID, err)
	}
	sum := sha256.Sum256(fmt.Appendf(record, "|%s", row))
	return hex.EncodeToString(sum[:]), nil
}
