package jobs

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"osier/jobs/feed"
	"osier/jobs/feed/locationforecast"
	"osier/jobs/feed/openmeteo"
	"osier/jobs/feed/smhi"
	"osier/model"
)

// forecastStands is how long a forecast is taken as current after its feed last
// stood by it: six rounds of asking. Our choice.
const forecastStands = 3 * time.Hour

// askCells asks once for each grid cell that holds a water.
func askCells(waters []model.Water, like feed.Request, address func(w model.Water) (string, error)) ([]request, error) {
	var out []request
	seen := map[[2]float64]bool{}
	for _, w := range waters {
		r := request{Request: like}
		r.lat, r.lon = cell(w)
		if seen[[2]float64{r.lat, r.lon}] {
			continue
		}
		seen[[2]float64{r.lat, r.lon}] = true
		var err error
		if r.URL, err = address(w); err != nil {
			return out, fmt.Errorf("weather for %s: %w", w.ID, err)
		}
		out = append(out, r)
	}
	return out, nil
}

// askForecasts asks for a forecast for each cell.
func askForecasts(waters []model.Water, address func(w model.Water) (string, error)) ([]request, error) {
	return askCells(waters, feed.Request{Want: feed.JSON, MinInterval: forecastEvery}, address)
}

func askLocationforecast(_ context.Context, _ PullStore, waters []model.Water, _ time.Time) ([]request, error) {
	return askForecasts(waters, func(w model.Water) (string, error) {
		lat, lon := cell(w)
		return locationforecast.URL(lat, lon, model.Known(w.ElevationM), locationforecast.Complete)
	})
}

func askSMHI(_ context.Context, _ PullStore, waters []model.Water, _ time.Time) ([]request, error) {
	return askForecasts(nordic.within(waters), func(w model.Water) (string, error) { return smhi.URL(cell(w)) })
}

// askOpenMeteo asks for the cells whose first choice has failed, or has not been
// stood by for some hours: its free use is bounded.
func askOpenMeteo(ctx context.Context, s PullStore, waters []model.Water, now time.Time) ([]request, error) {
	var without []model.Water
	for _, w := range waters {
		lat, lon := cell(w)
		forecasts, err := s.Forecasts(ctx, lat, lon, now, mostIssues)
		if err != nil {
			return nil, err
		}
		if !slices.ContainsFunc(forecasts, func(f model.Forecast) bool {
			return f.Source == locationforecast.Source && now.Sub(f.ConfirmedAt) <= forecastStands
		}) {
			without = append(without, w)
		}
	}
	return askForecasts(without, func(w model.Water) (string, error) {
		lat, lon := cell(w)
		return openmeteo.URL(lat, lon, model.Known(w.ElevationM))
	})
}

func parseLocationforecast(body []byte, r request, now time.Time) (parsed, error) {
	f, warnings, err := locationforecast.Parse(body)
	return forecastFor(r, now, f, warnings, err)
}

func parseSMHI(body []byte, r request, now time.Time) (parsed, error) {
	f, warnings, err := smhi.Parse(body)
	return forecastFor(r, now, f, warnings, err)
}

func parseOpenMeteo(body []byte, r request, now time.Time) (parsed, error) {
	f, warnings, err := openmeteo.Parse(body)
	return forecastFor(r, now, f, warnings, err)
}

// forecastFor puts a forecast at the cell asked for. One that does not say when
// it was issued counts as issued when it came. One without a single air
// temperature, or without a single wind, is refused, so that the issue before it
// is served on: its units or names have changed.
func forecastFor(r request, now time.Time, f model.Forecast, warnings []string, err error) (parsed, error) {
	if err != nil {
		return parsed{}, err
	}
	first := "no warning was given"
	if len(warnings) > 0 {
		first = warnings[0]
	}
	for _, has := range []struct {
		name  string
		known func(model.ForecastHour) bool
	}{
		{"an air temperature", func(h model.ForecastHour) bool { return h.AirC.Known }},
		{"a wind", func(h model.ForecastHour) bool { return h.WindMps.Known }},
	} {
		if !slices.ContainsFunc(f.Hours, has.known) {
			return parsed{}, model.Invalidf("forecast", "its hours have an air temperature and a wind", "none of its %d hours has %s that can be read: %s", len(f.Hours), has.name, first)
		}
	}
	f.LatDeg, f.LonDeg, f.FetchedAt, f.ConfirmedAt = r.lat, r.lon, now, now
	if f.IssuedAt.IsZero() {
		f.IssuedAt = now
	}
	return parsed{forecast: &f, warnings: warnings}, nil
}

// byPreference puts forecasts into the order in which they give an hour: those
// whose feed stands by them before the others, then the feed that is preferred
// (the order of the feeds), then the newest issue. An older issue of a feed is
// as current as its newest: it only serves hours that the newest does not reach
// back to.
func byPreference(forecasts []model.Forecast, now time.Time) {
	rank, confirmed := map[string]int{}, map[string]time.Time{}
	for i, f := range feeds() {
		rank[f.name] = i
	}
	for _, f := range forecasts {
		if f.ConfirmedAt.After(confirmed[f.Source]) {
			confirmed[f.Source] = f.ConfirmedAt
		}
	}
	stale := func(f model.Forecast) int {
		if now.Sub(confirmed[f.Source]) > forecastStands {
			return 1
		}
		return 0
	}
	slices.SortStableFunc(forecasts, func(a, b model.Forecast) int {
		return cmp.Or(cmp.Compare(stale(a), stale(b)), cmp.Compare(rank[a.Source], rank[b.Source]), b.IssuedAt.Compare(a.IssuedAt))
	})
}
