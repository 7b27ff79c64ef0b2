package jobs

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"osier/model"
)

// disclosedOnly is said by every public track record.
const disclosedOnly = "A session counts here from the month after it was scored, and only once at least 5 anglers have 10 or more scored sessions of that group at that water waiting together, none of them with over half of the sessions or of the bites: fewer would tell what one of them did. Until then it waits for those of the months after."

// thisMonth is why the sessions of a month that goes on wait.
const thisMonth = "the month is not over"

// disclose parts scores into those a public record may tell of, by the month by
// whose end they could be, and the rest (statistics pack 6).
//
// Sessions come in by water and group, a month's together, where the rule of
// disclosure holds for them alone; the others wait for the next month's. So
// every figure told, of one month or all, one water or all, one group or all, is
// a sum over batches that may each be told of, and so is any difference between
// two of them, or between two versions of one: no margin gives away what was
// withheld, and no second figure need be withheld for it.
func disclose(scores []model.Score, now time.Time) (map[string][]model.Score, *model.TrackWaiting) {
	type cell struct {
		water string
		group model.Group
	}
	cells := map[cell]map[string][]model.Score{}
	for _, s := range scores {
		at := cell{s.Water, s.Group}
		if cells[at] == nil {
			cells[at] = map[string][]model.Score{}
		}
		month := monthOf(firstScored(s))
		cells[at][month] = append(cells[at][month], s)
	}
	told := map[string][]model.Score{}
	waiting, reasons := 0, map[string]bool{}
	for _, months := range cells {
		batch := []model.Score(nil)
		for _, month := range slices.Sorted(maps.Keys(months)) {
			if month >= monthOf(now) {
				waiting += len(months[month])
				reasons[thisMonth] = true
				continue
			}
			batch = append(batch, months[month]...)
			if len(withheld(batch)) == 0 {
				told[month], batch = append(told[month], batch...), nil
			}
		}
		waiting += len(batch)
		if len(batch) > 0 {
			for _, why := range withheld(batch) {
				reasons[why] = true
			}
		}
	}
	for _, batch := range told {
		slices.SortFunc(batch, func(a, b model.Score) int {
			return cmp.Or(a.Start.Compare(b.Start), cmp.Compare(a.Session, b.Session))
		})
	}
	if waiting == 0 {
		return told, nil
	}
	return told, &model.TrackWaiting{Sessions: model.CountBand(waiting), Why: slices.Sorted(maps.Keys(reasons))}
}

func monthOf(t time.Time) string { return t.UTC().Format("2006-01") }

// withheld says why scores may not be told of together: both their number and
// their bites are told.
func withheld(scores []model.Score) []string {
	bites := map[string]int{}
	for _, s := range scores {
		bites[s.Angler] += s.Bites
	}
	return append(model.Withheld(scoresByAngler(scores)), model.Dominated(slices.Collect(maps.Values(bites)))...)
}

func scoresByAngler(scores []model.Score) []int {
	byAngler := map[string]int{}
	for _, s := range scores {
		byAngler[s.Angler]++
	}
	return slices.Collect(maps.Values(byAngler))
}
