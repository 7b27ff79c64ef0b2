package jobs

import (
	"fmt"
	"time"

	"osier/model"
	"osier/model/activity"
)

// When a fit's spread is looked for anew (statistics pack 1.4), and when the
// new one takes effect (design, section 5 rule 5).
const (
	renewalAge           = 7 * 24 * time.Hour
	renewalGrowthPercent = 10
	// fewSessions is how many sessions since the last renewal it takes to hold
	// the two against each other; with fewer the spread is renewed unseen.
	fewSessions = 30
	// worseScore is how much worse the mean log score may become.
	worseScore = 0.01
)

// renewOrUpdate fits the sessions read. New sessions under the same spread take
// effect at once; a new spread does where a renewal is due and forecasts no
// worse.
func (f *Fitter) renewOrUpdate(old model.FitRecord, held bool, record model.FitRecord, read []fitSession, out *Fits) (model.FitRecord, error) {
	read = withoutLonePegs(withEffort(read), record.Angler)
	before, ok := groupFits(nil), false
	if held {
		before, ok = readFits(old)
	}
	due := !ok || !f.Now().Before(old.RenewedAt.Add(renewalAge)) || 100*len(read) >= (100+renewalGrowthPercent)*old.RenewedSessions
	fits, turnedDown := groupFits{}, 0
	for _, g := range model.Groups() {
		fit, kept, err := fitGroup(g, before, ok, due, read, old.RenewedAt)
		if err != nil {
			return record, err
		}
		if kept {
			turnedDown++
		}
		fits[g] = fit
	}
	// A renewal that was turned down in part is tried again with the next
	// sessions, over all of those since the last that took effect.
	record.RenewedAt, record.RenewedSessions = old.RenewedAt, old.RenewedSessions
	if due && turnedDown == 0 {
		record.RenewedAt, record.RenewedSessions = f.Now(), len(read)
	}
	out.Made++
	out.Kept += turnedDown
	return f.made(record, fits)
}

// fitGroup fits one group; kept says that a renewal was turned down.
func fitGroup(g model.Group, before groupFits, ok, due bool, read []fitSession, renewed time.Time) (fit activity.Fit, kept bool, err error) {
	sessions := ofGroup(read, g)
	if !ok || due || before[g].Sessions == 0 || len(sessions) == 0 {
		if fit, err = activity.FitRecords(string(g), sessions); err != nil || !ok || before[g].Sessions == 0 {
			return fit, false, err
		}
		worse, err := forecastsWorse(before[g], fit, read, g, renewed)
		if err != nil || !worse {
			return fit, false, err
		}
		kept = true
	}
	fit, err = activity.UpdateFit(before[g], sessions)
	return fit, kept, err
}

// forecastsWorse holds two spreads against each other over the sessions entered
// since the last renewal.
func forecastsWorse(inForce, candidate activity.Fit, read []fitSession, g model.Group, renewed time.Time) (bool, error) {
	var earlier, since []activity.SessionRecord
	for _, s := range read {
		switch {
		case s.group != g:
		case s.entered.After(renewed):
			since = append(since, s.record)
		default:
			earlier = append(earlier, s.record)
		}
	}
	if len(since) < fewSessions {
		return false, nil
	}
	was, now, scored, err := activity.RenewalScores(inForce, candidate, earlier, since)
	if err != nil {
		return false, fmt.Errorf("hold the new fit of %s against the one in force: %w", g, err)
	}
	return scored >= fewSessions && now > was+worseScore, nil
}
