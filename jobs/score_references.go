package jobs

import (
	"context"
	"fmt"
	"slices"
	"time"

	"osier/model"
	"osier/model/activity"
)

// referencesByMonth fits, once for a group and month of issue, the two
// references that need no weather: a stored plan does not hold what the others
// would have read. The sessions are read once the first score asks for them: most
// runs score nothing.
type referencesByMonth struct {
	store    ScoreStore
	sessions map[model.Group][]activity.DatedRecord
	fits     map[string]activity.SimpleReferences
}

func (r *referencesByMonth) read(ctx context.Context) error {
	if r.sessions != nil {
		return nil
	}
	joined, err := r.store.Joined(ctx)
	if err != nil {
		return err
	}
	r.sessions, err = datedRecords(joined)
	return err
}

// datedRecords are the joined sessions that fits may read, as fits read them, by
// group.
func datedRecords(joined []model.JoinedSession) (map[model.Group][]activity.DatedRecord, error) {
	sessions, err := fitSessions(joined)
	if err != nil {
		return nil, err
	}
	single := slices.Clone(joined)
	for i := range single {
		single[i].Intervals = nil
	}
	wholes, err := fitSessions(single)
	if err != nil {
		return nil, err
	}
	out := map[model.Group][]activity.DatedRecord{}
	wholes = withEffort(wholes)
	for i, s := range withEffort(sessions) {
		out[s.group] = append(out[s.group], activity.DatedRecord{
			Record: s.record, Start: s.start, End: s.end, KnownFrom: s.entered, Whole: wholes[i].record.Intervals[0],
		})
	}
	return out, nil
}

// score holds the references against what came, as they stood when the month
// began in which the plan was issued.
func (r *referencesByMonth) score(ctx context.Context, s model.Score) (map[string]model.CountScore, error) {
	if err := r.read(ctx); err != nil {
		return nil, err
	}
	issued := s.IssuedAt.UTC()
	month := time.Date(issued.Year(), issued.Month(), 1, 0, 0, 0, 0, time.UTC)
	key := fmt.Sprintf("%s/%d", s.Group, month.Unix())
	fit, ok := r.fits[key]
	if !ok {
		var known []activity.DatedRecord
		for _, d := range r.sessions[s.Group] {
			if !d.End.After(month) && !d.KnownFrom.After(month) {
				known = append(known, d)
			}
		}
		var err error
		if fit, err = activity.FitSimpleReferences(string(s.Group), known); err != nil {
			return nil, err
		}
		r.fits[key] = fit
	}
	scores, err := fit.Score(s.Water, s.RodHours, s.Bites)
	if err != nil {
		return nil, err
	}
	out := map[string]model.CountScore{}
	for name, one := range scores {
		out[name] = countScore(one)
	}
	return out, nil
}
