package jobs

import (
	"sort"
	"time"

	"osier/model"
	"osier/model/plan"
)

// leastTold is how much of the hours fished the intervals must tell of, and of
// the intervals the hours fished. Below it hours were left out of a tally, or
// breaks were taken in nobody knows which hour. Our choice, as in the query
// that asks about such a tally.
const leastTold = 0.8

// intervals splits a session into its hours, each with the conditions of its
// own, where the record tells what came of each: hourly tallies without a gap,
// and full logs that were kept live (statistics pack 1.2). Nil where it does
// not, and the session counts as one. The plan, the feeder and the effort on
// the peg are those of the whole outing.
func intervals(s model.Session, whole plan.Outing, history *plan.History) []model.JoinedInterval {
	parts := split(s)
	for i := range parts {
		parts[i].Drivers = history.Drivers(partOf(whole, parts[i]))
	}
	return parts
}

// partOf is an outing for one of its hours.
func partOf(whole plan.Outing, part model.JoinedInterval) plan.Outing {
	one := whole
	one.Start, one.End, one.Whole = part.Start, part.End, plan.Stretch{Start: whole.Start, End: whole.End}
	return one
}

// split gives the intervals with their counts and exposure, nil where they
// would be a guess. Fewer than two say no more than the session does.
func split(s model.Session) []model.JoinedInterval {
	if !bitesOf(s).Known || inDoubt(s) {
		return nil
	}
	var parts []model.JoinedInterval
	switch s.LearnAs() {
	case model.Hourly:
		parts = tallied(s)
	case model.FullLog:
		parts = logged(s)
	}
	parts, ok := expose(parts, s)
	if !ok || len(parts) < 2 || !addsUp(parts, s.Bites.Value) {
		return nil
	}
	return parts
}

// inDoubt says whether the hours themselves are: a clock that was wrong puts
// every bite under the weather of another hour.
func inDoubt(s model.Session) bool {
	for _, field := range []string{"start", "end", "style", "intervals", "casts"} {
		if s.Excluded(field) {
			return true
		}
	}
	return false
}

// tallied is the hours as the angler wrote them.
func tallied(s model.Session) []model.JoinedInterval {
	parts := make([]model.JoinedInterval, 0, len(s.Intervals))
	for _, v := range s.Intervals {
		part := model.JoinedInterval{Start: v.Start, End: v.End, Bites: v.Bites}
		if !s.Excluded("fish") {
			part.Fish = v.Fish
		}
		parts = append(parts, part)
	}
	return parts
}

// logged sorts the casts of a full log into the hours of the session. Nil
// where a cast is missing or was not timed.
func logged(s model.Session) []model.JoinedInterval {
	if s.CastCount.Known && s.CastCount.Value != len(s.Casts) {
		return nil
	}
	parts := clockHours(s.Start, s.End)
	for i := range parts {
		parts[i].Bites = model.Known(0)
		parts[i].Fish = model.Maybe[int]{Known: !s.Excluded("fish")}
	}
	for _, c := range s.Casts {
		if c.In.Before(s.Start) || c.Out.After(s.End) || !c.Out.After(c.In) {
			return nil
		}
		if !c.Outcome.TrueBite() {
			continue
		}
		hour := &parts[hourOfBite(parts, c)]
		hour.Bites.Value++
		if c.Outcome == model.FishLanded && hour.Fish.Known {
			hour.Fish.Value++
		}
	}
	return parts
}

// clockHours parts a span at the whole hours, so that each part lies under one
// hour of weather. The first and the last may be shorter. The hours are those
// of UTC, as the weather's are: the clock at the water strikes with them
// wherever its zone is whole hours away.
func clockHours(start, end time.Time) []model.JoinedInterval {
	var parts []model.JoinedInterval
	for from := start; from.Before(end); {
		to := from.Truncate(time.Hour).Add(time.Hour)
		if to.After(end) {
			to = end
		}
		parts = append(parts, model.JoinedInterval{Start: from, End: to})
		from = to
	}
	return parts
}

// hourOfBite is the hour that a cast's bite belongs to: that of the bite where
// it was timed, else the one in which the cast was longest in the water, the
// earlier of two alike. A bite on the stroke belongs to the hour before, since
// minutes are rounded up (statistics pack 3.1), and one timed past the wind-in
// came at the wind-in.
func hourOfBite(hours []model.JoinedInterval, c model.Cast) int {
	if c.BiteMin.Known {
		at := c.In.Add(time.Duration(c.BiteMin.Value * float64(time.Minute)))
		if at.After(c.Out) {
			at = c.Out
		}
		i := sort.Search(len(hours), func(i int) bool { return !hours[i].End.Before(at) })
		return min(i, len(hours)-1)
	}
	best, longest := 0, time.Duration(0)
	for i, h := range hours {
		if wet := shared(h, c); wet > longest {
			best, longest = i, wet
		}
	}
	return best
}

// shared is how long a cast was in the water within an hour.
func shared(h model.JoinedInterval, c model.Cast) time.Duration {
	from, to := h.Start, h.End
	if c.In.After(from) {
		from = c.In
	}
	if c.Out.Before(to) {
		to = c.Out
	}
	return to.Sub(from)
}

// expose shares the session's rod-hours out by the length of the intervals,
// breaks and rods with them, so that they add up to the session's. An interval
// without length is dropped, and its bites with it, so that the rest no longer
// add up. Intervals that tell of other hours than were fished say that the
// record cannot be split.
func expose(parts []model.JoinedInterval, s model.Session) ([]model.JoinedInterval, bool) {
	var kept []model.JoinedInterval
	toldH := 0.0
	for _, p := range parts {
		if length := p.End.Sub(p.Start).Hours(); length > 0 {
			toldH += length
			kept = append(kept, p)
		}
	}
	fishedH := s.HoursFished()
	if !(toldH > 0 && toldH >= leastTold*fishedH && fishedH >= leastTold*toldH) {
		return nil, false
	}
	left := s.RodHours()
	last := len(kept) - 1
	for i := range kept[:last] {
		kept[i].RodHours = s.RodHours() * kept[i].End.Sub(kept[i].Start).Hours() / toldH
		left -= kept[i].RodHours
	}
	kept[last].RodHours = left // and with it what rounding left over
	return kept, true
}

// addsUp says whether the bites of every interval were counted, and are those
// of the session.
func addsUp(parts []model.JoinedInterval, bites int) bool {
	for _, p := range parts {
		if !p.Bites.Known {
			return false
		}
		bites -= p.Bites.Value
	}
	return bites == 0
}
