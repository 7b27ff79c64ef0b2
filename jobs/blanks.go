package jobs

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"time"

	"osier/model"
	"osier/model/activity"
)

// BlankStore is what the check for missing blanks reads.
type BlankStore interface {
	Joined(ctx context.Context) ([]model.JoinedSession, error)
	LatestFit(ctx context.Context, angler string, at time.Time) (model.FitRecord, error)
	Sessions(ctx context.Context, water, angler string, from, to time.Time) ([]model.Session, error)
}

// AnglerBlanks is an angler who seems not to write down blanks. It is for
// whoever keeps the records, and no public answer holds it.
type AnglerBlanks struct {
	Angler   string  `json:"angler"`
	Expected float64 `json:"expected_blank_share"` // of their sessions, by everybody else's
	Text     string  `json:"text"`
}

// MissingBlanks holds each angler's records against the share of blanks that
// everybody else's make one expect of the same days and hours: blanks that nobody
// writes down teach every fit that there are none (statistics pack 5, and 10 trap
// 18), and an angler's own would hide that theirs are missing.
func MissingBlanks(ctx context.Context, s BlankStore, now time.Time) ([]AnglerBlanks, error) {
	fit, err := fitInForce(ctx, s, "", now)
	if err != nil {
		return nil, err
	}
	joined, err := s.Joined(ctx)
	if err != nil {
		return nil, err
	}
	sessions, err := fitSessions(joined)
	if err != nil {
		return nil, err
	}
	out := []AnglerBlanks{}
	for _, angler := range anglersOf(joined) {
		expected, err := expectedBlanks(angler, joined, sessions, fit.fits)
		if err != nil {
			return nil, fmt.Errorf("blanks to be expected of %s: %w", angler, err)
		}
		own, err := s.Sessions(ctx, "", angler, time.Unix(0, 0), now)
		if err != nil {
			return nil, err
		}
		if missing, text := model.MissingBlanks(own, expected); missing {
			out = append(out, AnglerBlanks{Angler: angler, Expected: expected, Text: text})
		}
	}
	return out, nil
}

func anglersOf(joined []model.JoinedSession) []string {
	anglers := map[string]bool{}
	for _, j := range joined {
		anglers[j.Angler] = true
	}
	return slices.Sorted(maps.Keys(anglers))
}

// expectedBlanks is the mean chance of no fish in an angler's sessions, by the
// records of all others at the spread of the fit in force; 0 where none of theirs
// can be forecast.
func expectedBlanks(angler string, joined []model.JoinedSession, sessions []fitSession, inForce groupFits) (float64, error) {
	others := slices.DeleteFunc(slices.Clone(sessions), func(s fitSession) bool { return s.record.Angler == angler })
	fits := groupFits{}
	sum, n := 0.0, 0
	for _, j := range joined {
		if j.Angler != angler || !j.Use || !j.Fish.Known {
			continue
		}
		if _, made := fits[j.Group]; !made {
			fit, err := activity.UpdateFit(inForce[j.Group], ofGroup(others, j.Group))
			if err != nil {
				return 0, err
			}
			fits[j.Group] = fit
		}
		chance, err := blankChance(j, fits[j.Group])
		if err != nil {
			return 0, fmt.Errorf("session %s: %w", j.Session, err)
		}
		sum, n = sum+chance, n+1
	}
	if n == 0 {
		return 0, nil
	}
	return sum / float64(n), nil
}

// blankChance is the chance that anybody would have had no fish.
func blankChance(j model.JoinedSession, fit activity.Fit) (float64, error) {
	j.Intervals = nil
	record, err := sessionRecord(j)
	if err != nil {
		return 0, err
	}
	forecast, err := fit.Forecast(record.Intervals[0].Covariates, activity.Setting{Water: j.Water}, j.RodHours)
	return forecast.BlankProbability, err
}
