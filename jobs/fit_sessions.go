package jobs

import (
	"cmp"
	"fmt"
	"iter"
	"maps"
	"slices"
	"strings"
	"time"

	"osier/model"
	"osier/model/activity"
	"osier/model/plan"
)

// fitSession is a joined session as fits read it.
type fitSession struct {
	group               model.Group
	start, end, entered time.Time
	rodHours            float64
	digest              string // of the record and its weather
	recordDigest        string // of the record alone, and of the angler's own readings behind it
	asForecast          bool   // by the weather as forecast then
	record              activity.SessionRecord
	row                 *model.JoinedSession
}

// compare puts sessions in order of start.
func (s fitSession) compare(b fitSession) int {
	return cmp.Or(s.start.Compare(b.start), cmp.Compare(s.record.ID, b.record.ID))
}

// fitSessions turns the joined sessions that may be used into what fits read, by
// start.
func fitSessions(joined []model.JoinedSession) ([]fitSession, error) {
	out := make([]fitSession, 0, len(joined))
	for i, j := range joined {
		if !j.Use {
			continue
		}
		record, err := sessionRecord(j)
		if err != nil {
			return nil, fmt.Errorf("session %s: %w", j.Session, err)
		}
		recordDigest, _, _ := strings.Cut(j.ForeseenFrom, "/")
		out = append(out, fitSession{
			row: &joined[i], recordDigest: recordDigest + j.Readings,
			group: j.Group, start: j.Start, end: j.End, entered: j.EnteredAt,
			rodHours: j.RodHours, digest: j.InputsDigest, asForecast: j.Basis == model.AsForecast, record: record,
		})
	}
	slices.SortFunc(out, fitSession.compare)
	return out, nil
}

// sessionRecord is one row, or one for each interval where there are any.
func sessionRecord(j model.JoinedSession) (activity.SessionRecord, error) {
	r := activity.SessionRecord{ID: j.Session, StartH: float64(j.Start.Unix()) / 3600, Water: j.Water, Peg: j.Peg, Angler: j.Angler, Weight: j.Weight}
	intervals := j.Intervals
	if len(intervals) == 0 {
		intervals = []model.JoinedInterval{{Bites: j.Bites, Fish: j.Fish, RodHours: j.RodHours, Drivers: j.Regressors()}}
	}
	for _, i := range intervals {
		c, err := plan.Covariates(j.Group, i.Regressors())
		if err != nil {
			return r, err
		}
		r.Intervals = append(r.Intervals, activity.IntervalRecord{
			Covariates: c, RodHours: i.RodHours,
			Bites: i.Bites.Value, BitesKnown: i.Bites.Known, Fish: i.Fish.Value, FishKnown: i.Fish.Known,
		})
	}
	return r, nil
}

// withEffort adds to sessions, given by start, how much their angler fished on
// their peg lately, as far as those sessions tell. Other people's fishing on it
// does not count: a plan may not tell of it (design, section 5 rule 8), and what
// a fit learns from must be what a plan will know.
func withEffort(sessions []fitSession) []fitSession {
	type peg struct{ water, number, angler string }
	lately := map[peg][]fitSession{}
	out := slices.Clone(sessions)
	for i, s := range out {
		if s.record.Peg == "" {
			continue
		}
		on := peg{s.record.Water, s.record.Peg, s.record.Angler}
		before := slices.DeleteFunc(lately[on], func(b fitSession) bool { return !b.end.After(s.start.Add(-pegEffortWindow)) })
		effortH := 0.0
		for _, b := range before {
			if !b.end.After(s.start) {
				effortH += b.rodHours
			}
		}
		lately[on] = append(before, s)
		out[i].record.Intervals = slices.Clone(s.record.Intervals)
		for k := range out[i].record.Intervals {
			c := &out[i].record.Intervals[k].Covariates
			c.PegEffort7dRodHours, c.Known.PegEffort7dRodHours = min(effortH, mostPegEffort), true
		}
	}
	return out
}

// pegAnglers is how many anglers must have fished a peg before it gets an effect
// of its own from other people's sessions: no cell for a single peg that tells
// what one person did there (statistics pack 6).
const pegAnglers = 5

// withoutLonePegs takes the peg from other people's sessions where too few of
// them fished it; an angler's own keep theirs.
func withoutLonePegs(sessions []fitSession, own string) []fitSession {
	anglers := map[string]map[string]bool{}
	on := func(s fitSession) string { return s.record.Water + "/" + s.record.Peg }
	for _, s := range sessions {
		if anglers[on(s)] == nil {
			anglers[on(s)] = map[string]bool{}
		}
		anglers[on(s)][s.record.Angler] = true
	}
	out := slices.Clone(sessions)
	for i, s := range out {
		if s.record.Angler != own && len(anglers[on(s)]) < pegAnglers {
			out[i].record.Peg = ""
		}
	}
	return out
}

// ofGroup are the records of one group.
func ofGroup(sessions []fitSession, g model.Group) []activity.SessionRecord {
	var out []activity.SessionRecord
	for _, s := range sessions {
		if s.group == g {
			out = append(out, s.record)
		}
	}
	return out
}

// notAdmitted gives, by handle, the anglers who have sessions that the public
// fit has not read, with those.
func notAdmitted(sessions []fitSession, admitted map[string]bool) iter.Seq2[string, []fitSession] {
	own := map[string][]fitSession{}
	for _, s := range sessions {
		if !admitted[s.record.ID] {
			own[s.record.Angler] = append(own[s.record.Angler], s)
		}
	}
	return func(yield func(string, []fitSession) bool) {
		for _, angler := range slices.Sorted(maps.Keys(own)) {
			if !yield(angler, own[angler]) {
				return
			}
		}
	}
}
