package jobs

import (
	"context"
	"maps"
	"slices"
	"time"

	"osier/model"
)

// public brings the public fit up to date (statistics pack, section 6): once a
// month, and only with the sessions of waters where enough anglers have added
// some since, so that no two public fits show what one session held.
//
// Sessions come in by water and group, since each group is fitted by itself.
// Those entered before the month began join together where the rule of
// disclosure holds for them alone; the others wait. The first public fit takes
// what there is on the day. Sessions deleted since, or no longer fit to be read,
// go out at once, and with them the rest of that water and group where the rule
// does not hold for what is left. A correction of a record, or of the readings
// inside its angler's others, waits for the next that comes in or goes out: a fit
// made anew for it alone would tell what it was. So does one of the water or the
// group, which the rule lets in or keeps out by then.
//
// So what comes in between two public fits is several batches, of none of which
// one angler has over half: nor has any over half of all (a test holds a year
// against it).
//
// It gives the sessions as the fit in force read them, by start. before is what it
// read of those that are joined otherwise by now.
func (f *Fitter) public(ctx context.Context, sessions []fitSession, before map[string]fitSession, out *Fits) ([]fitSession, error) {
	old, held, err := f.latest(ctx, "")
	if err != nil {
		return nil, err
	}
	admitted := map[string]bool{}
	if held {
		admitted = admittedTo(old)
	}
	cutOff := f.cutOff(old, held)
	next := admit(sessions, admitted, cutOff)
	if old.Records != "" && stillRead(old) && maps.Equal(admitted, admit(asRead(slices.Clone(sessions), before), admitted, cutOff)) {
		next = admitted
	}
	read := slices.DeleteFunc(slices.Clone(sessions), func(s fitSession) bool { return !next[s.record.ID] })
	record := describe(model.FitRecord{}, read)
	for _, s := range read {
		record.Admitted = append(record.Admitted, s.record.ID)
	}
	corrected := old.Records != "" && record.Records != old.Records && sameSessions(old.Admitted, record.Admitted)
	if held && (corrected || record.Data == old.Data) && stillRead(old) {
		out.Public = old
		return asRead(read, before), nil
	}
	f.tell("the public fit: %d sessions", len(read))
	if out.Public, err = f.renewOrUpdate(old, held, record, read, out); err != nil {
		return nil, err
	}
	rows, gone := readOtherwise(read, admitted, before), slices.DeleteFunc(old.Admitted, func(id string) bool { return next[id] })
	return read, f.Store.AddPublicFit(ctx, out.Public, rows, gone)
}

// asRead puts what a fit read in place of what is there now, by start.
func asRead(sessions []fitSession, before map[string]fitSession) []fitSession {
	for i, s := range sessions {
		if b, changed := before[s.record.ID]; changed {
			sessions[i] = b
		}
	}
	slices.SortFunc(sessions, fitSession.compare)
	return sessions
}

// readOtherwise are the rows of those sessions that the fit before did not read,
// or not as they are.
func readOtherwise(read []fitSession, admitted map[string]bool, before map[string]fitSession) []model.JoinedSession {
	var rows []model.JoinedSession
	for _, s := range read {
		if _, changed := before[s.record.ID]; changed || !admitted[s.record.ID] {
			rows = append(rows, *s.row)
		}
	}
	return rows
}

// sameSessions says whether two fits read the same sessions, in any order.
func sameSessions(a, b []string) bool {
	return slices.Equal(slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b)))
}

// cutOff is the instant before which sessions must have been entered to come
// in: the start of this month, once only. Zero lets nothing new in.
func (f *Fitter) cutOff(old model.FitRecord, held bool) time.Time {
	now := f.Now().UTC()
	month := time.Date(now.Year(), now.Month(), 1, 0, 0, 0, 0, time.UTC)
	switch {
	case !held || len(old.Admitted) == 0:
		return now.Add(time.Nanosecond)
	case old.MadeAt.Before(month):
		return month
	}
	return time.Time{}
}

// admit are the sessions that the next public fit reads.
func admit(sessions []fitSession, before map[string]bool, cutOff time.Time) map[string]bool {
	// A batch is what stays, or what is new, of a group at a water.
	type batch struct {
		water string
		group model.Group
		stays bool
	}
	batches := map[batch][]fitSession{}
	for _, s := range sessions {
		if stays := before[s.record.ID]; stays || s.entered.Before(cutOff) {
			b := batch{s.record.Water, s.group, stays}
			batches[b] = append(batches[b], s)
		}
	}
	next := map[string]bool{}
	for _, together := range batches {
		if len(model.Withheld(sessionsByAngler(together))) > 0 {
			continue
		}
		for _, s := range together {
			next[s.record.ID] = true
		}
	}
	return next
}

func sessionsByAngler(sessions []fitSession) []int {
	byAngler := map[string]int{}
	for _, s := range sessions {
		byAngler[s.record.Angler]++
	}
	counts := make([]int, 0, len(byAngler))
	for _, n := range byAngler {
		counts = append(counts, n)
	}
	return counts
}
