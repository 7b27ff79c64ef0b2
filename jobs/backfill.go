package jobs

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"time"

	"osier/jobs/feed"
	"osier/jobs/feed/isd"
	"osier/model"
)

// backfillStations is how many archive stations are fetched for a water: the
// best three by distance and height. Our choice.
const backfillStations = 3

// Backfill fetches past weather of the waters from the station archive: the
// list of stations, then the station-years that cover the span. It can be
// broken off and run again; what was fetched is not fetched twice within a day.
func (p *Puller) Backfill(ctx context.Context, waters []model.Water, from, to time.Time) (map[string]int, error) {
	counts := map[string]int{"requests": 0, "observations": 0, "warnings": 0}
	stations, err := p.archiveStations(ctx, counts)
	if err != nil {
		return counts, fmt.Errorf("pull %s: %w", isd.Source, err)
	}
	years, err := stationYears(stations, waters, from, to)
	if err != nil {
		return counts, err
	}
	if len(years) == 0 {
		return counts, model.NotFoundf("archive", "records of that time are kept and marked 'no weather'", "no archive station within reach of a water covers %s to %s", from.Format(time.DateOnly), to.Format(time.DateOnly))
	}
	var faults []error
	for i, y := range years {
		r := request{Request: feed.Request{URL: y.url, Want: feed.File, MinInterval: archiveEvery}}
		if _, err := p.one(ctx, r, waters, counts, y.parse); err != nil {
			faults = append(faults, fmt.Errorf("pull %s: %w", isd.Source, err))
		}
		if p.Progress != nil {
			p.Progress(i+1, len(years))
		}
	}
	return counts, errors.Join(faults...)
}

// archiveStations fetches the list of stations. It is read anew each time, as
// nothing of it is stored.
func (p *Puller) archiveStations(ctx context.Context, counts map[string]int) ([]isd.ArchiveStation, error) {
	result, _ := p.Client.Get(ctx, feed.Request{URL: isd.StationsURL, Want: feed.File, MinInterval: archiveEvery}, feed.State{})
	if result.Asked {
		counts["requests"]++
	}
	if result.Kind != feed.Fresh {
		return nil, result.Err
	}
	stations, warnings, err := isd.ParseStations(bytes.NewReader(result.Body))
	counts["warnings"] += len(warnings)
	return stations, err
}

// stationYear is one file of the archive.
type stationYear struct {
	url     string
	station model.Station
}

// stationYears lists the files that cover a span for the waters, each once.
func stationYears(stations []isd.ArchiveStation, waters []model.Water, from, to time.Time) ([]stationYear, error) {
	covering := map[string]isd.ArchiveStation{}
	var all []model.Station
	for _, s := range stations {
		if !s.End.Before(from.Truncate(24*time.Hour)) && !s.Begin.After(to) {
			covering[s.ID] = s
			all = append(all, s.Station)
		}
	}
	var out []stationYear
	seen := map[string]bool{}
	for _, w := range waters {
		near := model.Near(w, all)
		for _, n := range near[:min(backfillStations, len(near))] {
			for year := from.UTC().Year(); year <= to.UTC().Year(); year++ {
				url, err := isd.URL(n.ID, year)
				if err != nil {
					return nil, fmt.Errorf("archive station near %s: %w", w.ID, err)
				}
				if !seen[url] {
					seen[url] = true
					out = append(out, stationYear{url: url, station: covering[n.ID].Station})
				}
			}
		}
	}
	return out, nil
}

// parse reads the whole year, not only the span asked for: the file is not
// fetched again for another part of it. The list's position stands, as the file
// may give none.
func (y stationYear) parse(body []byte) (parsed, error) {
	station, observations, warnings, err := isd.Parse(bytes.NewReader(body))
	if err != nil {
		return parsed{}, err
	}
	if station.ID != y.station.ID {
		return parsed{}, model.Invalidf("station-year", "the file holds the station that was asked for", "%s was asked for and %s came", y.station.ID, station.ID)
	}
	return parsed{stations: []model.Station{y.station}, observations: observations, warnings: warnings}, nil
}
