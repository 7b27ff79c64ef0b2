package jobs

import (
	"maps"
	"math"
	"slices"
	"time"

	"osier/model"
)

// water scores the days of one water, and its months with all groups together.
func (s *OutlookScorer) water(days []toldDay, sessions []model.Session, before map[string]model.KeptOutlookScore) ([]model.KeptOutlookScore, error) {
	var scores []model.KeptOutlookScore
	months := map[string][]fished{}
	shown := map[string][]fished{} // by month: what its days tell
	for _, d := range days {
		month := d.date[:len("2026-11")]
		was := before[cellKey(d.water, month, "")]
		monthTold := was.Expected.Known || slices.Contains(was.Withheld, model.SessionDeleted) // once told, always told
		for _, g := range model.Groups() {
			if _, expected := d.basis[g]; !expected {
				continue
			}
			cell, err := fishedOn(d, g, sessions)
			if err != nil {
				return nil, err
			}
			months[month] = append(months[month], cell...)
			score := model.OutlookScore{Club: d.club, Outlook: d.outlook, Water: d.water, Date: d.date, Group: g, Demo: d.demo}
			why := whyWithheld(cell)
			switch {
			case monthTold:
				why = append(why, toldByMonth)
			case s.Now().Before(d.until.Add(dayScoredAfter)):
				why = append(why, tooSoon)
			}
			kept := s.cell(score, cell, why, sessions, before)
			if kept.Expected.Known {
				shown[month] = append(shown[month], only(cell, kept.Behind)...)
			}
			scores = append(scores, kept)
		}
	}
	return append(scores, s.months(days, months, shown, sessions, before)...), nil
}

// months scores the calendar months that are over. A month whose total differs
// from that of its days which are shown by too few sessions, or by too few
// people's, is not told.
func (s *OutlookScorer) months(days []toldDay, months, shown map[string][]fished, sessions []model.Session, before map[string]model.KeptOutlookScore) []model.KeptOutlookScore {
	var scores []model.KeptOutlookScore
	done := map[string]bool{}
	for _, d := range days {
		month := d.date[:len("2026-11")]
		if done[month] || s.Now().Before(monthEnd(d).Add(monthScoredAfter)) {
			continue
		}
		done[month] = true
		cell := months[month]
		why := whyWithheld(cell)
		rest := slices.DeleteFunc(slices.Clone(cell), func(f fished) bool {
			return slices.ContainsFunc(shown[month], func(told fished) bool { return told.id == f.id })
		})
		if len(rest) > 0 && len(whyWithheld(rest)) > 0 && len(rest) < len(cell) {
			why = append(why, tellsApart)
		}
		score := model.OutlookScore{Club: d.club, Water: d.water, Date: month, Demo: d.demo}
		scores = append(scores, s.cell(score, cell, why, sessions, before))
	}
	return scores
}

func monthEnd(d toldDay) time.Time {
	at := d.from.In(d.zone)
	return time.Date(at.Year(), at.Month()+1, 1, 0, 0, 0, 0, d.zone)
}

// cell is the score of one cell: as it was told before, or withdrawn, or told now,
// or withheld with the reasons.
func (s *OutlookScorer) cell(score model.OutlookScore, cell []fished, why []string, sessions []model.Session, before map[string]model.KeptOutlookScore) model.KeptOutlookScore {
	was, told := before[cellKey(score.Water, score.Date, score.Group)], false
	if slices.Contains(was.Withheld, model.SessionDeleted) {
		return was
	}
	if was, told = shownBefore(before, score.Water, score.Date, score.Group); told {
		if allKept(was.Behind, sessions) {
			return was
		}
		return was.Withdrawn()
	}
	score.Sessions, score.Withheld, score.ScoredAt = model.CountBand(len(cell)), why, s.Now()
	if was := before[cellKey(score.Water, score.Date, score.Group)]; was.Sessions == score.Sessions && slices.Equal(was.Withheld, why) {
		score.ScoredAt = was.ScoredAt // nothing new is said
	}
	kept := model.KeptOutlookScore{OutlookScore: score}
	if len(why) > 0 {
		return kept
	}
	hours, bites, expected, inside := 0.0, 0, 0.0, 0
	for _, f := range cell {
		hours, bites, expected = hours+f.rodHours, bites+f.bites, expected+f.mean*f.rodHours
		if f.inside {
			inside++
		}
		kept.Behind = append(kept.Behind, f.id)
	}
	half := func(v float64) model.Maybe[float64] { return model.Known(math.Round(2*v) / 2) }
	kept.Expected, kept.Observed = half(expected/hours), half(float64(bites)/hours)
	kept.Inside90 = model.Known(math.Round(10*float64(inside)/float64(len(cell))) / 10)
	return kept
}

func shownBefore(before map[string]model.KeptOutlookScore, water, date string, g model.Group) (model.KeptOutlookScore, bool) {
	was, found := before[cellKey(water, date, g)]
	return was, found && was.Expected.Known
}

// allKept says whether every session behind a figure is still on record.
func allKept(behind []string, sessions []model.Session) bool {
	kept := map[string]bool{}
	for _, one := range sessions {
		kept[one.ID] = true
	}
	return !slices.ContainsFunc(behind, func(id string) bool { return !kept[id] })
}

func byAngler(cell []fished) []int {
	counts := map[string]int{}
	for _, f := range cell {
		counts[f.angler]++
	}
	out := make([]int, 0, len(counts))
	for _, n := range counts {
		out = append(out, n)
	}
	return out
}

func only(cell []fished, ids []string) []fished {
	return slices.DeleteFunc(slices.Clone(cell), func(f fished) bool { return !slices.Contains(ids, f.id) })
}

// whyWithheld says why a cell may not be told of: both its number of sessions and
// its bites tell of who fished.
func whyWithheld(cell []fished) []string {
	bites := map[string]int{}
	for _, f := range cell {
		bites[f.angler] += f.bites
	}
	why := model.Withheld(byAngler(cell))
	for _, reason := range model.Dominated(slices.Collect(maps.Values(bites))) {
		if !slices.Contains(why, reason) {
			why = append(why, reason)
		}
	}
	return why
}
