package jobs

import (
	"context"
	"fmt"
	"time"

	"osier/model"
	"osier/model/activity"
)

// referencesByMonth fits, once for a group and month of issue, the two
// references that need no weather: a stored plan does not hold what the others
// would have read.
type referencesByMonth struct {
	sessions map[model.Group][]activity.DatedRecord
	fits     map[string]activity.SimpleReferences
}

func (s *Scorer) references(ctx context.Context) (*referencesByMonth, error) {
	joined, err := s.Store.Joined(ctx)
	if err != nil {
		return nil, err
	}
	sessions, err := datedRecords(joined)
	return &referencesByMonth{sessions: sessions, fits: map[string]activity.SimpleReferences{}}, err
}

// datedRecords are the joined sessions that fits may read, by group.
func datedRecords(joined []model.JoinedSession) (map[model.Group][]activity.DatedRecord, error) {
	out := map[model.Group][]activity.DatedRecord{}
	for _, j := range joined {
		if !j.Use {
			continue
		}
		record, err := sessionRecord(j)
		if err != nil {
			return nil, fmt.Errorf("session %s: %w", j.Session, err)
		}
		single := j
		single.Intervals = nil
		whole, err := sessionRecord(single)
		if err != nil {
			return nil, fmt.Errorf("session %s: %w", j.Session, err)
		}
		out[j.Group] = append(out[j.Group], activity.DatedRecord{
			Record: record, Start: j.Start, End: j.End, KnownFrom: j.EnteredAt, Whole: whole.Intervals[0],
		})
	}
	return out, nil
}

// score holds the references against what came, as they stood when the month
// began in which the plan was issued.
func (r *referencesByMonth) score(s model.Score) (map[string]model.CountScore, error) {
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
