package jobs

import (
	"context"
	"fmt"
	"time"

	"osier/model"
)

// WeatherChoice is what a water's present weather is made from.
type WeatherChoice struct {
	Stations  []model.StationChoice `json:"stations"`  // in the order in which they are asked for a value
	Forecasts []ForecastChoice      `json:"forecasts"` // in the order in which they give an hour that no station gives
}

// ForecastChoice is the newest issue of one forecast feed.
type ForecastChoice struct {
	Source       string    `json:"source"`
	IssuedAt     time.Time `json:"issued_at"`
	ConfirmedMin float64   `json:"confirmed_min"` // since its feed last gave it or stood by it
	Current      bool      `json:"current"`       // stood by within the last three hours
}

// ChooseWeather says which stored weather serves a water now, and why: every
// known station in reach, and the forecasts of its cell.
func ChooseWeather(ctx context.Context, s Weather, w model.Water, now time.Time) (WeatherChoice, error) {
	choice := WeatherChoice{Stations: []model.StationChoice{}, Forecasts: []ForecastChoice{}}
	stations, err := stationsInReach(ctx, s, w)
	if err != nil {
		return choice, fmt.Errorf("stations near %s: %w", w.ID, err)
	}
	near, observations := model.Near(w, stations), map[string][]model.Observation{}
	for _, n := range near {
		key := model.StationKey(n.Source, n.ID)
		if observations[key], err = s.Observations(ctx, n.Source, n.ID, now.Add(-model.Lately), now); err != nil {
			return choice, fmt.Errorf("reports of %s: %w", key, err)
		}
	}
	choice.Stations = append(choice.Stations, model.ChooseStations(near, observations, now)...)
	lat, lon := cell(w)
	forecasts, err := s.Forecasts(ctx, lat, lon, now, mostIssues)
	if err != nil {
		return choice, fmt.Errorf("forecasts for %s: %w", w.ID, err)
	}
	byPreference(forecasts, now)
	seen := map[string]bool{}
	for _, f := range forecasts {
		if !seen[f.Source] {
			seen[f.Source] = true
			age := now.Sub(f.ConfirmedAt)
			choice.Forecasts = append(choice.Forecasts, ForecastChoice{Source: f.Source, IssuedAt: f.IssuedAt, ConfirmedMin: age.Minutes(), Current: age <= forecastStands})
		}
	}
	return choice, nil
}
