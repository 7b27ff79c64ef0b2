package jobs

import (
	"context"
	"errors"
	"fmt"
	"time"

	"osier/jobs/feed"
	"osier/jobs/feed/ghcnh"
	"osier/jobs/feed/isd"
	"osier/jobs/feed/openmeteo"
	"osier/model"
)

// How past weather is fetched; all our choice.
const (
	// backfillStations is how many archive stations are fetched for a water: the
	// best three by distance and height.
	backfillStations = 3
	// enoughHours is the share of a span's hours with an air temperature from
	// stations at which the next archive is not asked for it.
	enoughHours = 0.9
	// reanalysisLag keeps off the newest days, which the reanalysis does not have
	// yet: about five days, from memory, and one more.
	reanalysisLag = 6 * 24 * time.Hour
)

// reanalysisBegins is the first day of the reanalysis.
var reanalysisBegins = time.Date(1940, time.January, 1, 0, 0, 0, 0, time.UTC)

// Backfill fetches past weather of the waters: the station-years of the
// Integrated Surface Data; where stored stations then still leave hours without
// an air temperature those of its successor, GHCNh; and where there is still no
// station the reanalysis, which is kept as a model's account and never as a
// report. It can be broken off and run again; what was fetched is not fetched
// twice within a day. Hours that none of them covers stay without weather.
func (p *Puller) Backfill(ctx context.Context, waters []model.Water, from, to time.Time) (map[string]int, error) {
	if now := p.Now(); to.After(now) {
		to = now
	}
	b := &backfill{Puller: p, waters: waters, from: from, to: to, counts: map[string]int{"requests": 0, "observations": 0, "warnings": 0}}
	for _, archive := range archives() {
		files, err := b.files(ctx, archive)
		if err != nil {
			b.faults = append(b.faults, fmt.Errorf("pull %s: %w", archive.name, err))
		}
		b.fetch(ctx, archive, files)
	}
	if b.asked == 0 && len(b.faults) == 0 {
		missing, err := b.missing(ctx)
		if err != nil {
			return b.counts, err
		}
		if missing {
			return b.counts, model.NotFoundf("archive", "records of that time are kept and marked 'no weather'", "no archive covers %s to %s near these waters", from.Format(time.DateOnly), to.Format(time.DateOnly))
		}
	}
	return b.counts, errors.Join(b.faults...)
}

// backfill is one run of Backfill.
type backfill struct {
	*Puller
	waters   []model.Water
	from, to time.Time
	counts   map[string]int
	asked    int // files, asked for or still fresh
	faults   []error
}

// archiveFile is one file of an archive, or one answer of the reanalysis.
type archiveFile struct {
	url   string
	want  feed.Media
	parse func(body []byte) (parsed, error)
}

// files lists what to ask an archive for, each once.
func (b *backfill) files(ctx context.Context, archive source) ([]archiveFile, error) {
	switch archive.name {
	case isd.Source:
		return b.isdYears(ctx, archive)
	case ghcnh.Source:
		return b.ghcnhYears(ctx, archive)
	case openmeteo.ArchiveSource:
		return b.reanalysisMonths(ctx)
	}
	return nil, fmt.Errorf("archive %s: nobody knows how to ask it", archive.name)
}

func (b *backfill) fetch(ctx context.Context, archive source, files []archiveFile) {
	for i, f := range files {
		r := request{Request: feed.Request{URL: f.url, Want: f.want, MinInterval: archiveEvery}}
		if _, err := b.one(ctx, archive, r, b.waters, b.counts, f.parse); err != nil {
			b.faults = append(b.faults, fmt.Errorf("pull %s: %w", archive.name, err))
		}
		b.progress(b.asked+i+1, b.asked+len(files))
	}
	b.asked += len(files)
}

// list fetches an archive's list of stations. It is read anew each time, as
// nothing of it is stored.
func (b *backfill) list(ctx context.Context, archive source, url string) ([]byte, error) {
	today, err := b.spentToday(ctx, archive.name)
	if err != nil {
		return nil, err
	}
	if today.Asked >= archive.budget {
		b.counts["over budget"]++
		return nil, nil
	}
	result, _ := b.Client.Get(ctx, feed.Request{URL: url, Want: feed.File, MinInterval: archiveEvery}, feed.State{})
	if result.Asked {
		b.counts["requests"]++
		if err := b.spend(ctx, archive.name, today); err != nil {
			return nil, err
		}
	}
	return result.Body, result.Err
}

// missing says whether a water lacks weather in some part of the span.
func (b *backfill) missing(ctx context.Context) (bool, error) {
	for _, w := range b.waters {
		share, err := b.covered(ctx, w, b.from, b.to, true)
		if err != nil || share < enoughHours {
			return err == nil, err
		}
	}
	return false, nil
}

// covered is the share of the hours between two instants that have an air
// temperature from stations, or, where the reanalysis counts too, from it.
func (b *backfill) covered(ctx context.Context, w model.Water, from, to time.Time, reanalysis bool) (float64, error) {
	sources, err := readSources(ctx, b.Store, w, from, to, b.Now())
	if err != nil {
		return 0, fmt.Errorf("what is stored for %s: %w", w.ID, err)
	}
	sources.Forecasts = nil
	if !reanalysis {
		sources.Reanalysis = nil
	}
	hours := model.WeatherAt(sources, from, to, b.Now())
	known := 0
	for _, h := range hours {
		if h.AirC.Known {
			known++
		}
	}
	return float64(known) / float64(max(1, len(hours))), nil
}

// years are the parts of the span that lie in each year, in UTC.
func (b *backfill) years() [][2]time.Time {
	return b.parts(func(t time.Time) time.Time { return time.Date(t.Year()+1, time.January, 1, 0, 0, 0, 0, time.UTC) })
}

// months are the parts of the span that lie in each month, in UTC.
func (b *backfill) months() [][2]time.Time {
	return b.parts(func(t time.Time) time.Time { return time.Date(t.Year(), t.Month()+1, 1, 0, 0, 0, 0, time.UTC) })
}

// parts cuts the span where next says that the next part begins; both ends of a
// part belong to it.
func (b *backfill) parts(next func(time.Time) time.Time) [][2]time.Time {
	var out [][2]time.Time
	for at := b.from.UTC(); at.Before(b.to); at = next(at) {
		end := next(at).Add(-time.Second)
		if end.After(b.to) {
			end = b.to
		}
		out = append(out, [2]time.Time{at, end})
	}
	return out
}
