package jobs

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"osier/model"
	"osier/model/activity"
)

// OutlookScoreStore is what scoring outlooks reads, and where the scores are kept.
type OutlookScoreStore interface {
	Clubs(ctx context.Context, after string, limit int) ([]model.Club, error)
	Outlooks(ctx context.Context, club string, state model.OutlookState, before time.Time, beforeID string, limit int) ([]model.KeptOutlook, error)
	Sessions(ctx context.Context, water, angler string, from, to time.Time) ([]model.Session, error)
	OutlookScores(ctx context.Context, club, before string, limit int) (scores []model.KeptOutlookScore, next string, err error)
	PutOutlookScores(ctx context.Context, scores []model.KeptOutlookScore) error
}

// OutlookScorer holds what clubs published against what anglers recorded.
//
// A day is scored against the outlook that was in force as its hours began: one
// published later could know what was biting. The figures of a day, water and
// group, or of a month and water, are shown where the disclosure rule holds for
// the sessions behind them, and for those by which a month differs from its days
// that are shown (statistics pack, section 6). Figures once shown do not change,
// since their change would tell of the session that changed them; where a session
// behind them is deleted they are withdrawn for good.
type OutlookScorer struct {
	Store OutlookScoreStore
	Now   func() time.Time
}

// When figures are given, and how far back a run looks; our choice.
const (
	dayScoredAfter    = 3 * 24 * time.Hour  // records written days late are in by then
	monthScoredAfter  = 14 * 24 * time.Hour // and those that are imported
	outlookScoredBack = 400 * 24 * time.Hour
)

// Why figures are not shown, besides the disclosure rule.
const (
	tooSoon     = "records may still come in"
	toldByMonth = "its month is told instead"
	tellsApart  = "what it differs by from days that are shown"
)

// Run scores every day and month that is over and not told yet, and counts what
// is shown. Running it again changes nothing.
func (s *OutlookScorer) Run(ctx context.Context) (map[string]int, error) {
	clubs, err := allClubs(ctx, s.Store)
	if err != nil {
		return nil, err
	}
	counts := map[string]int{"clubs": len(clubs)}
	for _, c := range clubs {
		scores, err := s.club(ctx, c)
		if err != nil {
			return counts, fmt.Errorf("score the outlooks of %s: %w", c.ID, err)
		}
		if err := s.Store.PutOutlookScores(ctx, scores); err != nil {
			return counts, err
		}
		for _, one := range scores {
			counts["scored"]++
			if one.Expected.Known {
				counts["shown"]++
			}
		}
	}
	return counts, nil
}

// toldDay is one water on one day as it was in force when its hours began.
type toldDay struct {
	outlook, club, water, date string
	zone                       *time.Location
	from, until                time.Time
	basis                      map[model.Group]model.OutlookBasis
	demo                       bool
}

// fished is a session against what was published for its day.
type fished struct {
	id, angler string
	date       string
	rodHours   float64
	bites      int
	mean       float64
	inside     bool
}

// club scores the days and months of one club's waters.
func (s *OutlookScorer) club(ctx context.Context, c model.Club) ([]model.KeptOutlookScore, error) {
	days, err := s.toldDays(ctx, c.ID)
	if err != nil {
		return nil, err
	}
	before, err := s.scoredBefore(ctx, c.ID)
	if err != nil {
		return nil, err
	}
	var scores []model.KeptOutlookScore
	for _, water := range watersOf(days) {
		of := slices.DeleteFunc(slices.Clone(days), func(d toldDay) bool { return d.water != water })
		sessions, err := s.Store.Sessions(ctx, water, "", of[0].from.Add(-24*time.Hour), s.Now())
		if err != nil {
			return nil, err
		}
		made, err := s.water(of, sessions, before)
		if err != nil {
			return nil, err
		}
		scores = append(scores, made...)
	}
	return scores, nil
}

