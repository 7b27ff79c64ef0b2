package jobs

import (
	"context"
	"maps"
	"slices"

	"osier/model"
)

// publicRead are the sessions of a group that the public fit of a plan read, by
// start, as it read them: were they read as they are now, a plan would tell
// anybody what one angler corrected since (statistics pack, section 6).
//
// What a fit read is kept of the one made last alone. Of an earlier one, which is
// asked for by plans of a time past, it is known where all that it read is on
// record still and no record was corrected in a later fit; otherwise nothing is
// read of it, as for one angler's correction alone the plan must not move.
//
// What was deleted has gone at once, before the next public fit is made without
// it, and with it the rest of that water and group where the rule of disclosure
// does not hold for what is left.
func publicRead(ctx context.Context, s PlanStore, group model.Group, fit inForce) ([]*model.JoinedSession, error) {
	if len(fit.admitted) == 0 {
		return nil, nil
	}
	// In this order: what is joined anew in between is in the second list.
	joined, err := s.Joined(ctx)
	if err != nil {
		return nil, err
	}
	rows, err := s.PublicRows(ctx)
	if err != nil {
		return nil, err
	}
	last, err := s.LatestFit(ctx, "", endOfTime)
	if err != nil {
		return nil, err
	}
	read := rowsRead(joined, rows, fit.admitted)
	if last.ID != fit.public {
		if records, err := recordsDigest(read); err != nil || records != fit.records {
			return nil, err
		}
	}
	return disclosed(slices.DeleteFunc(read, func(j *model.JoinedSession) bool { return j.Group != group })), nil
}

// rowsRead are the sessions that a fit read, by start, rows going before what is
// joined now. None of rows is deleted: they go with their sessions.
func rowsRead(joined, rows []model.JoinedSession, admitted map[string]bool) []*model.JoinedSession {
	out, before := make([]*model.JoinedSession, 0, len(admitted)), make(map[string]bool, len(rows))
	for _, list := range [][]model.JoinedSession{rows, joined} {
		for i := range list {
			if j := &list[i]; admitted[j.Session] && !before[j.Session] && j.Use {
				out = append(out, j)
			}
		}
		for i := range rows {
			before[rows[i].Session] = true
		}
	}
	slices.SortFunc(out, rowsByStart)
	return out
}

// recordsDigest names records as a public fit names those that it read.
func recordsDigest(read []*model.JoinedSession) (string, error) {
	rows := make([]model.JoinedSession, len(read))
	for i, j := range read {
		rows[i] = *j
	}
	sessions, err := fitSessions(rows)
	return describe(model.FitRecord{}, sessions).Records, err
}

// disclosed are those of some sessions of a group at whose water the rule of
// disclosure holds.
func disclosed(read []*model.JoinedSession) []*model.JoinedSession {
	given := map[string]map[string]int{} // by water and angler
	for _, j := range read {
		if given[j.Water] == nil {
			given[j.Water] = map[string]int{}
		}
		given[j.Water][j.Angler]++
	}
	withheld := map[string]bool{}
	for water, byAngler := range given {
		withheld[water] = len(model.Withheld(slices.Collect(maps.Values(byAngler)))) > 0
	}
	return slices.DeleteFunc(read, func(j *model.JoinedSession) bool { return withheld[j.Water] })
}
