package jobs

import (
	"context"
	"fmt"
	"time"

	"osier/jobs/feed"
	"osier/jobs/feed/nws"
	"osier/model"
)

const (
	// stationsUS is how many stations are asked for a water: one to go by and
	// two to fall back on. Our choice.
	stationsUS = 3
	// newestUS is how many observations are asked of a station: two days of
	// hourly reports, or four hours of reports every five minutes, so that a
	// pull missed for some hours loses nothing. Our choice.
	newestUS = 50
)

// askStationsUS asks for the list of stations near each water, once a week.
func askStationsUS(_ context.Context, _ PullStore, waters []model.Water, _ time.Time) ([]request, error) {
	return askCells(unitedStates.within(waters), feed.Request{Want: feed.JSON, MinInterval: stationsEvery}, func(w model.Water) (string, error) {
		return nws.StationsURL(cell(w))
	})
}

func parseStationsUS(body []byte, _ request, _ time.Time) (parsed, error) {
	stations, warnings, err := nws.ParseStations(body)
	return parsed{stations: stations, warnings: warnings}, err
}

// askObservationsUS asks the best of the stations that the lists gave; waters
// near each other share them.
func askObservationsUS(ctx context.Context, s PullStore, waters []model.Water, _ time.Time) ([]request, error) {
	var out []request
	seen := map[string]bool{}
	for _, w := range unitedStates.within(waters) {
		near, err := bestStations(ctx, s, w, nws.Source, stationsUS)
		if err != nil {
			return out, err
		}
		for _, n := range near {
			if seen[n.ID] {
				continue
			}
			seen[n.ID] = true
			url, err := nws.ObservationsURL(n.ID, newestUS)
			if err != nil {
				return out, fmt.Errorf("station near %s: %w", w.ID, err)
			}
			out = append(out, request{Request: feed.Request{URL: url, Want: feed.JSON, MinInterval: reportsEvery}})
		}
	}
	return out, nil
}

// bestStations gives the best stations of one feed for a water, by its wishes
// and then by distance and height.
func bestStations(ctx context.Context, s Stations, w model.Water, source string, most int) ([]model.NearStation, error) {
	stations, err := stationsInReach(ctx, s, w)
	if err != nil {
		return nil, err
	}
	var out []model.NearStation
	for _, c := range model.ChooseStations(model.Near(w, stations), nil, time.Time{}) {
		if c.Source == source && !c.Avoided && len(out) < most {
			out = append(out, c.NearStation)
		}
	}
	return out, nil
}

// parseObservationsUS prefers the raw report of an observation, since gusts and
// thunder are lost on the way into the JSON (weather pack, section 8a).
func parseObservationsUS(body []byte, _ request, now time.Time) (parsed, error) {
	reports, warnings, err := nws.Parse(body)
	if err != nil {
		return parsed{}, err
	}
	p := parsed{warnings: warnings}
	for _, r := range reports {
		o := r.Observation
		if err := notAhead(o.At, now); err != nil {
			p.warnings = append(p.warnings, fmt.Sprintf("report of %s: %v", o.Station, err))
			continue
		}
		if o.Raw != "" {
			raw, err := decodeReport(o.Raw, o.At, nws.Source)
			if err == nil {
				o, err = r.Prefer(raw)
			}
			if err != nil {
				p.warnings = append(p.warnings, fmt.Sprintf("raw report of %s: %v", o.Station, err))
			}
		}
		p.stations = append(p.stations, r.Station)
		p.observations = append(p.observations, o)
	}
	return p, nil
}
