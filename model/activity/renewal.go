package activity

import (
	"fmt"
	"math"
)

// renewalBatches is how often, at most, the sessions since a renewal are
// stopped at to learn from those before: within a batch of many sessions none
// informs the next, alike for both fits. Our choice.
const renewalBatches = 40

// RenewalScores are the mean log scores, the smaller the better, of the
// sessions since the last renewal, by their start, each forecast from earlier
// sessions alone: at the spread in force, and at the one that is to take its
// place. Sessions whose bites were not counted are not scored.
func RenewalScores(inForce, candidate Fit, earlier, since []SessionRecord) (was, now float64, scored int, err error) {
	known := append(make([]SessionRecord, 0, len(earlier)+len(since)), earlier...)
	size := max(1, (len(since)+renewalBatches-1)/renewalBatches)
	for first := 0; first < len(since); first += size {
		batch := since[first:min(first+size, len(since))]
		for _, fit := range []struct {
			from  Fit
			total *float64
		}{{inForce, &was}, {candidate, &now}} {
			from, err := UpdateFit(fit.from, known)
			if err != nil {
				return 0, 0, 0, fmt.Errorf("score a renewal: %w", err)
			}
			score, err := from.logScore(batch)
			if err != nil {
				return 0, 0, 0, fmt.Errorf("score a renewal: %w", err)
			}
			*fit.total += score
		}
		for _, s := range batch {
			if s.Intervals[0].BitesKnown {
				scored++
			}
		}
		known = append(known, batch...)
	}
	if scored == 0 {
		return 0, 0, 0, nil
	}
	return was / float64(scored), now / float64(scored), scored, nil
}

// logScore adds up the log scores of sessions.
func (f Fit) logScore(sessions []SessionRecord) (float64, error) {
	var total float64
	for _, s := range sessions {
		if !s.Intervals[0].BitesKnown {
			continue
		}
		basis, hours, bites, err := f.recordBasis(s)
		if err != nil {
			return 0, err
		}
		prediction, err := basis.Bites(hours)
		if err != nil {
			return 0, fmt.Errorf("session %s: %w", s.ID, err)
		}
		logProbability, ok := prediction.LogProbability(bites)
		if !ok {
			return math.Inf(1), nil
		}
		total -= logProbability
	}
	return total, nil
}

// recordBasis is the forecast of a whole session from its intervals: their mean
// rates added up by the hours, and the doubt of the row that is their mean by
// hours.
func (f Fit) recordBasis(s SessionRecord) (basis ForecastBasis, hours float64, bites int, err error) {
	groups := Setting{s.Water, s.Peg, s.Angler}.groups(f.Count.Factors)
	middle := make([]float64, len(columnTable))
	var expected float64
	for _, interval := range s.Intervals {
		row, _, err := BuildRow(interval.Covariates)
		if err != nil {
			return basis, 0, 0, fmt.Errorf("session %s: %w", s.ID, err)
		}
		mean, _, err := f.Count.Predict(row, groups)
		if err != nil {
			return basis, 0, 0, fmt.Errorf("session %s: %w", s.ID, err)
		}
		hours += interval.RodHours
		bites += interval.Bites
		expected += interval.RodHours * boundedExp(mean)
		for j, v := range row {
			middle[j] += interval.RodHours * v
		}
	}
	for j := range middle {
		middle[j] /= hours
	}
	_, variance, err := f.Count.Predict(middle, groups)
	if err != nil {
		return basis, 0, 0, fmt.Errorf("session %s: %w", s.ID, err)
	}
	return ForecastBasis{LogRateMean: math.Log(expected / hours), LogRateVariance: variance, Alpha: f.Count.Spread.Alpha}, hours, bites, nil
}
