package jobs

import (
	"maps"
	"slices"

	"osier/model"
	"osier/model/activity"
)

// trackMonths sets, month by month, what the plans expected against what came.
func trackMonths(byMonth map[string][]model.Score) ([]model.TrackMonth, error) {
	out := []model.TrackMonth{}
	for _, month := range slices.Sorted(maps.Keys(byMonth)) {
		scores := byMonth[month]
		e := activity.EvaluateMonth(month, scoredForecasts(scores))
		m := model.TrackMonth{
			Month: month, Sessions: e.Sessions, NoFish: e.NoFish,
			LogScore: maybe(e.LogScore), CRPS: maybe(e.CRPS), Cover90: maybe(e.Cover90),
		}
		for _, s := range scores {
			m.Bites += s.Bites
		}
		var err error
		if m.Expected, err = expectedBites(scores); err != nil {
			return nil, err
		}
		out = append(out, m)
	}
	return out, nil
}

// expectedBites are those of all the plans together; nil where one of them is of
// before its basis was kept with the score.
func expectedBites(scores []model.Score) (*model.ExpectedBites, error) {
	forecasts := make([]activity.FishedForecast, len(scores))
	for i, s := range scores {
		if s.Basis == (model.ForecastBasis{}) {
			return nil, nil
		}
		forecasts[i] = activity.FishedForecast{Basis: activity.ForecastBasis(s.Basis), RodHours: s.RodHours}
	}
	sum, err := activity.SumForecasts(forecasts)
	if err != nil {
		return nil, err
	}
	expected := model.ExpectedBites(sum)
	return &expected, nil
}
