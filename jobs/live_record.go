package jobs

import (
	"context"
	"reflect"

	"osier/model"
)

// soFar rebuilds a session from its events, and makes or changes its record if
// it has ended. The record is read before the events: whoever writes last has
// seen every event, and whoever was overtaken by another batch begins again.
func (l *Live) soFar(ctx context.Context, id string) (model.EventsTaken, error) {
	taken := model.EventsTaken{Demo: l.Recorder.Demo}
	tried := -1 // the version last written on
	for {
		was, version, err := l.Recorder.Store.Session(ctx, id)
		if err != nil && model.CodeOf(err) != model.NotFound {
			return taken, err
		}
		if version == tried {
			return taken, nil // nobody overtook it: the clash is with another record
		}
		tried = version
		logged, err := l.Store.Events(ctx, id)
		if err != nil {
			return taken, err
		}
		live, err := l.build(id, logged)
		if err != nil {
			taken.Waiting = err.Error()
			return taken, nil
		}
		taken.Session = &live
		taken.Record, err = l.record(ctx, live, was, version)
		if err == nil {
			return taken, nil
		}
		taken.Record = model.LiveRecord{Status: model.RowRefused, Problem: err.Error()}
		switch code := model.CodeOf(err); {
		case code == model.Unavailable || code == model.Internal:
			return taken, err
		case code != model.Conflict:
			return taken, nil
		}
	}
}

// record makes the record of a session that has ended, or brings the stored
// one, of which version is above 0, up to what the events tell now.
func (l *Live) record(ctx context.Context, live model.Live, was model.Session, version int) (model.LiveRecord, error) {
	switch {
	case live.Ended && version == 0:
		return l.first(ctx, live.Session)
	case live.Ended:
		return l.again(ctx, live.Session, was, version)
	case version > 0:
		return model.LiveRecord{Status: statusOf(was), ID: was.ID, Problem: "the end was taken back; the record stands as it was until the session ends again"}, nil
	}
	return model.LiveRecord{}, nil
}

func (l *Live) first(ctx context.Context, told model.Session) (model.LiveRecord, error) {
	r, now := l.Recorder, l.Now()
	s, err := told.Completed(model.Defaults{Now: now})
	if err != nil {
		return model.LiveRecord{}, err
	}
	s, status, err := r.check(ctx, s, now, nil)
	if err != nil {
		return model.LiveRecord{}, err
	}
	if status == model.RowDuplicate {
		return model.LiveRecord{Status: status, ID: s.ID}, nil
	}
	s.Queries = append(told.Queries, s.Queries...)
	return model.LiveRecord{Status: statusOf(s), ID: s.ID}, r.Store.AddSession(ctx, s)
}

func (l *Live) again(ctx context.Context, told, was model.Session, version int) (model.LiveRecord, error) {
	r, now := l.Recorder, l.Now()
	s, err := withUntold(told, was).Completed(model.Defaults{Now: now})
	if err != nil {
		return model.LiveRecord{}, err
	}
	s.EnteredAt = was.EnteredAt
	w, err := r.Store.Water(ctx, s.Water)
	if err != nil {
		return model.LiveRecord{}, err
	}
	if err := s.ValidateAt(w, now); err != nil {
		return model.LiveRecord{}, err
	}
	doubts, err := r.queries(ctx, s, w, nil)
	if err != nil {
		return model.LiveRecord{}, err
	}
	s.Queries = append(told.Queries, doubts...)
	kept := model.LiveRecord{Status: statusOf(s), ID: s.ID}
	if unchanged(s, was) {
		return kept, nil
	}
	return kept, r.Store.ReplaceSession(ctx, s, version)
}

// withUntold keeps what the angler added to the stored record and no event tells.
func withUntold(told, was model.Session) model.Session {
	told.Weight, told.Notes, told.Groundbait, told.WaterColour = was.Weight, was.Notes, was.Groundbait, was.WaterColour
	told.Ripple, told.WindFelt, told.Neighbours, told.RecastMin = was.Ripple, was.WindFelt, was.Neighbours, was.RecastMin
	told.FeedUsed.MixedDryG, told.FeedUsed.LeftDryG = was.FeedUsed.MixedDryG, was.FeedUsed.LeftDryG
	if !told.Planned.RateGH.Known {
		told.Planned = was.Planned
	}
	return told
}

// unchanged says whether a record would be written over by itself.
func unchanged(s, was model.Session) bool {
	same, _ := model.Duplicate(s, was)
	return same && s.WrittenAt.Value.Equal(was.WrittenAt.Value) && len(s.Queries) == len(was.Queries) && (len(s.Queries) == 0 || reflect.DeepEqual(s.Queries, was.Queries))
}

func statusOf(s model.Session) model.RowStatus {
	if len(s.Queries) > 0 {
		return model.RowQueried
	}
	return model.RowStored
}
