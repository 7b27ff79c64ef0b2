package jobs

import (
	"context"
	"fmt"
	"math"
	"time"

	"osier/model"
	"osier/model/plan"
)

// Weather is what the stages need of stored weather.
type Weather interface {
	StationsWithin(ctx context.Context, latLow, latHigh, lonLow, lonHigh float64) ([]model.Station, error)
	Observations(ctx context.Context, source, station string, from, to time.Time) ([]model.Observation, error)
	Forecasts(ctx context.Context, latDeg, lonDeg float64, at time.Time, limit int) ([]model.Forecast, error)
}

// How much weather is read for one answer; all our choice.
const (
	// runIn is how far before the hours asked for weather is read: twenty days
	// remove the guess at the water's start (reference pack, water-and-fish
	// 2.1), and as many again ride out gaps.
	runIn = 40 * 24 * time.Hour
	// mostStations bounds how many stations are read; the best come first, and
	// the weight of those after the sixth is next to nothing.
	mostStations = 6
	// mostIssues is how many issues of a forecast are read: the newest may not
	// reach back to an hour that an older one covers.
	mostIssues = 4
)

// loaded is the weather at a water as it is known at one instant, with the
// water temperature it makes.
type loaded struct {
	history *plan.History
	hours   []model.WeatherHour
	credits []string
}

// loadWeather reads the weather near a water and makes its hourly series over
// the span, with the run-in before it.
func loadWeather(ctx context.Context, s Weather, w model.Water, from, to, now time.Time) (loaded, error) {
	begin := from.Add(-runIn)
	sources, err := readSources(ctx, s, w, begin, to, now)
	if err != nil {
		return loaded{}, fmt.Errorf("weather at %s: %w", w.ID, err)
	}
	hours := model.WeatherAt(sources, begin, to, now)
	history, err := plan.NewHistory(w, hours, now)
	if err != nil {
		return loaded{}, err
	}
	return loaded{history: history, hours: hours, credits: credits(hours)}, nil
}

func readSources(ctx context.Context, s Weather, w model.Water, from, to, now time.Time) (model.Sources, error) {
	sources := model.Sources{Observations: map[string][]model.Observation{}}
	lat, lon := w.ReachDegrees()
	stations, err := s.StationsWithin(ctx, w.LatDeg-lat, w.LatDeg+lat, w.LonDeg-lon, w.LonDeg+lon)
	if err != nil {
		return sources, err
	}
	// A day more on either side lets the first and last hours be drawn between
	// reports.
	from, to = from.Add(-24*time.Hour), to.Add(24*time.Hour)
	if to.After(now) {
		to = now
	}
	for _, near := range model.Near(w, stations) {
		if len(sources.Near) == mostStations {
			break
		}
		observations, err := s.Observations(ctx, near.Source, near.ID, from, to)
		if err != nil {
			return sources, err
		}
		if len(observations) > 0 {
			sources.Near = append(sources.Near, near)
			sources.Observations[model.StationKey(near.Source, near.ID)] = observations
		}
	}
	cellLat, cellLon := cell(w)
	sources.Forecasts, err = s.Forecasts(ctx, cellLat, cellLon, now, mostIssues)
	return sources, err
}

// cell is the place a forecast is asked for: the water's position to two
// decimals, about a kilometre, so that waters side by side share one request.
// Feeds ask for at most four. Our choice.
func cell(w model.Water) (latDeg, lonDeg float64) {
	return math.Round(w.LatDeg*100) / 100, math.Round(w.LonDeg*100) / 100
}

// credits lists what the licences of the feeds in use ask to be said.
func credits(hours []model.WeatherHour) []string {
	var out []string
	for _, f := range allFeeds() {
		for _, h := range hours {
			if h.AirC.From.Source == f.name || h.WindMps.From.Source == f.name {
				out = append(out, f.credit)
				break
			}
		}
	}
	return out
}
