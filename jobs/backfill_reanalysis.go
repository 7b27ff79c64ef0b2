package jobs

import (
	"context"
	"fmt"
	"math"
	"time"

	"osier/jobs/feed"
	"osier/jobs/feed/openmeteo"
	"osier/model"
)

// reanalysisMonths lists the months of the span in which stored stations leave
// hours of a water's cell without an air temperature. Months are asked for
// whole, so that their addresses, and what is remembered of them, stay the same
// whatever the span.
func (b *backfill) reanalysisMonths(ctx context.Context) ([]archiveFile, error) {
	var files []archiveFile
	seen := map[string]bool{}
	newest := b.Now().Add(-reanalysisLag)
	for _, month := range b.months() {
		from := time.Date(month[0].Year(), month[0].Month(), 1, 0, 0, 0, 0, time.UTC)
		to := from.AddDate(0, 1, 0).Add(-time.Hour)
		if to.After(newest) {
			to = newest
		}
		if from.Before(reanalysisBegins) || month[0].After(newest) {
			continue
		}
		for _, w := range b.waters {
			share, err := b.covered(ctx, w, month[0], month[1], false)
			if err != nil {
				return nil, err
			}
			if share >= enoughHours {
				continue
			}
			lat, lon := cell(w)
			url, err := openmeteo.ArchiveURL(lat, lon, from, to)
			if err != nil {
				return nil, fmt.Errorf("reanalysis for %s: %w", w.ID, err)
			}
			if !seen[url] {
				seen[url] = true
				files = append(files, archiveFile{url: url, want: feed.JSON, parse: func(body []byte) (parsed, error) {
					f, warnings, err := openmeteo.ParseArchive(body)
					return parsed{observations: asModelled(f, cellName(lat, lon)), warnings: warnings, modelled: true}, err
				}})
			}
		}
	}
	return files, nil
}

// asModelled puts a reanalysis into the form in which hours are stored, under
// the name of its cell. No station has that name, so nothing takes it for a
// report.
func asModelled(f model.Forecast, name string) []model.Observation {
	var out []model.Observation
	rain := map[time.Time]model.Maybe[model.Rain]{}
	for _, h := range f.Hours {
		if h.Rain.Known { // a forecast's rain begins with its hour, a report's ends with it
			rain[h.At.Add(time.Duration(h.Rain.Value.OverH*float64(time.Hour)))] = h.Rain
		}
	}
	for _, h := range f.Hours {
		o := model.Observation{
			Station: name, Source: f.Source, At: h.At, AirC: h.AirC, DewC: h.DewC,
			WindMps: h.WindMps, WindFromDeg: h.WindFromDeg, GustMps: h.GustMps, SeaLevelHPa: h.SeaLevelHPa, Rain: rain[h.At],
		}
		if h.CloudFraction.Known {
			o.CloudOktas = model.Known(int(math.Round(8 * h.CloudFraction.Value)))
		}
		if o.AirC.Known || o.WindMps.Known || o.SeaLevelHPa.Known { // its newest days may be empty
			out = append(out, o)
		}
	}
	return out
}
