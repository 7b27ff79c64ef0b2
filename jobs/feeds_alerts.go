package jobs

import (
	"context"
	"fmt"
	"time"

	"osier/jobs/feed"
	"osier/jobs/feed/brightsky"
	"osier/jobs/feed/nws"
	"osier/model"
)

// askAlerts asks for the warnings of each cell.
func askAlerts(waters []model.Water, address func(latDeg, lonDeg float64) (string, error)) ([]request, error) {
	return askCells(waters, feed.Request{Want: feed.JSON, MinInterval: alertsEvery}, func(w model.Water) (string, error) { return address(cell(w)) })
}

// askAlertsUS asks only where the service has told its stations, and so serves:
// across the border it might answer that nothing is in force, and mean nothing by
// it.
func askAlertsUS(ctx context.Context, s PullStore, waters []model.Water, _ time.Time) ([]request, error) {
	var served []model.Water
	for _, w := range unitedStates.within(waters) {
		url, err := nws.StationsURL(cell(w))
		if err != nil {
			return nil, fmt.Errorf("warnings for %s: %w", w.ID, err)
		}
		stations, err := remembered(ctx, s, url)
		if err != nil {
			return nil, err
		}
		if !stations.FetchedAt.IsZero() {
			served = append(served, w)
		}
	}
	return askAlerts(served, nws.AlertsURL)
}

// askAlertsDE asks around Germany too: an answer without a municipality is
// refused.
func askAlertsDE(_ context.Context, _ PullStore, waters []model.Water, _ time.Time) ([]request, error) {
	return askAlerts(germany.within(waters), brightsky.AlertsURL)
}

func parseAlertsUS(body []byte, r request, now time.Time) (parsed, error) {
	official, warnings, err := nws.ParseAlerts(body)
	return alertsFor(nws.AlertSource, r, now, official, warnings, err)
}

func parseAlertsDE(body []byte, r request, now time.Time) (parsed, error) {
	official, warnings, err := brightsky.ParseAlerts(body)
	return alertsFor(brightsky.AlertSource, r, now, official, warnings, err)
}

// alertsFor puts warnings at the cell asked for.
func alertsFor(source string, r request, now time.Time, official []model.OfficialWarning, warnings []string, err error) (parsed, error) {
	if err != nil {
		return parsed{}, err
	}
	return parsed{official: &model.WarningsAnswer{Source: source, LatDeg: r.lat, LonDeg: r.lon, AskedAt: now, Warnings: official}, warnings: warnings}, nil
}

// OfficialWarnings finds what the feeds of official warnings last answered.
type OfficialWarnings interface {
	Warnings(ctx context.Context, latDeg, lonDeg float64) ([]model.WarningsAnswer, error)
}

// official is what is known of official warnings at a water.
type official struct {
	warnings []model.OfficialWarning
	known    bool // that there are no others
	credits  []string
}

// officialWarnings gives the warnings at a water. Those of a feed that has not
// answered lately are given all the same, for missing data clears nothing.
func officialWarnings(ctx context.Context, s OfficialWarnings, w model.Water, now time.Time) (official, error) {
	var o official
	lat, lon := cell(w)
	answers, err := s.Warnings(ctx, lat, lon)
	if err != nil {
		return o, fmt.Errorf("official warnings at %s: %w", w.ID, err)
	}
	for _, a := range answers {
		o.warnings = append(o.warnings, a.Warnings...)
		o.known = o.known || a.Stands(now)
		for _, f := range feeds() {
			if f.name == a.Source {
				o.credits = append(o.credits, f.credit)
			}
		}
	}
	return o, nil
}
