package jobs

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"time"

	"osier/jobs/feed"
	"osier/jobs/feed/ghcnh"
	"osier/jobs/feed/isd"
	"osier/model"
)

// isdYears lists the station-years of the Integrated Surface Data that cover the
// span. The list of stations says which years there are.
func (b *backfill) isdYears(ctx context.Context, archive source) ([]archiveFile, error) {
	body, err := b.list(ctx, archive, isd.StationsURL)
	if err != nil || body == nil {
		return nil, err
	}
	stations, warnings, err := isd.ParseStations(bytes.NewReader(body))
	b.counts["warnings"] += len(warnings)
	if err != nil {
		return nil, err
	}
	years := stationYears{seen: map[string]bool{}, address: isd.URL, parse: isd.Parse}
	for _, year := range b.years() {
		var covering []model.Station
		for _, s := range stations {
			if !s.End.Before(year[0].Truncate(24*time.Hour)) && !s.Begin.After(year[1]) {
				covering = append(covering, s.Station)
			}
		}
		for _, w := range b.waters {
			if err := years.add(w, covering, year[0].Year()); err != nil {
				return nil, err
			}
		}
	}
	return years.files, nil
}

// ghcnhYears lists the station-years of GHCNh for the waters and years in which
// stored stations leave hours without an air temperature. Its list of stations
// does not say which years there are: a file that is not there is no fault.
func (b *backfill) ghcnhYears(ctx context.Context, archive source) ([]archiveFile, error) {
	lacking := map[int][]model.Water{}
	for _, year := range b.years() {
		for _, w := range b.waters {
			share, err := b.covered(ctx, w, year[0], year[1], false)
			if err != nil {
				return nil, err
			}
			if share < enoughHours {
				lacking[year[0].Year()] = append(lacking[year[0].Year()], w)
			}
		}
	}
	if len(lacking) == 0 {
		return nil, nil
	}
	body, err := b.list(ctx, archive, ghcnh.StationsURL)
	if err != nil || body == nil {
		return nil, err
	}
	stations, warnings, err := ghcnh.ParseStations(bytes.NewReader(body))
	b.counts["warnings"] += len(warnings)
	if err != nil {
		return nil, err
	}
	years := stationYears{seen: map[string]bool{}, address: ghcnh.URL, parse: ghcnh.Parse}
	for _, year := range b.years() {
		for _, w := range lacking[year[0].Year()] {
			if err := years.add(w, stations, year[0].Year()); err != nil {
				return nil, err
			}
		}
	}
	return years.files, nil
}

// stationYears gathers the files of one station archive, each once.
type stationYears struct {
	files   []archiveFile
	seen    map[string]bool
	address func(station string, year int) (string, error)
	parse   func(io.Reader) (model.Station, []model.Observation, []string, error)
}

// add lists one year of the best stations for a water.
func (y *stationYears) add(w model.Water, stations []model.Station, year int) error {
	n := 0
	for _, c := range model.ChooseStations(model.Near(w, stations), nil, time.Time{}) {
		if c.Avoided || n == backfillStations {
			break
		}
		n++
		url, err := y.address(c.ID, year)
		if err != nil {
			return fmt.Errorf("archive station near %s: %w", w.ID, err)
		}
		if !y.seen[url] {
			y.seen[url] = true
			y.files = append(y.files, archiveFile{url: url, want: feed.File, parse: y.reader(c.Station)})
		}
	}
	return nil
}

// reader reads the whole year, not only the span asked for: the file is not
// fetched again for another part of it. The list's position stands, as the file
// may give none.
func (y *stationYears) reader(listed model.Station) func(body []byte) (parsed, error) {
	return func(body []byte) (parsed, error) {
		station, observations, warnings, err := y.parse(bytes.NewReader(body))
		if err != nil {
			return parsed{}, err
		}
		if station.ID != listed.ID {
			return parsed{}, model.Invalidf("station-year", "the file holds the station that was asked for", "%s was asked for and %s came", listed.ID, station.ID)
		}
		return parsed{stations: []model.Station{listed}, observations: observations, warnings: warnings}, nil
	}
}