func watersOf(days []toldDay) []string {
	var waters []string
	for _, d := range days {
		if !slices.Contains(waters, d.water) {
			waters = append(waters, d.water)
		}
	}
	return waters
}

// toldDays are the waters and days that are over, each as it was in force when its
// hours began, in order of time.
func (s *OutlookScorer) toldDays(ctx context.Context, club string) ([]toldDay, error) {
	const page = 50
	latest := map[string]toldDay{}
	published := map[string]time.Time{}
	oldest := s.Now().Add(-outlookScoredBack)
	oldestMonth := oldest.Format("2006-01") // whole months only: their figures stand on all their days
	var before time.Time
	for id := ""; ; {
		found, err := s.Store.Outlooks(ctx, club, model.OutlookPublished, before, id, page)
		if err != nil {
			return nil, err
		}
		for _, k := range found {
			for key, d := range toldBy(k, s.Now()) {
				if d.date < oldestMonth {
					continue
				}
				if at, known := published[key]; !known || k.Publish.At.After(at) {
					latest[key], published[key] = d, k.Publish.At
				}
			}
		}
		if len(found) < page || found[page-1].Publish.At.Before(oldest.AddDate(0, -2, 0)) {
			break
		}
		before, id = found[page-1].Publish.At, found[page-1].ID
	}
	var days []toldDay
	for _, d := range latest {
		days = append(days, d)
	}
	slices.SortFunc(days, func(a, b toldDay) int { return strings.Compare(a.date+a.water, b.date+b.water) })
	return days, nil
}

// toldBy are the days of one outlook that are over and for which it was published
// before their hours began.
func toldBy(k model.KeptOutlook, now time.Time) map[string]toldDay {
	out := map[string]toldDay{}
	for _, w := range k.Waters {
		zone, err := model.Water{Zone: w.Zone}.Location()
		if err != nil {
			continue
		}
		for _, d := range w.Days {
			if !k.Publish.At.Before(d.From) || d.Until.After(now) {
				continue
			}
			told := toldDay{
				outlook: k.ID, club: k.Club, water: w.Water, date: d.Date, zone: zone, from: d.From, until: d.Until,
				basis: map[model.Group]model.OutlookBasis{}, demo: k.Demo,
			}
			for _, b := range k.Basis {
				if b.Water == w.Water && b.Date == d.Date {
					told.basis[b.Group] = b
				}
			}
			out[w.Water+" "+d.Date] = told
		}
	}
	return out
}

func (s *OutlookScorer) scoredBefore(ctx context.Context, club string) (map[string]model.KeptOutlookScore, error) {
	const page = 500
	out := map[string]model.KeptOutlookScore{}
	for before := ""; ; {
		scores, next, err := s.Store.OutlookScores(ctx, club, before, page)
		if err != nil {
			return nil, err
		}
		for _, one := range scores {
			out[cellKey(one.Water, one.Date, one.Group)] = one
		}
		if len(scores) < page {
			return out, nil
		}
		before = next
	}
}

func cellKey(water, date string, g model.Group) string { return water + " " + date + " " + string(g) }

// fishedOn are the sessions of a group that were fished on a day and counted their
// bites, held against what was published.
func fishedOn(d toldDay, g model.Group, sessions []model.Session) ([]fished, error) {
	told, known := d.basis[g]
	if !known {
		return nil, nil
	}
	var out []fished
	for _, one := range sessions {
		bites := bitesOf(one)
		if one.Group != g || one.Start.In(d.zone).Format(time.DateOnly) != d.date || one.Excluded("") || !bites.Known || !(one.RodHours() > 0) {
			continue
		}
		score, err := activity.ForecastBasis(told.Basis).Score(one.RodHours(), bites.Value)
		if err != nil {
			return nil, err
		}
		out = append(out, fished{id: one.ID, angler: one.Angler, date: d.date, rodHours: one.RodHours(), bites: bites.Value, mean: told.Mean, inside: score.Cover90})
	}
	return out, nil
}
