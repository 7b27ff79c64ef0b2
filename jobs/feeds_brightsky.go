package jobs

import (
	"context"
	"time"

	"osier/jobs/feed"
	"osier/jobs/feed/brightsky"
	"osier/model"
)

// askObservationsDE asks for the measurements of yesterday and today around each
// water. The span is that of whole days, so that the address, and what is
// remembered of it, changes once a day.
func askObservationsDE(_ context.Context, _ PullStore, waters []model.Water, now time.Time) ([]request, error) {
	today := now.UTC().Truncate(24 * time.Hour)
	return askCells(germany.within(waters), feed.Request{Want: feed.JSON, MinInterval: hourlyEvery}, func(w model.Water) (string, error) {
		lat, lon := cell(w)
		return brightsky.URL(lat, lon, today.AddDate(0, 0, -1), today.Add(23*time.Hour))
	})
}

// parseObservationsDE takes what stations measured. The forecast that fills the
// rest of the answer is left: it is of a place that may be 50 km off.
func parseObservationsDE(body []byte, _ request, now time.Time) (parsed, error) {
	answer, warnings, err := brightsky.Parse(body)
	if err != nil {
		return parsed{}, err
	}
	p := parsed{warnings: warnings}
	for _, r := range answer.Stations {
		p.stations = append(p.stations, r.Station)
		for _, o := range r.Observations {
			if err := notAhead(o.At, now); err != nil {
				p.warnings = append(p.warnings, "report of "+o.Station+": "+err.Error())
				continue
			}
			p.observations = append(p.observations, o)
		}
	}
	return p, nil
}
